//! The photos of what cannot be made: what its owner still has in its folder, and what of it may be seen.
//!
//! The last good page of something broken stays, but a photo that was taken back meanwhile does not stay on it. So these
//! folders are looked through whatever is wrong with their files. What is wrong with the photos themselves is told once the rest is
//! mended, as it may well be over by then.

use super::photo;
use crate::base::digest::Digest;
use crate::base::files;
use crate::base::names::is_photo;
use crate::model::{Photo, Remains, Route};
use crate::read::disk::content::Content;
use crate::read::disk::folder::{EntryKind, FolderEntry};
use crate::read::job::link::key_and_value;
use crate::read::job::photos;
use crate::read::route::Routes;
use std::collections::BTreeSet;

/// As large a file as `text` reads.
const LIMIT: u64 = 1 << 20;

/// What lies in a job's folder; none if that cannot be looked through.
pub(in crate::read) fn of_job(
    content: &Content<'_>,
    folder: &FolderEntry,
    routes: &Routes,
) -> Option<Remains> {
    if !folder.is_folder() {
        return None;
    }
    let entries = content.entries(folder, &mut Vec::new())?;
    let own = entries.iter().find(|e| e.is_file() && e.name == "job.toml").and_then(route_in);
    let own = own.and_then(|key| routes.sound.get(&key));
    let mut remains = Remains::default();
    for entry in entries.iter().filter(|entry| entry.name != "job.toml") {
        if !entry.is_folder() {
            take(&mut remains, content, entry, Some(true));
            continue;
        }
        let shown = shown_in(&entry.name, own, routes);
        match content.entries(entry, &mut Vec::new()) {
            Some(inside) => inside.iter().for_each(|entry| take(&mut remains, content, entry, shown)),
            None => drop(remains.unread.insert(entry.file.clone())),
        }
    }
    Some(remains)
}

/// The same of several folders that have one number: what one of them hides is hidden.
pub(in crate::read) fn of_twins(all: impl Iterator<Item = Option<Remains>>) -> Option<Remains> {
    let all: Vec<Remains> = all.collect::<Option<_>>()?;
    let hidden: BTreeSet<Digest> = all.iter().flat_map(hidden_throughout).collect();
    let mut both = Remains::default();
    for one in all {
        both.unread.extend(one.unread);
        both.photos.extend(one.photos);
    }
    for photo in &mut both.photos {
        photo.shown &= !hidden.contains(&photo.look.digest);
    }
    Some(both)
}

/// Photos that are there and shown nowhere.
fn hidden_throughout(remains: &Remains) -> BTreeSet<Digest> {
    let of = |shown: bool| remains.photos.iter().filter(move |photo| photo.shown == shown);
    let shown: BTreeSet<Digest> = of(true).map(|photo| photo.look.digest).collect();
    of(false).map(|photo| photo.look.digest).filter(|digest| !shown.contains(digest)).collect()
}

/// What lies in a pose's folder.
pub(in crate::read) fn of_pose(content: &Content<'_>, folder: &FolderEntry) -> Option<Remains> {
    if !folder.is_folder() {
        return None;
    }
    Some(of_entries(content, &content.entries(folder, &mut Vec::new())?))
}

/// The photos among what lies in a folder.
pub(in crate::read) fn of_entries(content: &Content<'_>, entries: &[FolderEntry]) -> Remains {
    let mut remains = Remains::default();
    let files = entries.iter().filter(|entry| !entry.is_folder());
    files.for_each(|entry| take(&mut remains, content, entry, Some(true)));
    remains
}

/// Takes a file, if it is a photo. `shown` is whether photos there are shown without being asked for.
fn take(remains: &mut Remains, content: &Content<'_>, entry: &FolderEntry, shown: Option<bool>) {
    if !is_photo(&entry.name) {
        return;
    }
    let looked = match entry.kind {
        EntryKind::File => photo(content.look, entry, None, shown.unwrap_or(false), &mut Vec::new()).ok(),
        EntryKind::Folder | EntryKind::Lost => None,
        // What was made of it may not stay.
        EntryKind::Gone => return,
    };
    match looked {
        Some(photo) => remains.photos.push(Photo { shown: photo.shown && shown.is_some(), ..photo }),
        None => drop(remains.unread.insert(entry.file.clone())),
    }
}

/// Whether photos in a folder of a job are shown; `None` where nothing can bring them out.
fn shown_in(name: &str, own: Option<&Route>, routes: &Routes) -> Option<bool> {
    if photos::is_not_shown(name) {
        return None;
    }
    match own {
        Some(route) => Some(photos::shows(name, route).unwrap_or(false)),
        // Where it is not known which route is meant, a folder is kept off pages if any route keeps it off.
        None => Some(routes.sound.values().all(|route| photos::shows(name, route) != Some(false))),
    }
}

/// The route that a damaged file names.
fn route_in(file: &FolderEntry) -> Option<String> {
    let bytes = files::read_up_to(&file.path, LIMIT).ok()?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let values = text.lines().filter_map(key_and_value).filter(|(key, _)| *key == "route");
    let mut named = values.filter_map(|(_, value)| value.split(['"', '\'']).nth(1).map(str::to_owned));
    named.next()
}
