//! A look at every file of the watched folders: which there are, how long, written when. Two looks side by
//! side tell what changed, without any event.

use super::folders::WatchedFolders;
use crate::base::files::identity;
use crate::base::names::is_hidden;
use crate::base::stamp::Stamp;
use std::collections::BTreeMap;
use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};

/// Deeper than this nothing is read.
const DEEPEST: usize = 12;

/// What tells one state of a file or folder from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// Which one it is, where the system tells; what happens in it has stamps of its own.
    Folder(Option<(u64, u64)>),
    File(Stamp),
}

/// Everything that was there.
#[derive(Clone, Debug, Default)]
pub(super) struct Survey(BTreeMap<PathBuf, State>);

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
            self.0.insert(path, State::of(&facts));
        }
    }

    /// The paths at which the two are not the same.
    pub fn differing(&self, before: &Survey) -> Vec<PathBuf> {
        let changed = self.0.iter().filter(|(path, state)| before.0.get(*path) != Some(*state));
        let gone = before.0.keys().filter(|path| !self.0.contains_key(*path));
        changed.map(|(path, _)| path).chain(gone).cloned().collect()
    }
}

impl State {
    fn of(facts: &Metadata) -> State {
        if facts.is_dir() { State::Folder(identity(facts)) } else { State::File(Stamp::of(facts)) }
    }
}
