//! The showroom: all poses, the poses of an animal, one pose.

use super::frame::Frame;
use crate::model::{Owner, Pose, Spoilt};
use crate::problem::Problems;
use crate::render::desk::Desk;
use crate::render::drawing::scale::ScaleDrawing;
use crate::render::photos::{self, PictureView};
use crate::render::{Made, markdown, paths};
use serde::Serialize;

/// Poses side by side.
#[derive(Debug, Serialize)]
struct ListPage {
    frame: Frame,
    /// The one animal that it is about, if it is about one.
    animal: Option<String>,
    animals: Vec<AnimalView>,
    /// The page for a tablet at the counter.
    counter: String,
}

/// An animal and its poses.
#[derive(Debug, Serialize)]
pub struct AnimalView {
    pub name: String,
    pub href: String,
    /// Its poses side by side, if there are several.
    pub beside: Option<String>,
    pub poses: Vec<CardView>,
}

/// A pose at a glance.
#[derive(Debug, Serialize)]
pub struct CardView {
    pub name: String,
    pub href: String,
    pub picture: Option<PictureView>,
    pub shows_off: Vec<String>,
    pub room: Option<RoomView>,
    pub price_from: Option<String>,
}

/// One pose.
#[derive(Debug, Serialize)]
struct PosePage {
    frame: Frame,
    name: String,
    animal: AnimalLink,
    photos: Vec<PosePhoto>,
    shows_off: Vec<String>,
    room: Option<RoomView>,
    stands: Option<String>,
    looks: Option<String>,
    price_from: Option<String>,
    decide_by: Option<String>,
    about: Option<String>,
    /// The page on which all poses of the animal stand side by side, if there are several.
    beside: Option<String>,
    /// The other poses of the animal.
    others: Vec<CardView>,
}

#[derive(Debug, Serialize)]
struct AnimalLink {
    name: String,
    href: String,
}

#[derive(Debug, Serialize)]
struct PosePhoto {
    picture: PictureView,
    caption: Option<String>,
}

/// The room that a piece needs.
#[derive(Debug, Serialize)]
pub struct RoomView {
    pub wide: String,
    pub high: String,
    pub deep: String,
    pub unit: String,
    pub drawing: Option<ScaleDrawing>,
}

/// The room of a pose in words and as a drawing.
pub fn room_view(desk: &Desk<'_>, pose: &Pose) -> Option<RoomView> {
    let room = pose.room?;
    let unit = desk.shop.studio.length.clone();
    let drawing = ScaleDrawing::of(room, &unit, pose.on);
    let written = |value| desk.theme.amounts.measure(value);
    Some(RoomView {
        wide: written(room.wide),
        high: written(room.high),
        deep: written(room.deep),
        unit,
        drawing,
    })
}

/// Where the poses of an animal stand side by side; only where there are several. One that needs mending counts:
/// its last good page stays, and leads there.
pub fn side_by_side(desk: &Desk<'_>, animal: &str) -> Option<String> {
    let poses = desk.shop.poses.iter().filter(|pose| pose.animal == animal).count();
    let is_of = |spoilt: &&Spoilt| matches!(spoilt, Spoilt::Pose(own, _) if own == animal);
    let several = poses + desk.shop.spoilt.iter().filter(is_of).count() > 1;
    several.then(|| paths::side_by_side(animal))
}

/// The page of a pose and its photos.
pub fn make_pose(desk: &Desk<'_>, pose: &Pose) -> Made {
    let owner = Owner::Part(Spoilt::Pose(pose.animal.clone(), pose.key.clone()));
    let path = paths::pose(&pose.animal, &pose.key);
    let root = paths::root_of(&path);
    let mut notes = Problems::default();
    let shown = || pose.photos.iter().filter(|photo| photo.shown);
    let pictures = shown().filter_map(|photo| {
        Some(PosePhoto { picture: PictureView::of(desk.album, photo, "")?, caption: photo.caption.clone() })
    });
    let others = desk.shop.poses.iter().filter(|other| other.animal == pose.animal && other.key != pose.key);
    let view = PosePage {
        frame: Frame::of(desk, &path, format!("{} · {}", pose.name, paths::as_words(&pose.animal))),
        name: pose.name.clone(),
        animal: AnimalLink {
            name: paths::as_words(&pose.animal),
            href: format!("{root}{}", paths::animal(&pose.animal)),
        },
        photos: pictures.collect(),
        shows_off: pose.shows_off.clone(),
        room: room_view(desk, pose),
        stands: pose.stands.clone(),
        looks: pose.looks.clone(),
        price_from: pose.price_from.map(|price| desk.money(price)),
        decide_by: pose.decide_by.clone(),
        beside: side_by_side(desk, &pose.animal).map(|path| format!("{root}{path}")),
        about: pose
            .about
            .as_ref()
            .map(|about| markdown::of_source(about, &desk.around(&root, 2), &mut notes)),
        others: others.map(|other| card(desk, other, &root)).collect(),
    };
    let mut files = vec![desk.page(&path, "pose.html", &view, owner.clone())?];
    let folder = paths::folder_of(&path);
    files.extend(shown().flat_map(|photo| photos::files(desk.album, photo, folder, &owner)));
    Ok((files, notes))
}

/// The pages that list poses: of all animals, and of each one.
pub fn make_lists(desk: &Desk<'_>) -> Made {
    let mut files = Vec::new();
    if desk.animals.is_empty() {
        return Ok((files, Problems::default()));
    }
    let mut list = |path: &str, animal: Option<&str>, title: String| {
        let root = paths::root_of(path);
        let view = ListPage {
            frame: Frame::of(desk, path, title),
            animal: animal.map(paths::as_words),
            animals: animals(desk, &root)
                .into_iter()
                .filter(|a| animal.is_none_or(|key| a.0 == key))
                .map(|a| a.1)
                .collect(),
            counter: format!("{root}{}", paths::COUNTER),
        };
        files.push(desk.page(path, "showroom.html", &view, Owner::Shop)?);
        Ok(())
    };
    list(paths::SHOWROOM, None, String::new())?;
    for key in &desk.animals {
        list(&paths::animal(key), Some(key), paths::as_words(key))?;
    }
    Ok((files, Problems::default()))
}

/// The animals that have poses to show, by the folder's name, in the order of the shop's poses.
pub fn animals(desk: &Desk<'_>, root: &str) -> Vec<(String, AnimalView)> {
    let shown = desk.animals.iter().filter_map(|animal| {
        let poses = desk.shop.poses.iter().filter(|pose| pose.animal == *animal);
        let poses: Vec<CardView> = poses.map(|pose| card(desk, pose, root)).collect();
        let href = format!("{root}{}", paths::animal(animal));
        let beside = side_by_side(desk, animal).map(|path| format!("{root}{path}"));
        let view = AnimalView { name: paths::as_words(animal), href, beside, poses };
        (!view.poses.is_empty()).then(|| (animal.clone(), view))
    });
    shown.collect()
}

pub(super) fn card(desk: &Desk<'_>, pose: &Pose, root: &str) -> CardView {
    let path = paths::pose(&pose.animal, &pose.key);
    let folder = format!("{root}{}", paths::folder_of(&path));
    let shown = pose.photos.iter().filter(|photo| photo.shown);
    CardView {
        name: pose.name.clone(),
        href: format!("{root}{path}"),
        picture: shown.filter_map(|photo| PictureView::of(desk.album, photo, &folder)).next(),
        shows_off: pose.shows_off.clone(),
        room: room_view(desk, pose),
        price_from: pose.price_from.map(|price| desk.money(price)),
    }
}
