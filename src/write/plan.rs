//! What has to be put, what stays and what goes: decided in full before the first byte is written.

use super::keep::Keep;
use super::record::{Entry, Record, owner_word};
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::model::{Body, Piece, Site};
use crate::problem::{Code, Problem, Problems};
use std::collections::BTreeMap;
use std::fs::{self, Metadata};
use std::path::Path;
use std::time::UNIX_EPOCH;

/// What a pass changed in the output folder. Paths are from that folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Changes {
    pub added: Vec<String>,
    pub changed: Vec<String>,
    pub removed: Vec<String>,
    pub unchanged: usize,
    /// Last good files of what could not be made this time.
    pub kept: Vec<String>,
    /// Files that were ours and would have gone, but that somebody has laid their own over since.
    pub left: Vec<String>,
}

/// What the folder is to hold, and how it is to be judged.
#[derive(Debug)]
pub struct Wanted<'a> {
    pub site: &'a Site,
    pub key_mark: &'a str,
    pub today: Day,
    /// Whether a page that carries our mark, but stands in no record, is ours.
    pub adopting: bool,
}

/// The decided pass.
#[derive(Debug)]
pub struct Plan {
    /// Paths to write, in this order.
    pub puts: Vec<String>,
    /// Paths to remove, in this order.
    pub removals: Vec<String>,
    pub changes: Changes,
    after: Record,
}

impl Plan {
    /// Compares the site with what stands in `out`.
    ///
    /// # Errors
    /// `output-taken` for every file that is in the way and not ours; nothing has been touched then.
    pub fn make(wanted: &Wanted<'_>, old: &Record, out: &Path) -> Result<Plan, Problems> {
        let after =
            Record { version: 0, clean: true, key_mark: wanted.key_mark.to_owned(), files: BTreeMap::new() };
        let mut plan = Plan { puts: Vec::new(), removals: Vec::new(), changes: Changes::default(), after };
        plan.put_site(wanted, old, out)?;
        plan.clear_rest(wanted, old, out);
        // Pages come after what they show and go before it.
        plan.puts.sort_by_key(|path| is_page(path));
        plan.removals.sort_by_key(|path| !is_page(path));
        Ok(plan)
    }

    fn put_site(&mut self, wanted: &Wanted<'_>, old: &Record, out: &Path) -> Result<(), Problems> {
        let mut taken = Problems::default();
        for (path, piece) in &wanted.site.files {
            let digest = digest_of(piece);
            let known = old.files.get(path);
            let stands = match blocked(out, path) {
                Some(why) => Stands::Foreign(why),
                None => standing(&out.join(path), path, piece, &digest, known, wanted.adopting),
            };
            match stands {
                Stands::Foreign(why) => {
                    taken.push(in_the_way(out, path, why));
                    continue;
                }
                Stands::Same => self.changes.unchanged += 1,
                Stands::Other => self.changes.changed.push(path.clone()),
                Stands::Nothing => self.changes.added.push(path.clone()),
            }
            if !matches!(stands, Stands::Same) {
                self.puts.push(path.clone());
            }
            let before = known.filter(|k| k.digest == digest.hex());
            let entry = Entry {
                digest: digest.hex(),
                owner: owner_word(&piece.owner),
                since: before.map_or(wanted.today.iso(), |k| k.since.clone()),
                until: folder_of(path).and_then(|folder| wanted.site.ends.get(folder)).map(|day| day.iso()),
                stamp: None,
            };
            self.after.files.insert(path.clone(), entry);
        }
        if taken.is_empty() { Ok(()) } else { Err(taken) }
    }

    /// What the last pass wrote and this one did not make: kept, or removed if it is still ours.
    fn clear_rest(&mut self, wanted: &Wanted<'_>, old: &Record, out: &Path) {
        let keep = Keep::new(wanted, old);
        for (path, entry) in old.files.iter().filter(|(path, _)| !wanted.site.files.contains_key(*path)) {
            if keep.holds(path, entry) {
                self.changes.kept.push(path.clone());
                self.after.files.insert(path.clone(), entry.clone());
            } else if blocked(out, path).is_none() && is_still(&out.join(path), entry) {
                self.changes.removed.push(path.clone());
                self.removals.push(path.clone());
            } else if fs::symlink_metadata(out.join(path)).is_ok() {
                self.changes.left.push(path.clone());
            }
        }
    }

