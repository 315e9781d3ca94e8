//! What lies in a folder: in a stable order, without hidden files, never led out by a link.
//!
//! What an entry means is decided by whoever asked for the list.

use super::home::{Home, Refused};
use crate::base::names::is_hidden;
use crate::base::passing::{Passing, passing, stood_for};
use crate::base::words::ticked;
use crate::problem::{Code, Location, Problem};
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::fs::{self, DirEntry};
use std::path::{Path, PathBuf};

/// What an entry of a folder is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::read) enum EntryKind {
    File,
    Folder,
    /// Something that cannot be used and has been told: a link that leads out or nowhere, an unusable name.
    Lost,
    /// The same where nothing that was made of it may stay: it would show what nobody may see.
    Gone,
}

/// One file or folder.
#[derive(Clone, Debug)]
pub(in crate::read) struct FolderEntry {
    pub name: String,
    /// Path from the shop's folder, with forward slashes, for messages.
    pub file: String,
    pub path: PathBuf,
    pub kind: EntryKind,
    /// Another entry of the same folder whose name differs only in capitals.
    pub twin: Option<String>,
}

impl FolderEntry {
    pub fn is_file(&self) -> bool {
        self.kind == EntryKind::File
    }

    pub fn is_folder(&self) -> bool {
        self.kind == EntryKind::Folder
    }

    /// Whether it cannot be used, which has been told.
    pub fn is_lost(&self) -> bool {
        matches!(self.kind, EntryKind::Lost | EntryKind::Gone)
    }
}

/// Lists a folder. `home` is `content/`, which says where links may lead, `file` what messages call the folder.
/// What cannot be used is told in `problems`; an error means that nothing could be listed.
pub(in crate::read) fn list(
    home: &Home,
    path: &Path,
    file: &str,
    problems: &mut Vec<Problem>,
) -> Result<Vec<FolderEntry>, Problem> {
    let unreadable = |cause: std::io::Error| {
        let problem = Problem::new(Code::Unreadable, format!("the folder could not be read ({cause})"))
            .hint("look whether it opens on this computer, and whether the sync has finished");
        at(problem, file)
    };
    let mut entries = Vec::new();
    for item in fs::read_dir(path).map_err(unreadable)? {
        let item = item.map_err(unreadable)?;
        entries.extend(entry(home, file, &item, problems));
    }
    entries.sort_by(|a, b| by_name(&a.name, &b.name));
    mark_twins(&mut entries);
    Ok(entries)
}

/// Tells of entries whose names differ only in capitals: many computers and phones keep one of the two.
pub(in crate::read) fn tell_twins(entries: &[FolderEntry], problems: &mut Vec<Problem>) {
    for entry in entries {
        // Both know of each other; the pair is told once, at the later one.
        let Some(twin) = entry.twin.as_ref().filter(|twin| by_name(twin, &entry.name).is_lt()) else {
            continue;
        };
        let message = format!("{} and {} differ only in capitals", ticked(twin), ticked(&entry.name));
        let problem = Problem::new(Code::Twice, message)
            .hint("rename one of them, as many computers and phones keep only one of two such names");
        problems.push(at(problem, &entry.file));
    }
}

/// A note that nothing reads this entry.
pub(in crate::read) fn unexpected(entry: &FolderEntry, hint: impl Into<String>) -> Problem {
    let what = if entry.is_folder() { "folder" } else { "file" };
    let message = format!("the {what} {} is not read here", ticked(&entry.name));
    at(Problem::new(Code::UnexpectedFile, message).hint(hint), &entry.file)
}

/// The problem with its place: a file or folder as a whole.
pub(in crate::read) fn at(problem: Problem, file: &str) -> Problem {
    problem.at(Location::file(file))
}

fn entry(home: &Home, folder: &str, item: &DirEntry, problems: &mut Vec<Problem>) -> Option<FolderEntry> {
    let raw = item.file_name();
    let name = raw.to_string_lossy().into_owned();
    let path = item.path();
    let file = format!("{folder}/{name}");
    match passing(&name) {
        Some(Passing::Placeholder) => return Some(stand_in(&name, folder, path, problems)),
        Some(Passing::Conflict) if !name.starts_with('.') => {
            problems.push(conflict(&name, &file));
            return None;
        }
        _ if is_hidden(&name) => return None,
        _ => {}
    }
    let kind = if raw.to_str().is_none() {
        let problem = Problem::new(
            Code::BadName,
            format!("the name {} holds signs that are no letters", ticked(&name)),
        )
        .hint("rename it with plain letters and digits");
        problems.push(at(problem, &file));
        EntryKind::Lost
    } else {
        match kind_of(home, &path, &file) {
            Ok(kind) => kind,
            Err(Refused::Lost(problem)) => {
                problems.push(at(problem, &file));
                EntryKind::Lost
            }
            Err(Refused::Gone(problem)) => {
                let other = problem.code == Code::UnexpectedFile;
                problems.push(at(problem, &file));
                if other {
                    return None;
                }
                EntryKind::Gone
            }
        }
    };
    Some(FolderEntry { name, file, path, kind, twin: None })
}

