//! The host behind the few calls that posting needs: list, put, read, remove, and folders where it has any.
//!
//! What is asked in which order is for `plan` and `carry_out`.
//!
//! **Why `opendal`.** It has all four kinds of place behind one set of calls, with retries and waiting times as layers, and hands over its HTTP,
//! which is how requests are counted. `object_store` offers no SFTP (from memory, its source was not read), so a second library would have been
//! needed. SFTP goes through the system's `ssh` (its keys, agent, settings and known hosts). TLS goes through `rustls` with `ring`, which needs `cc`
//! and nothing else (the usual provider brings a large C library). With what goes with it, it brings 139 of the 505
//! locked crates, and a clean build takes minutes longer (not measured by itself).
//!
//! Read in its source, and worked around:
//!
//! - it makes each folder anew before every WebDAV `PUT` (switched off, folders are made once);
//! - it panics on an SFTP name that is not UTF-8 (caught, reported);
//! - its errors carry addresses and answers' headers (never shown: `trouble`);
//! - its retries write causes to a log (switched off).

use super::ours;
use super::trouble::{self, Doing};
use crate::base::media_type::media_type;
use crate::model::Role;
use crate::problem::Problem;
use futures::{FutureExt, StreamExt, TryStreamExt};
use opendal::{EntryMode, Operator};
use std::collections::{BTreeMap, BTreeSet};
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The four kinds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum HostKind {
    Folder,
    Storage,
    Sftp,
    Webdav,
}

/// A place that can be asked.
#[derive(Debug)]
pub(super) struct Host {
    operator: Operator,
    pub kind: HostKind,
    calls: Arc<AtomicUsize>,
    words: String,
}

/// A file as a listing tells of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct HostFile {
    pub bytes: u64,
    /// The host's own word for what it holds: an entity tag, else the time of writing.
    pub tag: String,
    /// Whether it is a file, and no link or pipe.
    pub plain: bool,
}

/// What a host holds.
#[derive(Clone, Debug, Default)]
pub(super) struct Listing {
    pub files: BTreeMap<String, HostFile>,
    /// Folders, each with its slash; none at a place that has only names.
    pub folders: BTreeSet<String>,
}

impl Host {
    pub fn new(operator: Operator, kind: HostKind, calls: Arc<AtomicUsize>, words: String) -> Host {
        Host { operator, kind, calls, words }
    }

    pub fn requests(&self) -> usize {
        self.calls.load(Ordering::Relaxed)
    }

    pub fn over_http(&self) -> bool {
        matches!(self.kind, HostKind::Storage | HostKind::Webdav)
    }

    pub fn has_folders(&self) -> bool {
        self.kind != HostKind::Storage
    }

    /// So many requests are under way at once.
    pub fn side_by_side(&self) -> usize {
        match self.kind {
            HostKind::Storage => 8,
            HostKind::Webdav => 6,
            HostKind::Sftp | HostKind::Folder => 4,
        }
    }

    /// Everything below the root.
    pub async fn list(&self) -> Result<Listing, Problem> {
        if self.kind == HostKind::Storage {
            let mut listing = Listing::default();
            let mut lister = self
                .operator
                .lister_with("/")
                .recursive(true)
                .await
                .map_err(|e| self.problem(Doing::List, "", &e))?;
            while let Some(entry) = lister.try_next().await.map_err(|e| self.problem(Doing::List, "", &e))? {
                listing.take("", &entry);
            }
            return Ok(listing);
        }
        let mut listing = Listing::default();
        let mut folders = vec![String::new()];
        while !folders.is_empty() {
            let looks = folders.iter().map(|folder| self.list_folder(folder));
            let found: Vec<Listing> =
                futures::stream::iter(looks).buffer_unordered(self.side_by_side()).try_collect().await?;
            folders.clear();
            for part in found {
                folders.extend(part.folders.iter().cloned());
                listing.files.extend(part.files);
                listing.folders.extend(part.folders);
            }
        }
        Ok(listing)
    }

    /// What lies in one folder, without what is in the folders in it. A folder that is not there has nothing in it.
    pub async fn list_folder(&self, folder: &str) -> Result<Listing, Problem> {
        self.count();
        let path = if folder.is_empty() { "/" } else { folder };
        // The library gives up on a name that is no text by a panic; such a name is told like anything else it says.
        let listed = AssertUnwindSafe(self.operator.list(path)).catch_unwind().await;
        let entries = match listed {
            Ok(Ok(entries)) => entries,
            Ok(Err(error)) if error.kind() == opendal::ErrorKind::NotFound => return Ok(Listing::default()),
            Ok(Err(error)) => return Err(self.problem(Doing::List, folder, &error)),
            Err(_) => return Err(trouble::odd_name(&self.words, folder)),
        };
        let mut listing = Listing::default();
        entries.iter().for_each(|entry| listing.take(folder, entry));
        Ok(listing)
    }

