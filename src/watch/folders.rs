//! Which folders of a shop are watched, and whether they are still the ones that they were.
//!
//! A synced folder can be renamed, taken away and put back; a watch that was set on the old one sees nothing
//! of the new one.

use crate::base::names::is_hidden;
use std::fs;
use std::path::{Path, PathBuf};

/// What of a shop's folder a pass depends on.
const NAMES: [&str; 2] = ["content", "themes"];

/// The folders of one shop.
#[derive(Debug)]
pub(super) struct WatchedFolders {
    shop: PathBuf,
    found: Vec<WatchedFolder>,
}

/// One watched folder: by its name in the shop, where that really is, and which folder it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct WatchedFolder {
    /// Its real path; links are followed.
    pub real: PathBuf,
    /// Differs for another folder at the same path, as far as the system can tell.
    identity: Option<(u64, u64)>,
}

impl WatchedFolders {
    pub fn of(shop: &Path) -> WatchedFolders {
        let shop = std::path::absolute(shop).unwrap_or_else(|_| shop.to_owned());
        let found = find(&shop);
        WatchedFolders { shop, found }
    }

    /// The folders that are there.
    pub fn all(&self) -> &[WatchedFolder] {
        &self.found
    }

    /// The shop's own folder, in which one of them may come or go.
    pub fn shop(&self) -> Option<PathBuf> {
        fs::canonicalize(&self.shop).ok()
    }

    /// Whether other folders are there now.
    pub fn moved(&self) -> bool {
        find(&self.shop) != self.found
    }

    pub fn find_again(&mut self) {
        self.found = find(&self.shop);
    }

    /// Whether this is one of the folders themselves.
    pub fn is_root(&self, path: &Path) -> bool {
        self.found.iter().any(|place| place.real == path)
    }

    /// Whether a change at this path can change the site. What is hidden is the system's, a sync's or an
    /// editor's own; what lies in the shop besides is our own output.
    pub fn matters(&self, path: &Path) -> bool {
        let in_place = self.found.iter().find_map(|place| path.strip_prefix(&place.real).ok());
        let Some(inside) = in_place else {
            let name = path.file_name().and_then(|name| name.to_str());
            return name.is_some_and(|name| NAMES.contains(&name)) && path.parent() == self.shop().as_deref();
        };
        !inside.components().any(|part| is_hidden(&part.as_os_str().to_string_lossy()))
    }
}

fn find(shop: &Path) -> Vec<WatchedFolder> {
    let real = NAMES.iter().filter_map(|name| fs::canonicalize(shop.join(name)).ok());
    real.map(|real| WatchedFolder { identity: identity(&real), real }).collect()
}

#[cfg(unix)]
fn identity(folder: &Path) -> Option<(u64, u64)> {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(folder).ok().map(|facts| (facts.dev(), facts.ino()))
}

#[cfg(not(unix))]
fn identity(folder: &Path) -> Option<(u64, u64)> {
    let made = fs::metadata(folder).ok()?.created().ok()?;
    let since = made.duration_since(std::time::UNIX_EPOCH).ok()?;
    Some((since.as_secs(), u64::from(since.subsec_nanos())))
}
