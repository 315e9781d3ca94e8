//! Taking back wins over keeping. A photo that its owner has hidden, moved away or deleted goes, though what it belongs to is
//! broken and keeps its last good page; and a page that shows it is held back: a plain page stands in its place until the part
//! is mended.
//!
//! Held back, and not shown without the photo: the page may be of any theme, and a tiny picture of each photo stands in the page
//! itself. Which photos may still be seen is decided by whoever reads; which files were made of which photo the record says.
//! A record of an earlier program does not: then a file's name does, which is made of what it holds.

use super::keep::Keep;
use super::record::{Record, WrittenFile};
use crate::model::{Body, Owner, Role, Site, SiteFile, Spoilt, Still};
use crate::problem::{Code, Problem};
use std::collections::BTreeMap;

/// What the last pass wrote for one part and is to stay, by path.
type Staying<'a> = BTreeMap<&'a String, &'a WrittenFile>;

/// Decides what of the kept parts goes, and puts the stand-ins into the site. Tells what is held back.
pub fn back(site: &mut Site, old: &Record, keep: &Keep) -> Vec<Problem> {
    let mut by_part: BTreeMap<&Spoilt, Staying<'_>> = BTreeMap::new();
    let staying =
        old.files.iter().filter(|(path, entry)| !site.files.contains_key(*path) && keep.holds(path, entry));
    for (path, entry) in staying {
        if let Some(part) = keep.part_of(path, entry).and_then(|part| kept_part(site, part)) {
            by_part.entry(part).or_default().insert(path, entry);
        }
    }
    let mut gone: Vec<String> = Vec::new();
    let mut held: Vec<(String, Spoilt)> = Vec::new();
    for (part, files) in by_part {
        let photos = site.still.get(part).map(|still| taken_back(&files, still)).unwrap_or_default();
        if photos.is_empty() && !files.values().any(|entry| entry.held) {
            continue;
        }
        gone.extend(photos);
        // A sealed page leads to its photos by what is in it, and nothing opens the rest without that page.
        gone.extend(files.keys().filter(|path| is_sealed(path)).map(|path| (*path).clone()));
        let pages = files.keys().filter(|path| Role::of(path).is_page());
        held.extend(pages.map(|path| ((*path).clone(), part.clone())));
    }
    site.taken_back.extend(gone);
    for (path, part) in held {
        match site.stand_ins.get(&path.matches('/').count()) {
            Some(page) => {
                let file = SiteFile::new(Body::Bytes(page.clone()), Owner::Part(part.clone()));
                site.files.insert(path.clone(), file);
            }
            None => drop(site.taken_back.insert(path.clone())),
        }
        site.held.insert(path, part);
    }
    site.held.values().map(held_back).collect()
}

/// The part as this pass names it, by what the record has it for.
fn kept_part<'s>(site: &'s Site, noted: &Spoilt) -> Option<&'s Spoilt> {
    site.kept.iter().find(|part| part.folded() == *noted)
}

/// The photo files of a part that go.
fn taken_back(files: &Staying<'_>, still: &Still) -> Vec<String> {
    // A program that makes other files of the same photos gives other names: then none fits, and none tells anything.
    let unnamed = files.iter().filter(|(path, entry)| entry.photo.is_none() && is_photo(path, still));
    let names_tell =
        still.shown.is_empty() || unnamed.clone().any(|(path, _)| still.files.contains_key(*path));
    let by_name = unnamed.filter(|(path, _)| {
        names_tell && !still.waits && still.unread.is_empty() && !still.files.contains_key(**path)
    });
    // Two photos may give the same file.
    let others = files.iter().filter(|(path, _)| !still.files.contains_key(**path));
    let by_record = others.filter(|(_, entry)| {
        let photo = entry.photo.as_ref();
        photo.is_some_and(|photo| {
            let hidden = still.hidden.contains(&photo.digest);
            let unknown = still.waits || is_unread(still, &photo.file);
            !still.shown.contains(&photo.digest) && (hidden || !unknown)
        })
    });
    by_name.chain(by_record).map(|(path, _)| (*path).clone()).collect()
}

/// Whether nothing can be told now of a file, or of a folder that it lies in.
fn is_unread(still: &Still, file: &str) -> bool {
    let within =
        |folder: &String| file.strip_prefix(folder.as_str()).is_some_and(|rest| rest.starts_with('/'));
    still.unread.contains(file) || still.unread.iter().any(within)
}

fn is_sealed(path: &str) -> bool {
    matches!(Role::of(path), Role::Sealed(_))
}

fn is_photo(path: &str, still: &Still) -> bool {
    matches!(Role::of(path), Role::Photo(_)) || is_sealed(path) && !still.others.contains(path)
}

fn held_back(part: &Spoilt) -> Problem {
    let message = format!(
        "a photo of {} was taken back while it needs mending, so its page is held back",
        part.words()
    );
    let problem = Problem::new(Code::HeldBack, message).hint(
        "fix what else is reported about it, and the page is made again; until then it says that it is being updated",
    );
    match part {
        Spoilt::Job(number) => problem.of_job(number),
        _ => problem,
    }
}