    /// Puts a file so that a reader meets the old one or the new one, never a part.
    pub async fn put(&self, path: &str, bytes: Vec<u8>) -> Result<(), Problem> {
        let refused = |error: opendal::Error| self.problem(Doing::Put, path, &error);
        match self.kind {
            HostKind::Storage => {
                let role = Role::of(path);
                let mut write = self
                    .operator
                    .write_with(path, bytes)
                    .content_type(media_type(path))
                    .cache_control(role.caching());
                if let Some(robots) = role.robots() {
                    write = write.user_metadata([("x-robots-tag".to_owned(), robots.to_owned())]);
                }
                write.await.map_err(refused)?;
            }
            // The servers in common use write beside and rename by themselves; a MOVE of our own would leave a gap.
            HostKind::Webdav => {
                self.operator.write_with(path, bytes).await.map_err(refused)?;
            }
            HostKind::Folder | HostKind::Sftp => {
                let (draft, whole) = (ours::draft(path), bytes.len() as u64);
                self.count();
                self.operator.write(&draft, bytes).await.map_err(refused)?;
                // The library takes no notice of what SFTP says to the last bytes.
                if self.kind == HostKind::Sftp {
                    self.count();
                    let there = self.operator.stat(&draft).await.map_err(refused)?.content_length();
                    if there != whole {
                        return Err(trouble::cut_short(&self.words, path));
                    }
                }
                self.count();
                self.operator.rename(&draft, path).await.map_err(refused)?;
            }
        }
        Ok(())
    }

    /// The beginning of a file, or all of it.
    pub async fn read(&self, path: &str, at_most: Option<u64>) -> Result<Vec<u8>, Problem> {
        if at_most == Some(0) {
            return Ok(Vec::new());
        }
        self.count();
        let read = match at_most {
            Some(most) => self.operator.read_with(path).range(0..most).await,
            None => self.operator.read(path).await,
        };
        match read {
            Ok(bytes) => Ok(bytes.to_vec()),
            Err(error)
                if [opendal::ErrorKind::NotFound, opendal::ErrorKind::RangeNotSatisfied]
                    .contains(&error.kind()) =>
            {
                Ok(Vec::new())
            }
            Err(error) => Err(self.problem(Doing::Read, path, &error)),
        }
    }

    /// Takes files away, in no order. What the host refuses is handed back with its reason; the others go all the same.
    pub async fn remove(&self, paths: &[String]) -> Vec<(String, Problem)> {
        if self.kind == HostKind::Storage && paths.len() > 1 && self.remove_at_once(paths).await.is_ok() {
            return Vec::new();
        }
        let gone = futures::stream::iter(paths).map(|path| async move {
            self.count();
            let removed = self.operator.delete(path).await;
            removed
                .err()
                .filter(|e| e.kind() != opendal::ErrorKind::NotFound)
                .map(|error| (path.clone(), self.problem(Doing::Remove, path, &error)))
        });
        gone.buffer_unordered(self.side_by_side()).filter_map(|refused| async { refused }).collect().await
    }

    /// A thousand names in one request, where the host can do that.
    async fn remove_at_once(&self, paths: &[String]) -> opendal::Result<()> {
        let mut deleter = self.operator.deleter().await?;
        for path in paths {
            deleter.delete(path.as_str()).await?;
        }
        deleter.close().await
    }

    /// Makes a folder and those above it.
    pub async fn make_folder(&self, folder: &str) -> Result<(), Problem> {
        self.count();
        self.operator.create_dir(folder).await.map_err(|e| self.problem(Doing::Put, folder, &e))
    }

    /// Takes away a folder that was seen to be empty.
    pub async fn remove_folder(&self, folder: &str) -> Result<(), Problem> {
        self.count();
        match self.operator.delete(folder).await {
            Err(error) if error.kind() != opendal::ErrorKind::NotFound => {
                Err(self.problem(Doing::Remove, folder, &error))
            }
            _ => Ok(()),
        }
    }

    /// What is not HTTP is counted here.
    fn count(&self) {
        if !self.over_http() {
            self.calls.fetch_add(1, Ordering::Relaxed);
        }
    }

    fn problem(&self, doing: Doing, path: &str, error: &opendal::Error) -> Problem {
        trouble::of(&self.words, self.kind, doing, path, error)
    }
}

impl Listing {
    fn take(&mut self, folder: &str, entry: &opendal::Entry) {
        let path = entry.path().trim_start_matches('/');
        if path.is_empty() || path == folder || path.split('/').any(|part| part == "..") {
            return;
        }
        let facts = entry.metadata();
        if path.ends_with('/') {
            self.folders.insert(format!("{}/", path.trim_end_matches('/')));
            return;
        }
        let tag = facts.etag().map(|tag| tag.trim_start_matches("W/").trim_matches('"').to_owned());
        let written = || facts.last_modified().map(|time| time.to_string()).unwrap_or_default();
        // A folder's name ends with a slash; what is a folder without one is a link that leads to it.
        let plain = facts.mode() == EntryMode::FILE;
        let bytes = if plain { facts.content_length() } else { 0 };
        self.files.insert(path.to_owned(), HostFile { bytes, tag: tag.unwrap_or_else(written), plain });
    }

    /// Whether something stands in the way of a new file at `path`: a folder of that name, or a file or link that has
    /// the name of one of its folders.
    pub fn blocks(&self, path: &str) -> bool {
        let mut above = path.match_indices('/').map(|(at, _)| &path[..at]);
        above.any(|folder| self.files.contains_key(folder)) || self.folders.contains(&format!("{path}/"))
    }

    /// Whether nothing lies in a folder that was listed.
    pub fn is_empty_in(&self, folder: &str) -> bool {
        let within = |path: &String| path.starts_with(folder) && path != folder;
        !self.files.keys().any(within) && !self.folders.iter().any(within)
    }
}
