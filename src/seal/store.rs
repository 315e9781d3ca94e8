//! Sealed photos, kept in the shop's hidden folder so that each is sealed once, as its renditions are made once.
//!
//! `sealed/<first two digits>/<id>.bin` is a sealed file, by the digest of page key, role and content; `sealed/index.json` says how long each is,
//! its digest, and the stamp that it is known again by. Whatever does not fit is sealed again. The folder may be deleted
//! at any time, and what a pass gives never depends on it.

use crate::base::digest::Digest;
use crate::base::files::{FileError, read_up_to, replace_quickly, with_path};
use crate::base::stamp::Stamp;
use crate::model::seal::ENDING;
use crate::model::{Body, PageKey};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// The part of the hidden folder that is this room's own.
const FOLDER: &str = "sealed";
const INDEX: &str = "index.json";
/// An index of a million files is about this large.
const LIMIT: u64 = 256 << 20;

/// What was sealed before.
#[derive(Debug)]
pub struct Store {
    folder: PathBuf,
    before: BTreeMap<Digest, StoredFile>,
    now: Mutex<BTreeMap<Digest, StoredFile>>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct StoredFile {
    digest: Digest,
    stamp: Stamp,
}

/// The name of a sealed file in here.
pub fn id(key: &PageKey, role: &str, content: &Digest) -> Digest {
    Digest::of_value(&("sealed 1", key.reveal(), role, content.hex()))
}

impl Store {
    /// What the hidden folder holds; nothing if that is missing or damaged.
    pub fn open(hidden: &Path) -> Store {
        let folder = hidden.join(FOLDER);
        let index = read_up_to(&folder.join(INDEX), LIMIT).unwrap_or_default();
        let before = serde_json::from_slice(&index).unwrap_or_default();
        Store { folder, before, now: Mutex::default() }
    }

    fn path(&self, id: &Digest) -> PathBuf {
        let id = id.hex();
        self.folder.join(id.get(..2).unwrap_or_default()).join(format!("{id}{ENDING}"))
    }

    fn now(&self) -> MutexGuard<'_, BTreeMap<Digest, StoredFile>> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A file that was sealed before and lies there untouched.
    pub fn recall(&self, id: &Digest) -> Option<Body> {
        let kept = self.before.get(id)?;
        let path = self.path(id);
        let stamp = Stamp::of(&fs::symlink_metadata(&path).ok()?);
        let digest = Some(kept.digest).filter(|_| stamp == kept.stamp)?;
        self.now().insert(*id, kept.clone());
        Some(Body::Cached { path, digest, bytes: stamp.bytes })
    }

    /// Keeps a file that was sealed now.
    pub fn keep(&self, id: Digest, sealed: &[u8]) -> Result<Body, FileError> {
        let path = self.path(&id);
        replace_quickly(&path, sealed)?;
        let digest = Digest::of(sealed);
        let stamp = Stamp::of(&with_path(fs::symlink_metadata(&path), "look at", &path)?);
        let bytes = sealed.len() as u64;
        self.now().insert(id, StoredFile { digest, stamp });
        Ok(Body::Cached { path, digest, bytes })
    }

    /// Ends a pass: what it did not ask for goes, and the rest is noted down for the next. What cannot be noted down only makes
    /// that slower.
    pub fn end_pass(&mut self) {
        let now = std::mem::take(self.now.get_mut().unwrap_or_else(PoisonError::into_inner));
        if now == self.before {
            return;
        }
        let index = self.folder.join(INDEX);
        let _ = serde_json::to_vec(&now).map(|text| replace_quickly(&index, &text));
        self.before = now;
        for drawer in entries(&self.folder) {
            for file in entries(&drawer) {
                let id = file.file_stem().and_then(|name| Digest::from_hex(name.to_str()?));
                if !id.is_some_and(|id| self.before.contains_key(&id)) {
                    let _ = fs::remove_file(&file);
                }
            }
            let _ = fs::remove_dir(&drawer);
        }
    }
}

/// The folders or files in a folder; none if it cannot be read.
fn entries(folder: &Path) -> Vec<PathBuf> {
    let listed = fs::read_dir(folder).into_iter().flatten();
    listed.filter_map(|entry| Some(entry.ok()?.path())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept_in(store: &Store, id: &Digest) -> Option<Vec<u8>> {
        match store.recall(id)? {
            Body::Cached { path, .. } => fs::read(path).ok(),
            Body::Bytes(_) => None,
        }
    }

    #[test]
    fn what_is_kept_is_recalled_until_a_pass_does_not_ask_for_it() {
        let folder = tempfile::tempdir().unwrap();
        let mut store = Store::open(folder.path());
        let (one, two) = (Digest::of(b"1"), Digest::of(b"2"));
        store.keep(one, b"one").unwrap();
        store.keep(two, b"two").unwrap();
        store.end_pass();
        assert_eq!(kept_in(&store, &one).as_deref(), Some(&b"one"[..]));
        let mut later = Store::open(folder.path());
        assert_eq!(kept_in(&later, &two).as_deref(), Some(&b"two"[..]));
        later.end_pass();
        assert_eq!(kept_in(&later, &one), None);
        assert!(!later.path(&one).exists() && later.path(&two).exists());
    }

    #[test]
    fn what_was_touched_is_sealed_again() {
        let folder = tempfile::tempdir().unwrap();
        let mut store = Store::open(folder.path());
        let id = Digest::of(b"1");
        store.keep(id, b"one").unwrap();
        store.end_pass();
        replace_quickly(&store.path(&id), b"two").unwrap();
        assert_eq!(kept_in(&store, &id), None);
        replace_quickly(&folder.path().join(FOLDER).join(INDEX), b"{").unwrap();
        assert_eq!(kept_in(&Store::open(folder.path()), &id), None);
    }
}
