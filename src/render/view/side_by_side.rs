//! Poses side by side, drawn to one scale; and all poses in large pictures, for a tablet at the counter.

use super::frame::Frame;
use super::showroom::{CardView, card, side_by_side};
use crate::model::{Owner, Pose};
use crate::problem::Problems;
use crate::render::desk::Desk;
use crate::render::{Made, paths};
use serde::Serialize;

/// The poses of an animal side by side.
#[derive(Debug, Serialize)]
struct SideBySidePage {
    frame: Frame,
    animal: String,
    /// The list of the animal's poses.
    back: String,
    poses: Vec<PoseView>,
}

/// All poses, one after the other.
#[derive(Debug, Serialize)]
struct CounterPage {
    frame: Frame,
    animals: Vec<AnimalPoses>,
}

#[derive(Debug, Serialize)]
struct AnimalPoses {
    name: String,
    key: String,
    poses: Vec<PoseView>,
}

/// A pose with all that helps to choose.
#[derive(Debug, Serialize)]
struct PoseView {
    card: CardView,
    stands: Option<String>,
    looks: Option<String>,
    decide_by: Option<String>,
}

/// These pages.
pub fn make(desk: &Desk<'_>) -> Made {
    let mut files = Vec::new();
    for animal in &desk.animals {
        let Some(path) = side_by_side(desk, animal) else { continue };
        let name = paths::as_words(animal);
        let root = paths::root_of(&path);
        let view = SideBySidePage {
            frame: Frame::of(desk, &path, name.clone()),
            animal: name,
            back: format!("{root}{}", paths::animal(animal)),
            poses: poses_of(desk, animal, &root),
        };
        files.push(desk.page(&path, "beside.html", &view, Owner::Shop)?);
    }
    if !desk.shop.poses.is_empty() {
        let root = paths::root_of(paths::COUNTER);
        let animals = desk.animals.iter().map(|animal| AnimalPoses {
            name: paths::as_words(animal),
            key: crate::base::names::address_word(animal),
            poses: poses_of(desk, animal, &root),
        });
        let animals = animals.filter(|animal| !animal.poses.is_empty()).collect();
        let view = CounterPage { frame: Frame::of(desk, paths::COUNTER, String::new()), animals };
        files.push(desk.page(paths::COUNTER, "counter.html", &view, Owner::Shop)?);
    }
    Ok((files, Problems::default()))
}

/// The poses of an animal, their drawings to one scale.
fn poses_of(desk: &Desk<'_>, animal: &str, root: &str) -> Vec<PoseView> {
    let poses = desk.shop.poses.iter().filter(|pose| pose.animal == *animal);
    let mut views: Vec<PoseView> = poses.map(|pose| view(desk, pose, root)).collect();
    let drawn = || views.iter().filter_map(|view| view.card.room.as_ref()?.drawing.as_ref());
    let wide = drawn().map(|drawing| drawing.total_wide).max().unwrap_or_default();
    let high = drawn().map(|drawing| drawing.total_high).max().unwrap_or_default();
    for room in views.iter_mut().filter_map(|view| view.card.room.as_mut()) {
        room.drawing = room.drawing.take().map(|drawing| drawing.within(wide, high));
    }
    views
}

fn view(desk: &Desk<'_>, pose: &Pose, root: &str) -> PoseView {
    PoseView {
        card: card(desk, pose, root),
        stands: pose.stands.clone(),
        looks: pose.looks.clone(),
        decide_by: pose.decide_by.clone(),
    }
}
