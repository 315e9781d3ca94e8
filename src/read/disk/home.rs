//! Where an entry of the content folder may come from: a link stays within its own kind of folder, and no name but its own
//! leads to a key.
//!
//! Whatever is read here may be published, so that a link from `pages` to `shop.key` would publish the key. Photos alone
//! may be shared between the folders that show some. What an entry means is for whoever asked.

use crate::base::files::{identities, identity};
use crate::base::issued;
use crate::base::names::{is_hidden, is_key_file, is_photo};
use crate::problem::{Code, Problem};
use std::fs::{self, Metadata};
use std::path::{Component, Path, PathBuf};

/// The content folder by its real path, and which files are keys.
#[derive(Debug)]
pub(in crate::read) struct Home {
    pub path: PathBuf,
    keys: Vec<(u64, u64)>,
}

/// What may lie in the content folder itself.
pub(in crate::read) const NAMES: [&str; 9] = [
    "shop.toml",
    "shop.key",
    "shop.id",
    issued::FILE,
    "partners.toml",
    "routes",
    "jobs",
    "showroom",
    "pages",
];

/// Folders of photos, which may lend each other some.
const WITH_PHOTOS: [&str; 3] = ["jobs", "showroom", "pages"];

/// What nobody but the owner is to see, by the name of a file or folder on the way.
const UNSEEN: [&str; 4] = ["not shown", "hide", "hidden", "private"];

/// Why an entry is not taken.
pub(in crate::read) enum Refused {
    /// It leads where it must not; what was made of it before stays until it is mended.
    Lost(Problem),
    /// It would show what nobody may see, so that nothing that was made of it may stay either.
    Gone(Problem),
}

impl Home {
    /// The content folder at `path`, in the shop at `root`.
    pub fn new(path: PathBuf, root: &Path) -> Home {
        let keys = [&path, root].map(|folder| identities(folder, is_key_file)).concat();
        Home { path, keys }
    }

    /// What an entry really is: the facts of what its link leads to, if it is one. `file` is its path as messages have it.
    pub fn facts(&self, path: &Path, file: &str) -> Result<Metadata, Refused> {
        let own = fs::symlink_metadata(path).map_err(|e| Refused::Lost(unreadable(&e)))?;
        let facts = match own.is_symlink() {
            true => self.followed(path, file)?,
            false => own,
        };
        let is_key = facts.is_file() && identity(&facts).is_some_and(|this| self.keys.contains(&this));
        // In the content folder itself, under its own name, it is where it belongs.
        let belongs = file.split('/').count() == 2 && file.rsplit('/').next().is_some_and(is_key_file);
        if is_key && !belongs { Err(Refused::Gone(key_shown())) } else { Ok(facts) }
    }

    fn followed(&self, path: &Path, file: &str) -> Result<Metadata, Refused> {
        let Ok(target) = fs::canonicalize(path) else {
            let problem = Problem::new(Code::Unreadable, "the link leads to nothing");
            return Err(Refused::Lost(problem.hint("remove it, or put the file itself here")));
        };
        let Ok(inside) = target.strip_prefix(&self.path) else {
            let message = "the link leads out of the content folder and is not followed";
            return Err(Refused::Lost(leads_out(message)));
        };
        let facts = fs::metadata(&target).map_err(|e| Refused::Lost(unreadable(&e)))?;
        let names: Vec<String> = inside.components().map(name_of).collect();
        let is_key = names.last().is_some_and(|name| is_key_file(name)) && names.len() == 1;
        if is_key && !file.rsplit('/').next().is_some_and(is_key_file) {
            return Err(Refused::Gone(key_shown()));
        }
        if names.iter().any(|name| is_unseen(name)) {
            let message = "the link leads to what is hidden or not to be shown";
            return Err(Refused::Gone(leads_out(message)));
        }
        if !self.is_own_kind(&target, file, &facts) {
            let message = "the link leads to another kind of file or folder than belongs here";
            return Err(Refused::Lost(leads_out(message)));
        }
        Ok(facts)
    }

    /// Whether a link's end lies where entries such as this one lie, and is named like one.
    fn is_own_kind(&self, target: &Path, file: &str, facts: &Metadata) -> bool {
        let mut parts = file.split('/').skip(1);
        let (top, below) = (parts.next().unwrap_or_default(), parts.next());
        let in_folder = |name: &str| {
            let folder = self.path.join(name);
            target.starts_with(fs::canonicalize(&folder).unwrap_or(folder))
        };
        let (name, end) = (file.rsplit('/').next().unwrap_or_default(), name_of_path(target));
        let photos = is_photo(name) && is_photo(&end);
        if facts.is_file() && !photos && ending(name) != ending(&end) {
            return false;
        }
        match below {
            Some(_) if photos && WITH_PHOTOS.contains(&top) => {
                WITH_PHOTOS.iter().any(|folder| in_folder(folder))
            }
            Some(_) => in_folder(top),
            // The content folder's own entries may lie anywhere in it but in each other.
            None => !NAMES.iter().filter(|other| **other != top).any(|other| in_folder(other)),
        }
    }
}

fn is_unseen(name: &str) -> bool {
    let lower = name.to_lowercase();
    let wished = UNSEEN.iter().any(|word| {
        lower.strip_prefix(word).is_some_and(|rest| !rest.starts_with(|c: char| c.is_alphanumeric()))
    });
    is_hidden(name) || wished
}

fn name_of(part: Component<'_>) -> String {
    part.as_os_str().to_string_lossy().into_owned()
}

fn name_of_path(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

fn ending(name: &str) -> String {
    name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).unwrap_or_default()
}

fn key_shown() -> Problem {
    Problem::new(Code::KeyShown, "this is a key of the shop under another name, and is not read")
        .hint("take it away here; if it was on your site or in a shared folder, make a new key with `benchlight open --new-key`")
}

fn leads_out(message: &str) -> Problem {
    Problem::new(Code::LinkLeadsOut, message).hint("put the file or folder itself here")
}

fn unreadable(cause: &std::io::Error) -> Problem {
    Problem::new(Code::Unreadable, format!("it could not be looked at ({cause})"))
        .hint("look whether it opens on this computer")
}
