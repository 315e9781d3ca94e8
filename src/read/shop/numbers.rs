//! `numbers.txt`: what was given, from the file and from every second version of it that a sync kept.
//!
//! All of them count: a number that stands in any was given. A part that cannot be read is told and takes nothing away from the rest.
//! What the lines mean is `work::issued`'s.

use crate::base::files;
use crate::base::issued::{FILE, Issued};
use crate::base::passing::{Passing, passing};
use crate::base::words::{count, ticked};
use crate::problem::{Code, Problem, Severity};
use crate::read::disk::folder::{self, FolderEntry};
use std::fs;
use std::path::{Path, PathBuf};

/// Some hundred thousand lines.
pub const LIMIT: u64 = 64 << 20;

/// Whether a file of the content folder is another version of it: `numbers (1).txt`, `numbers.sync-conflict-….txt`.
pub(in crate::read) fn is_copy(name: &str) -> bool {
    let small = name.to_lowercase();
    let conflict = passing(name) == Some(Passing::Conflict) && !small.starts_with('.');
    small != FILE && small.starts_with("numbers") && (small.ends_with(".txt") || conflict)
}

/// All that was given.
pub(in crate::read) fn read(home: &Path, problems: &mut Vec<Problem>) -> Issued {
    let mut issued = Issued::default();
    // They are told as what they are here.
    problems.retain(|problem| {
        let name = problem.place.as_ref().and_then(|place| place.file.strip_prefix("content/"));
        problem.code != Code::ConflictCopy || !name.is_some_and(is_copy)
    });
    for name in names(home) {
        let file = format!("content/{name}");
        if name != FILE {
            let message = format!("{} is a second version of {}; both are read", ticked(&name), ticked(FILE));
            let hint = "add its lines to the end of `numbers.txt`, each on a line of its own, and take this one away";
            problems.push(folder::at(Problem::new(Code::ConflictCopy, message).hint(hint), &file));
        }
        match files::read_up_to(&home.join(&name), LIMIT) {
            Ok(bytes) => {
                let unread = issued.take_in(&String::from_utf8_lossy(&bytes));
                problems.extend(unread_lines(&unread, &file));
            }
            Err(cause) => {
                let problem = Problem::new(Code::Unreadable, cause.to_string());
                let hint = "bring it back from a backup; without it a number may be given twice";
                problems.push(folder::at(problem.hint(hint), &file));
            }
        }
    }
    issued
}

/// The files by name, the plain one first. Links and pipes are told elsewhere and not opened.
fn names(home: &Path) -> Vec<String> {
    let entries = fs::read_dir(home).into_iter().flatten().flatten();
    let files = entries.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file()));
    let mut names: Vec<String> = files.filter_map(|entry| entry.file_name().into_string().ok()).collect();
    names.retain(|name| name == FILE || is_copy(name));
    names.sort_by_key(|name| (name != FILE, name.clone()));
    names
}

fn unread_lines(unread: &[usize], file: &str) -> Option<Problem> {
    let first = unread.first()?;
    let message = match unread.len() {
        1 => format!("line {first} cannot be read; if it begins with a number, that counts as given"),
        all => format!(
            "{} cannot be read, from line {first} on; their numbers count as given",
            count(all, "line")
        ),
    };
    let hint = "bring the file back from a backup, or take the broken lines out";
    Some(folder::at(Problem::new(Code::BadValue, message).with_severity(Severity::Note).hint(hint), file))
}

/// Where it lies.
pub fn path(root: &Path) -> PathBuf {
    root.join("content").join(FILE)
}

/// Whether this is one of the files that are read here.
pub(in crate::read) fn is_read(entry: &FolderEntry) -> bool {
    entry.is_file() && is_copy(&entry.name)
}
