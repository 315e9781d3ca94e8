//! `showroom/ANIMAL/POSE/`: the poses of the public gallery.

use crate::base::money::Currency;
use crate::base::names::{is_address_word, is_photo};
use crate::base::words::{count, ticked};
use crate::model::{Pose, Remains, Room, Spoilt, StandsOn};
use crate::problem::{Code, Location, Problem, Source};
use crate::read::disk::content::{self, Content};
use crate::read::disk::folder::{self, EntryKind, FolderEntry};
use crate::read::disk::text;
use crate::read::photo;
use crate::read::photo::remains;
use crate::read::toml::table::{self, Table};
use crate::read::toml::value::Value;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// The showroom as read.
#[derive(Debug, Default)]
pub(in crate::read) struct Showroom {
    /// By animal, then by key, in the order of names until [`Showroom::order`] puts it into the owner's.
    pub poses: Vec<Pose>,
    pub spoilt: Vec<Spoilt>,
    /// The photos in the folders of those.
    pub remains: BTreeMap<Spoilt, Remains>,
    /// Keys of every pose by animal, those that need mending included.
    pub keys: BTreeMap<String, BTreeSet<String>>,
}

impl Showroom {
    /// The folders of the showroom.
    pub fn animals(&self) -> BTreeSet<String> {
        self.keys.keys().cloned().collect()
    }

    /// Whether a pose needs mending.
    pub fn is_spoilt(&self, animal: &str, key: &str) -> bool {
        self.spoilt.iter().any(|s| matches!(s, Spoilt::Pose(a, k) if a == animal && k == key))
    }
}

impl Showroom {
    /// Puts the poses into the owner's order: animals as `mentions` names them first, and of each animal the
    /// poses that are named; the rest by name. What the showroom does not have is told.
    pub fn order(&mut self, mentions: &[Mention], problems: &mut Vec<Problem>) {
        problems.extend(mentions.iter().filter_map(|mention| self.unknown(mention)));
        let animal = |animal: &str| mentions.iter().position(|m| m.animal() == animal).unwrap_or(usize::MAX);
        let pose = |pose: &Pose| {
            let of_it = |m: &Mention| m.animal() == pose.animal && m.key() == Some(pose.key.as_str());
            mentions.iter().position(of_it).unwrap_or(usize::MAX)
        };
        // They stand by name, and what is equal keeps its place.
        self.poses.sort_by(|a, b| {
            let by_animal = animal(&a.animal).cmp(&animal(&b.animal)).then_with(|| a.animal.cmp(&b.animal));
            by_animal.then_with(|| pose(a).cmp(&pose(b)))
        });
    }

    fn unknown(&self, mention: &Mention) -> Option<Problem> {
        let keys = self.keys.get(mention.animal());
        if keys.is_some_and(|keys| mention.key().is_none_or(|key| keys.contains(key))) {
            return None;
        }
        let whole =
            self.keys.iter().flat_map(|(animal, keys)| keys.iter().map(move |key| format!("{animal}/{key}")));
        let known: Vec<String> = self.keys.keys().cloned().chain(whole).collect();
        let message = format!("the showroom has no folder {}", ticked(&mention.words));
        let problem = Problem::new(Code::UnknownPose, message).at(mention.place.clone());
        let problem = problem.did_you_mean(&mention.words, known.iter().map(String::as_str));
        let hint = problem.hint.clone().unwrap_or_else(|| {
            "name an animal such as `turkey`, or one of its poses such as `turkey/full-strut`".to_owned()
        });
        Some(problem.hint(hint))
    }
}

/// An animal or a pose that the owner wants to stand first: `turkey`, `turkey/full-strut`.
#[derive(Clone, Debug)]
pub(in crate::read) struct Mention {
    pub words: String,
    pub place: Location,
}

impl Mention {
    fn animal(&self) -> &str {
        self.words.split_once('/').map_or(self.words.as_str(), |(animal, _)| animal.trim())
    }

    fn key(&self) -> Option<&str> {
        self.words.split_once('/').map(|(_, key)| key.trim())
    }
}

