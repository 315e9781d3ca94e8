//! What lies in `public/`, with a digest of each file. It is taken once; each file is compared with its digest when it
//! is sent, so that a pass that writes meanwhile is noticed.

use super::Halt;
use crate::base::digest::Digest;
use crate::base::files::{FileError, is_draft_name, read_up_to, with_path};
use crate::base::stamp::Stamp;
use crate::problem::{Code, Problem};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The site as it lay in `public/` at one moment.
#[derive(Debug)]
pub struct Local {
    folder: PathBuf,
    pub(super) files: BTreeMap<String, File>,
    /// What lies there and is not put up: links, and names that no address can have.
    pub left_out: Vec<String>,
}

/// One file of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct File {
    pub digest: Digest,
    pub bytes: u64,
}

/// Folders deeper than this are no site.
const DEEPEST: usize = 24;

impl Local {
    /// Looks at every file of the folder. `known` gives the digest of a file that has not changed since it was written.
    ///
    /// # Errors
    /// A file or folder that cannot be read.
    pub fn read(
        folder: &Path,
        known: &(dyn Fn(&str, &Stamp) -> Option<Digest> + Sync),
    ) -> Result<Local, Problem> {
        let mut found = Vec::new();
        let mut left_out = Vec::new();
        walk(folder, "", 0, &mut found, &mut left_out).map_err(|e| unread(&e))?;
        let looked: Result<Vec<(String, File)>, FileError> = found
            .into_par_iter()
            .map(|(path, stamp)| {
                let at = folder.join(&path);
                let digest = match known(&path, &stamp) {
                    Some(digest) => digest,
                    None => with_path(Digest::of_file(&at), "read", &at)?,
                };
                Ok((path, File { digest, bytes: stamp.bytes }))
            })
            .collect();
        let files = looked.map_err(|e| unread(&e))?.into_iter().collect();
        Ok(Local { folder: folder.to_owned(), files, left_out })
    }

    /// The bytes of a file, which must be those that were seen at first.
    pub(super) fn bytes(&self, path: &str) -> Result<Vec<u8>, Halt> {
        let file = self.files.get(path).ok_or(Halt::Moved)?;
        let bytes = read_up_to(&self.folder.join(path), file.bytes).map_err(|_| Halt::Moved)?;
        match file.digest == Digest::of(&bytes) {
            true => Ok(bytes),
            false => Err(Halt::Moved),
        }
    }

    /// Whether the site has this file.
    pub fn has(&self, path: &str) -> bool {
        self.files.contains_key(path)
    }

    /// How many files it has.
    pub fn len(&self) -> usize {
        self.files.len()
    }
}

fn walk(
    folder: &Path,
    prefix: &str,
    depth: usize,
    found: &mut Vec<(String, Stamp)>,
    left_out: &mut Vec<String>,
) -> Result<(), FileError> {
    for entry in with_path(fs::read_dir(folder), "read", folder)? {
        let entry = with_path(entry, "read", folder)?;
        let Ok(name) = entry.file_name().into_string() else {
            left_out.push(format!("{prefix}{}", entry.file_name().to_string_lossy()));
            continue;
        };
        let path = format!("{prefix}{name}");
        // Another pass may have taken away what was there a moment ago.
        let Ok(facts) = entry.metadata() else { continue };
        if is_draft_name(&name) {
            continue;
        }
        if facts.is_dir() && depth < DEEPEST {
            walk(&entry.path(), &format!("{path}/"), depth + 1, found, left_out)?;
        } else if facts.is_file() && name.chars().all(|c| !c.is_control() && c != '\\') {
            found.push((path, Stamp::of(&facts)));
        } else {
            left_out.push(path);
        }
    }
    Ok(())
}

fn unread(error: &FileError) -> Problem {
    Problem::new(Code::NothingToPost, error.to_string()).hint("run `benchlight make`, then this again")
}
