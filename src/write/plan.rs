//! What has to be put, what stays and what goes: decided in full before the first byte is written.

use super::record::{Entry, Record, owner_word, part_word};
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::model::{Body, Piece, Site};
use crate::problem::{Code, Problem, Problems};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// What a pass changed in the output folder. Paths are from that folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Changes {
    pub added: Vec<String>,
    pub changed: Vec<String>,
    pub removed: Vec<String>,
    pub unchanged: usize,
    /// Last good files of what could not be made this time.
    pub kept: Vec<String>,
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
    pub fn make(site: &Site, old: &Record, out: &Path, key_mark: &str, today: Day) -> Result<Plan, Problems> {
        let mut changes = Changes::default();
        let mut puts = Vec::new();
        let mut files = BTreeMap::new();
        let mut taken = Problems::default();
        for (path, piece) in &site.files {
            let digest = digest_of(piece);
            let known = old.files.get(path);
            let stands = match blocked(out, path) {
                Some(why) => Stands::Foreign(why),
                None => standing(&out.join(path), path, piece, &digest, known),
            };
            if let Stands::Foreign(why) = &stands {
                taken.push(in_the_way(out, path, why));
                continue;
            }
            let since = known.filter(|k| k.digest == digest.hex()).map_or(today.iso(), |k| k.since.clone());
            files
                .insert(path.clone(), Entry { digest: digest.hex(), owner: owner_word(&piece.owner), since });
            match stands {
                Stands::Same => changes.unchanged += 1,
                Stands::Other => {
                    changes.changed.push(path.clone());
                    puts.push(path.clone());
                }
                _ => {
                    changes.added.push(path.clone());
                    puts.push(path.clone());
                }
            }
        }
        if !taken.is_empty() {
            return Err(taken);
        }
        let mut removals = Vec::new();
        let keep = Keep::new(site, old, key_mark);
        for (path, entry) in old.files.iter().filter(|(path, _)| !site.files.contains_key(*path)) {
            if keep.holds(path, entry) {
                changes.kept.push(path.clone());
                files.insert(path.clone(), entry.clone());
            } else if blocked(out, path).is_none() {
                changes.removed.push(path.clone());
                removals.push(path.clone());
            }
        }
        // Pages come after what they show and go before it.
        puts.sort_by_key(|path| is_page(path));
        removals.sort_by_key(|path| !is_page(path));
        let after = Record { version: 0, clean: true, key_mark: key_mark.to_owned(), files };
        Ok(Plan { puts, removals, changes, after })
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

    /// When it is over.
    pub fn record_after(&self) -> &Record {
        &self.after
    }
}

/// Which files of the last pass stay although this one did not make them.
struct Keep {
    parts: BTreeSet<String>,
    same_key: bool,
    /// No record told whose a private page is.
    job_spoilt: bool,
}

impl Keep {
    fn new(site: &Site, old: &Record, key_mark: &str) -> Keep {
        let parts: BTreeSet<String> = site.kept.iter().map(part_word).collect();
        let job_spoilt = parts.iter().any(|p| p.starts_with("job "));
        // A record put together from marks knows no key: what it holds is not known to be retired.
        Keep { parts, same_key: old.key_mark == key_mark || old.key_mark.is_empty(), job_spoilt }
    }

    fn holds(&self, path: &str, entry: &Entry) -> bool {
        let private = path.starts_with("see/");
        if private && !self.same_key {
            return false;
        }
        let needed_by_kept = path.ends_with(".css") && !self.parts.is_empty();
        let perhaps_kept = entry.owner == "unknown" && private && self.job_spoilt;
        self.parts.contains(&entry.owner) || needed_by_kept || perhaps_kept
    }
}

/// What stands where a file has to go.
enum Stands {
    Nothing,
    Same,
    Other,
    Foreign(&'static str),
}

fn standing(at: &Path, path: &str, piece: &Piece, digest: &Digest, known: Option<&Entry>) -> Stands {
    let Ok(facts) = fs::symlink_metadata(at) else { return Stands::Nothing };
    if facts.is_dir() {
        return Stands::Foreign("a folder stands there");
    }
    if facts.is_symlink() {
        return Stands::Foreign("a link stands there");
    }
    let recorded = known.is_some_and(|k| k.digest == digest.hex());
    let same = match &piece.body {
        // Named by their content, so length and record settle it without reading them again.
        Body::Cached { bytes, .. } if recorded => facts.len() == *bytes,
        Body::Cached { bytes, .. } => {
            facts.len() == *bytes && Digest::of_file(at).is_ok_and(|d| d == *digest)
        }
        Body::Bytes(bytes) => facts.len() == bytes.len() as u64 && fs::read(at).is_ok_and(|b| b == *bytes),
    };
    match (same, known) {
        (true, _) => Stands::Same,
        (false, Some(_)) => Stands::Other,
        (false, None) if super::adopt::is_ours(at, path) => Stands::Other,
        (false, None) => Stands::Foreign("it was not written by Benchlight"),
    }
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

fn digest_of(piece: &Piece) -> Digest {
    match &piece.body {
        Body::Bytes(bytes) => Digest::of(bytes),
        Body::Cached { digest, .. } => *digest,
    }
}

fn is_page(path: &str) -> bool {
    path.ends_with(".html") || path.ends_with(".xml") || path.ends_with(".txt")
}
