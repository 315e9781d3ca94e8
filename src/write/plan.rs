//! What has to be put, what stays and what goes: decided in full before the first byte is written.

use super::keep::Keep;
use super::record::{NotedPhoto, Record, WrittenFile, noted_owner};
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::site_path::folder_of;
use crate::base::stamp::Stamp;
use crate::model::{Body, Owner, Site, SiteFile, Spoilt};
use crate::problem::{Code, Problem, Problems};
use rayon::prelude::*;
use std::collections::BTreeMap;
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
    /// Files that were ours and would have gone, but that somebody has laid their own over since.
    pub left: Vec<String>,
    /// Parts whose last good pages stay, as records know them, and since which day.
    pub kept_since: BTreeMap<Spoilt, Day>,
}

/// What the folder is to hold, and how it is to be judged.
#[derive(Debug)]
pub struct Wanted<'a> {
    pub site: &'a Site,
    pub key_print: &'a str,
    pub today: Day,
    /// What changed before has settled.
    pub moment: Option<i64>,
    /// Whether a page that carries our mark, but stands in no record, is ours.
    pub adopting: bool,
}

/// The decided pass.
#[derive(Debug)]
pub struct Plan {
    /// Files of private pages that are taken back: they go before anything else.
    pub retired: Vec<String>,
    /// Paths to write, in this order.
    pub puts: Vec<String>,
    /// Paths to remove after that, in this order.
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
        let after = Record {
            clean: true,
            key_print: wanted.key_print.to_owned(),
            moment: wanted.moment,
            ..Record::default()
        };
        let mut plan = Plan {
            retired: Vec::new(),
            puts: Vec::new(),
            removals: Vec::new(),
            changes: Changes::default(),
            after,
        };
        plan.put_site(wanted, old, out)?;
        plan.clear_rest(wanted, old, out);
        plan.put_in_order(wanted.site, old);
        plan.changes.kept_since = plan.after.kept.clone();
        Ok(plan)
    }

    fn put_site(&mut self, wanted: &Wanted<'_>, old: &Record, out: &Path) -> Result<(), Problems> {
        let mut taken = Problems::default();
        let paths = wanted.site.files.keys();
        let folders: BTreeMap<&str, Option<&'static str>> =
            paths.map(|path| folder_of(path)).map(|folder| (folder, blocked(out, folder))).collect();
        let looked: Vec<(Digest, Stands)> = wanted
            .site
            .files
            .par_iter()
            .map(|(path, file)| {
                let digest = digest_of(file);
                let stands = match folders.get(folder_of(path)).copied().flatten() {
                    Some(why) => Stands::Foreign(why),
                    None => standing(&out.join(path), path, file, &digest, old, wanted.adopting),
                };
                (digest, stands)
            })
            .collect();
        for ((path, file), (digest, stands)) in wanted.site.files.iter().zip(looked) {
            let known = old.files.get(path);
            let mut stamp = None;
            match stands {
                Stands::Foreign(why) => {
                    taken.push(in_the_way(out, path, why));
                    continue;
                }
                Stands::Same(same) => {
                    self.changes.unchanged += 1;
                    stamp = Some(same);
                }
                Stands::Other => self.changes.changed.push(path.clone()),
                Stands::Nothing => self.changes.added.push(path.clone()),
            }
            if stamp.is_none() {
                self.puts.push(path.clone());
            }
            let is_held = wanted.site.held.contains_key(path);
            let ends = wanted.site.ends.get(folder_of(path)).copied();
            let before = known.filter(|k| k.digest == digest);
            let entry = WrittenFile {
                digest,
                before: Vec::new(),
                owner: Some(noted_owner(&file.owner)),
                since: before.map_or(Some(wanted.today), |k| k.since),
                // A stand-in ends with the page in whose place it stands.
                until: ends.or_else(|| known.filter(|_| is_held)?.until),
                stamp,
                photo: file.photo.as_ref().map(NotedPhoto::of),
                held: is_held,
            };
            self.after.files.insert(path.clone(), entry);
        }
        if taken.is_empty() { Ok(()) } else { Err(taken) }
    }

    /// What the last pass wrote and this one did not make: kept, or removed if it is still ours.
    fn clear_rest(&mut self, wanted: &Wanted<'_>, old: &Record, out: &Path) {
        let keep = Keep::new(wanted.site, old, wanted.key_print, wanted.today);
        let goes = |path: &String| wanted.site.taken_back.contains(path);
        let is_held = |part: &&Spoilt| wanted.site.held.values().any(|held| held == *part);
        for (path, entry) in old.files.iter().filter(|(path, _)| !wanted.site.files.contains_key(*path)) {
            if keep.holds(path, entry) && !goes(path) {
                self.changes.kept.push(path.clone());
                let owned = |part: &&Spoilt| entry.owner == Some(Owner::Part(part.folded()));
                let whose = wanted.site.kept.iter().find(owned);
                if let Some(part) = whose.filter(|part| !is_held(part)).map(Spoilt::folded) {
                    let since = old.kept.get(&part).copied().unwrap_or(wanted.today);
                    self.after.kept.insert(part, since);
                }
                let named = || wanted.site.still.values().find_map(|still| still.files.get(path));
                let photo = entry.photo.clone().or_else(|| named().map(NotedPhoto::of));
                self.after.files.insert(path.clone(), WrittenFile { photo, ..entry.clone() });
            } else if blocked(out, path).is_none() && is_still(&out.join(path), path, entry, wanted.adopting)
            {
                self.changes.removed.push(path.clone());
                self.removals.push(path.clone());
            } else if fs::symlink_metadata(out.join(path)).is_ok() {
                self.changes.left.push(path.clone());
            }
        }
    }

    /// The order in which nobody is led to what is not there. A private address that is taken back goes first of all.
    fn put_in_order(&mut self, site: &Site, old: &Record) {
        let role = |path: &String| site.role(path);
        self.puts.sort_by_key(|path| role(path).landing(!old.files.contains_key(path)));
        let going: Vec<String> =
            self.removals.iter().filter(|path| role(path).is_private_page()).cloned().collect();
        let folders: Vec<&str> = going.iter().map(|path| folder_of(path)).collect();
        let is_retired = |path: &String| folders.contains(&folder_of(path));
        (self.retired, self.removals) = std::mem::take(&mut self.removals).into_iter().partition(is_retired);
        self.retired.sort_by_key(|path| role(path).going());
        self.removals.sort_by_key(|path| role(path).going());
    }

    pub fn is_idle(&self) -> bool {
        self.puts.is_empty() && self.removals.is_empty() && self.retired.is_empty()
    }

    /// While the pass is under way: all that stood there and all that may come.
    pub fn record_during(&self, old: &Record) -> Record {
        let mut during = self.after.clone();
        during.clean = false;
        for (path, entry) in &old.files {
            let now = during.files.entry(path.clone()).or_insert_with(|| entry.clone());
            now.before = entry.before.iter().chain([&entry.digest]).copied().collect();
            now.before.retain(|digest| *digest != now.digest);
            now.before.dedup();
        }
        during
    }

    /// Notes the stamps of the files that were put there, once all are in place.
    pub fn stamp(&mut self, out: &Path) {
        for path in &self.puts {
            if let Some(entry) = self.after.files.get_mut(path) {
                entry.stamp = fs::symlink_metadata(out.join(path)).ok().map(|facts| Stamp::of(&facts));
            }
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
    Same(Stamp),
    Other,
    Foreign(&'static str),
}

fn standing(at: &Path, path: &str, file: &SiteFile, digest: &Digest, old: &Record, adopting: bool) -> Stands {
    let known = old.files.get(path);
    let Ok(facts) = fs::symlink_metadata(at) else { return Stands::Nothing };
    if facts.is_dir() {
        return Stands::Foreign("a folder is there");
    }
    if facts.is_symlink() {
        return Stands::Foreign("a link is there");
    }
    let stamp = Stamp::of(&facts);
    let length = file.body.length();
    // The record settles it without reading the file again.
    let untouched = known.is_some_and(|k| k.digest == *digest && old.vouches_for(k, &stamp));
    let same =
        stamp.bytes == length && (untouched || Digest::of_file(at).is_ok_and(|found| found == *digest));
    match (same, known) {
        (true, _) => Stands::Same(stamp),
        (false, Some(_)) => Stands::Other,
        (false, None) if adopting && super::adopt::is_ours(at, path) => Stands::Other,
        (false, None) => Stands::Foreign("it was not written by Benchlight for this shop"),
    }
}

/// Whether the file that is to go is the one that we put there, or that one with something changed in it: a private page
/// must not live on because somebody edited it. What else was laid over it is theirs.
fn is_still(at: &Path, path: &str, entry: &WrittenFile, adopting: bool) -> bool {
    let is_file = fs::symlink_metadata(at).is_ok_and(|facts| facts.is_file());
    is_file
        && (Digest::of_file(at).is_ok_and(|digest| entry.is_of(&digest))
            || (adopting && super::adopt::is_ours(at, path)))
}

/// Why nothing of ours can lie at `path`: one of its folders is somebody else's link, or no folder.
fn blocked(out: &Path, path: &str) -> Option<&'static str> {
    let folders = path.match_indices('/').map(|(at, _)| &path[..at]);
    folders.filter_map(|folder| fs::symlink_metadata(out.join(folder)).ok()).find_map(|facts| {
        match (facts.is_symlink(), facts.is_dir()) {
            (true, _) => Some("a link is there"),
            (false, false) => Some("a file is where its folder has to be"),
            (false, true) => None,
        }
    })
}

fn in_the_way(out: &Path, path: &str, why: &str) -> Problem {
    let message = format!("`{path}` in `{}` is in the way: {why}", out.display());
    Problem::new(Code::OutputTaken, message).hint("move it away, or choose an empty folder with `--out`")
}

fn digest_of(file: &SiteFile) -> Digest {
    match &file.body {
        Body::Bytes(bytes) => Digest::of(bytes),
        Body::Cached { digest, .. } => *digest,
    }
}
