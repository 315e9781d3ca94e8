//! A look at every file of the watched folders: which there are, how long, written when. Two looks side by
//! side tell what changed, without any event.

use super::folders::WatchedFolders;
use crate::base::names::is_hidden;
use std::collections::BTreeMap;
use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

/// Deeper than this nothing is read.
const DEEPEST: usize = 12;

/// What tells one state of a file from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Stamp {
    folder: bool,
    length: u64,
    written: u128,
    /// Which file it is, where the system tells.
    node: u64,
}

/// Everything that was there.
#[derive(Clone, Debug, Default)]
pub(super) struct Survey(BTreeMap<PathBuf, Stamp>);

impl Survey {
    pub fn of(folders: &WatchedFolders) -> Survey {
        let mut survey = Survey::default();
        for place in folders.all() {
            survey.gather(&place.real, 0);
        }
        survey
    }

    fn gather(&mut self, folder: &Path, depth: usize) {
        let Ok(entries) = fs::read_dir(folder) else { return };
        for entry in entries.flatten() {
            if is_hidden(&entry.file_name().to_string_lossy()) {
                continue;
            }
            let path = entry.path();
            // Not following links: what they lead to is looked at where it lies.
            let Ok(facts) = entry.metadata() else { continue };
            if facts.is_dir() && depth < DEEPEST {
                self.gather(&path, depth + 1);
            }
            self.0.insert(path, Stamp::of(&facts));
        }
    }

    /// The paths at which the two are not the same.
    pub fn differing(&self, before: &Survey) -> Vec<PathBuf> {
        let changed = self.0.iter().filter(|(path, stamp)| before.0.get(*path) != Some(*stamp));
        let gone = before.0.keys().filter(|path| !self.0.contains_key(*path));
        changed.map(|(path, _)| path).chain(gone).cloned().collect()
    }
}

impl Stamp {
    fn of(facts: &Metadata) -> Stamp {
        if facts.is_dir() {
            // What happens in it has stamps of its own.
            return Stamp { folder: true, length: 0, written: 0, node: node(facts) };
        }
        let since = facts.modified().ok().and_then(|time| time.duration_since(UNIX_EPOCH).ok());
        let written = since.map_or(0, |since| since.as_nanos());
        Stamp { folder: false, length: facts.len(), written, node: node(facts) }
    }
}

#[cfg(unix)]
fn node(facts: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(facts)
}

#[cfg(not(unix))]
fn node(_facts: &Metadata) -> u64 {
    0
}