/// Reads the showroom out of the entries of its folder.
pub(in crate::read) fn showroom(
    content: &Content<'_>,
    entries: &[FolderEntry],
    currency: Currency,
    problems: &mut Vec<Problem>,
) -> Showroom {
    let mut room = Showroom::default();
    let mut folders = Vec::new();
    for animal in entries {
        let Some(poses) =
            content.named_folder(animal, "a folder for each animal, such as `turkey`", problems)
        else {
            continue;
        };
        let keys = room.keys.entry(animal.name.clone()).or_default();
        for pose in poses {
            let usable = pose.is_folder() && is_address_word(&pose.name);
            if usable {
                keys.insert(pose.name.clone());
                folders.push((animal.name.clone(), pose));
            } else if pose.is_folder() {
                problems.extend(content::bad_name(&pose, &pose.name, ""));
            } else if pose.is_file() {
                problems.push(folder::unexpected(&pose, "a pose is a folder with a `pose.toml` in it"));
            } else {
                room.spoilt.push(Spoilt::Pose(animal.name.clone(), pose.name));
            }
        }
    }
    let read: Vec<_> =
        folders.par_iter().map(|(animal, entry)| pose(content, animal, entry, currency)).collect();
    for ((animal, entry), (pose, found)) in folders.into_iter().zip(read) {
        problems.extend(found);
        match pose {
            Some(pose) => room.poses.push(pose),
            None => {
                let remains = remains::of_pose(content, &entry);
                let part = Spoilt::Pose(animal, entry.name);
                room.remains.extend(remains.map(|photos| (part.clone(), photos)));
                room.spoilt.push(part);
            }
        }
    }
    room
}

fn pose(
    content: &Content<'_>,
    animal: &str,
    entry: &FolderEntry,
    currency: Currency,
) -> (Option<Pose>, Vec<Problem>) {
    let mut problems = Vec::new();
    let pose = take_folder(content, animal, entry, currency, &mut problems);
    (pose, problems)
}

fn take_folder(
    content: &Content<'_>,
    animal: &str,
    entry: &FolderEntry,
    currency: Currency,
    problems: &mut Vec<Problem>,
) -> Option<Pose> {
    let entries = content.entries(entry, problems)?;
    let source = content::needed_file(entry, &entries, "pose.toml", problems)?;
    let about = match entries.iter().find(|e| e.name == "about.md") {
        // What it would show nobody may see: the pose is shown without it.
        Some(about) if about.kind == EntryKind::Gone => Some(None),
        Some(about) if !about.is_file() || about.twin.is_some() => None,
        Some(about) => Some(Some(text::read(&about.path, &about.file).map_err(|p| problems.push(p)).ok()?)),
        None => Some(None),
    }?;
    let (pose, found) = of_source(&source, animal, &entry.name, currency);
    problems.extend(found);
    let pose = pose?;
    let mut taken = Vec::new();
    for item in entries.iter().filter(|e| !["pose.toml", "about.md"].contains(&e.name.as_str())) {
        if item.is_file() && is_photo(&item.name) {
            match photo::photo(content.look, item, None, true, problems) {
                Ok(photo) => taken.push(photo),
                Err(problem) => problems.push(problem),
            }
        } else if item.is_file() || item.is_folder() {
            problems.push(folder::unexpected(item, "a pose has a `pose.toml`, an `about.md` and photos"));
        }
    }
    Some(Pose { about, photos: taken, ..pose })
}

pub(in crate::read) fn of_source(
    source: &Source,
    animal: &str,
    key: &str,
    currency: Currency,
) -> (Option<Pose>, Vec<Problem>) {
    table::read(source, "a pose", |root| {
        let pose = Pose {
            animal: animal.to_owned(),
            key: key.to_owned(),
            name: String::new(),
            shows_off: root
                .get("shows-off")
                .map(|v| v.texts("[\"the beard\", \"the fan\"]"))
                .unwrap_or_default(),
            room: root.get("room").and_then(|v| room(&v)),
            stands: root.text("stands"),
            on: root.get("on").and_then(|v| v.one_of(&PLACES)).unwrap_or_default(),
            looks: root.text("looks"),
            price_from: root.get("price-from").and_then(|v| v.price(currency)),
            decide_by: root.text("decide-by"),
            about: None,
            photos: Vec::new(),
        };
        Some(Pose { name: name(root)?, ..pose })
    })
}

fn name(root: &Table<'_>) -> Option<String> {
    root.needed_text("name")
}

/// What a pose is drawn on.
const PLACES: [(&str, StandsOn); 2] = [("floor", StandsOn::Floor), ("wall", StandsOn::Wall)];

/// Three sizes.
fn room(value: &Value<'_>) -> Option<Room> {
    let sizes = value.list("[36, 28, 24]", Value::measure);
    let items = value.items().len();
    if value.is_list() && items != 3 {
        let message = format!("{} has {} instead of three", ticked("room"), count(items, "size"));
        value.bad(Code::BadValue, message, "write how wide, high and deep, such as `room = [36, 28, 24]`");
    }
    match sizes.as_slice() {
        [wide, high, deep] if items == 3 => Some(Room { wide: *wide, high: *high, deep: *deep }),
        _ => None,
    }
}