/// A file that is kept elsewhere: it goes by its own name and cannot be used.
fn stand_in(name: &str, folder: &str, path: PathBuf, problems: &mut Vec<Problem>) -> FolderEntry {
    let name = stood_for(name).to_owned();
    let file = format!("{folder}/{name}");
    let message = format!("{} is kept in the cloud and not on this computer", ticked(&name));
    let problem = Problem::new(Code::NotHere, message)
        .hint("have the sync keep this folder on this computer; until then the page stays as it was");
    problems.push(at(problem, &file));
    FolderEntry { name, file, path, kind: EntryKind::Lost, twin: None }
}

/// Which of two versions is right only the owner knows, so the second is never shown, and never removed.
fn conflict(name: &str, file: &str) -> Problem {
    let message = format!("{} is a second version that a sync kept, and is not read", ticked(name));
    let hint = "look which of the two is right, keep that under the plain name, and take this one away";
    at(Problem::new(Code::ConflictCopy, message).hint(hint), file)
}

/// What stands there, links followed as far as `home` lets them.
fn kind_of(home: &Home, path: &Path, file: &str) -> Result<EntryKind, Refused> {
    match home.facts(path, file)? {
        facts if facts.is_file() => Ok(EntryKind::File),
        facts if facts.is_dir() => Ok(EntryKind::Folder),
        // A pipe or a device: opening it could wait for ever.
        _ => {
            let problem = Problem::new(Code::UnexpectedFile, "this is neither a file nor a folder");
            Err(Refused::Gone(problem.hint("remove it")))
        }
    }
}

fn mark_twins(entries: &mut [FolderEntry]) {
    let mut alike: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, entry) in entries.iter().enumerate() {
        alike.entry(entry.name.to_lowercase()).or_default().push(at);
    }
    for places in alike.into_values() {
        // Round the circle, so that each of three also has one before it but the first.
        for (i, &place) in places.iter().enumerate().filter(|_| places.len() > 1) {
            let other = places[if i == 0 { 1 } else { i - 1 }];
            entries[place].twin = Some(entries[other].name.clone());
        }
    }
}

/// The order of names that a person expects: capitals do not matter, `2` stands before `10`.
/// Names that differ at all are never equal, so the order is the same on every computer.
pub(in crate::read) fn by_name(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a.chars().peekable(), b.chars().peekable());
    loop {
        match (left.peek().copied(), right.peek().copied()) {
            (None, None) => return a.cmp(b),
            (None, _) => return Ordering::Less,
            (_, None) => return Ordering::Greater,
            (Some(x), Some(y)) if x.is_ascii_digit() && y.is_ascii_digit() => {
                let (x, y) = (digits(&mut left), digits(&mut right));
                // Without leading zeros the longer number is the larger one.
                let order = x.len().cmp(&y.len()).then_with(|| x.cmp(&y));
                if order.is_ne() {
                    return order;
                }
            }
            (Some(x), Some(y)) => {
                let order = x.to_lowercase().cmp(y.to_lowercase());
                if order.is_ne() {
                    return order;
                }
                left.next();
                right.next();
            }
        }
    }
}

/// The digits that come next, without leading zeros.
fn digits(chars: &mut std::iter::Peekable<std::str::Chars<'_>>) -> String {
    let mut run = String::new();
    while let Some(digit) = chars.next_if(char::is_ascii_digit) {
        if !(run.is_empty() && digit == '0') {
            run.push(digit);
        }
    }
    run
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stand_in_the_order_that_a_person_expects() {
        let mut names =
            vec!["10 side.jpg", "2 front.jpg", "Eyes.jpg", "eyes.jpg", "beak.jpg", "02 front.jpg"];
        names.sort_by(|a, b| by_name(a, b));
        assert_eq!(names, ["02 front.jpg", "2 front.jpg", "10 side.jpg", "beak.jpg", "Eyes.jpg", "eyes.jpg"]);
        assert!(by_name("26-9", "26-041").is_lt());
        assert!(by_name("a", "a").is_eq() && by_name("A", "a").is_ne());
    }

    #[test]
    fn the_order_is_total() {
        // Sorting panics or differs between runs if an order contradicts itself.
        let parts = ["", "0", "00", "1", "01", "a", "A", "é", "b10", "b9", "B09", "-", " "];
        for a in parts {
            for b in parts {
                assert_eq!(by_name(a, b), by_name(b, a).reverse(), "{a:?} {b:?}");
                for c in parts {
                    if by_name(a, b).is_lt() && by_name(b, c).is_lt() {
                        assert!(by_name(a, c).is_lt(), "{a:?} {b:?} {c:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn hidden_names_are_left_out_and_folders_told_from_files() {
        let shop = tempfile::tempdir().unwrap();
        let path = fs::canonicalize(shop.path()).unwrap();
        let home = Home::new(path.clone(), &path);
        for name in [".DS_Store", "Thumbs.db", "a.txt"] {
            fs::File::create(path.join(name)).unwrap();
        }
        fs::create_dir(path.join("b")).unwrap();
        let mut problems = Vec::new();
        let found = list(&home, &path, "content", &mut problems).unwrap();
        let seen: Vec<_> = found.iter().map(|e| (e.name.as_str(), e.kind)).collect();
        assert_eq!(seen, [("a.txt", EntryKind::File), ("b", EntryKind::Folder)]);
        assert!(problems.is_empty());
        assert!(list(&home, &path.join("none"), "content/none", &mut problems).is_err());
    }
}