    pub fn is_idle(&self) -> bool {
        self.puts.is_empty() && self.removals.is_empty()
    }

    /// While the pass is under way: all that stood there and all that may come.
    pub fn record_during(&self, old: &Record) -> Record {
        let mut during = self.after.clone();
        during.clean = false;
        for (path, entry) in &old.files {
            during.files.entry(path.clone()).or_insert_with(|| entry.clone());
        }
        during
    }

    /// Notes when each photo was put there, once all are in place.
    pub fn stamp(&mut self, out: &Path) {
        for (path, entry) in self.after.files.iter_mut().filter(|(path, _)| !is_page(path)) {
            entry.stamp = fs::symlink_metadata(out.join(path)).ok().and_then(|facts| stamp(&facts));
        }
    }

    /// When it is over.
    pub fn record_after(&self) -> &Record {
        &self.after
    }
}

/// What stands where a file has to go.
enum Stands {
    Nothing,
    Same,
    Other,
    Foreign(&'static str),
}

fn standing(
    at: &Path,
    path: &str,
    piece: &Piece,
    digest: &Digest,
    known: Option<&Entry>,
    adopting: bool,
) -> Stands {
    let Ok(facts) = fs::symlink_metadata(at) else { return Stands::Nothing };
    if facts.is_dir() {
        return Stands::Foreign("a folder stands there");
    }
    if facts.is_symlink() {
        return Stands::Foreign("a link stands there");
    }
    let untouched =
        known.is_some_and(|k| k.digest == digest.hex() && k.stamp.is_some() && k.stamp == stamp(&facts));
    let same = match &piece.body {
        // Length, record and time settle it without reading the photo again.
        Body::Cached { bytes, .. } if untouched => facts.len() == *bytes,
        Body::Cached { bytes, .. } => {
            facts.len() == *bytes && Digest::of_file(at).is_ok_and(|d| d == *digest)
        }
        Body::Bytes(bytes) => facts.len() == bytes.len() as u64 && fs::read(at).is_ok_and(|b| b == *bytes),
    };
    match (same, known) {
        (true, _) => Stands::Same,
        (false, Some(_)) => Stands::Other,
        (false, None) if adopting && super::adopt::is_ours(at, path) => Stands::Other,
        (false, None) => Stands::Foreign("it was not written by Benchlight for this shop"),
    }
}

/// Whether the file that is to go is the one that we put there; what somebody laid over it is theirs.
fn is_still(at: &Path, entry: &Entry) -> bool {
    let is_file = fs::symlink_metadata(at).is_ok_and(|facts| facts.is_file());
    is_file && Digest::of_file(at).is_ok_and(|digest| digest.hex() == entry.digest)
}

/// Why nothing of ours can lie at `path`: one of its folders is somebody else's link, or no folder.
fn blocked(out: &Path, path: &str) -> Option<&'static str> {
    let folders = path.match_indices('/').map(|(at, _)| &path[..at]);
    folders.filter_map(|folder| fs::symlink_metadata(out.join(folder)).ok()).find_map(|facts| {
        match (facts.is_symlink(), facts.is_dir()) {
            (true, _) => Some("a link stands there"),
            (false, false) => Some("a file stands where its folder has to be"),
            (false, true) => None,
        }
    })
}

fn in_the_way(out: &Path, path: &str, why: &str) -> Problem {
    let message = format!("`{path}` in `{}` is in the way: {why}", out.display());
    Problem::new(Code::OutputTaken, message).hint("move it away, or choose an empty folder with `--out`")
}

fn stamp(facts: &Metadata) -> Option<u64> {
    let since = facts.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
    u64::try_from(since.as_nanos()).ok()
}

fn digest_of(piece: &Piece) -> Digest {
    match &piece.body {
        Body::Bytes(bytes) => Digest::of(bytes),
        Body::Cached { digest, .. } => *digest,
    }
}

fn folder_of(path: &str) -> Option<&str> {
    path.rfind('/').map(|at| &path[..=at])
}

fn is_page(path: &str) -> bool {
    path.ends_with(".html") || path.ends_with(".xml") || path.ends_with(".txt")
}
