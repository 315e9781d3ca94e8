//! A glance at folders: which files there are and their stamps, as one digest, without reading any of them.

use super::digest::Digest;
use super::stamp::Stamp;
use rayon::prelude::*;
use std::fs;
use std::path::Path;

/// Deeper than this nothing is read.
const DEEPEST: usize = 12;

/// The digest of the names and stamps of all files in a folder. `None` where that would not tell every change: a file
/// that changed at `moment` or later, a link, a folder too deep or that cannot be listed.
pub fn of(folder: &Path, moment: i64) -> Option<Digest> {
    match fs::symlink_metadata(folder) {
        Err(_) => Some(Digest::of(b"")),
        Ok(facts) => facts.is_dir().then(|| within(folder, moment, 0))?,
    }
}

fn within(folder: &Path, moment: i64, depth: usize) -> Option<Digest> {
    if depth > DEEPEST {
        return None;
    }
    let mut entries: Vec<_> = fs::read_dir(folder).ok()?.collect::<Result<_, _>>().ok()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    let one = |entry: &fs::DirEntry| {
        let kind = entry.file_type().ok()?;
        if kind.is_dir() {
            let inside = within(&entry.path(), moment, depth + 1)?;
            return Some(Digest::of_value(&(entry.file_name(), inside)));
        }
        let stamp = Stamp::of(&entry.metadata().ok()?);
        (kind.is_file() && stamp.is_settled(moment)).then(|| Digest::of_value(&(entry.file_name(), stamp)))
    };
    // Many folders side by side; the few files of one are not worth handing around.
    let each: Option<Vec<Digest>> = if entries.len() > 64 {
        entries.par_iter().map(one).collect()
    } else {
        entries.iter().map(one).collect()
    };
    Some(Digest::of_value(&each?))
}

#[cfg(test)]
mod tests;
