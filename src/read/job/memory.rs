//! Jobs as they were read in the pass before, so that only folders in which something changed are read again.
//!
//! A job hangs on what lies in its folder and on the routes, the showroom and the currency. The folder is known again by
//! the stamps of all that lies in it: nothing of it is opened. What cannot be trusted (changed a moment ago, a link, a
//! read that failed) is read again each time. Kept in memory only: it holds what is never written anywhere else.

use super::texts::Leaks;
use super::{JobContext, Numbered};
use crate::base::digest::Digest;
use crate::base::stamp::Stamp;
use crate::model::{Job, PageLink, Remains};
use crate::problem::{Code, Problem};
use crate::read::disk::folder::FolderEntry;
use chrono::{Local, Offset, TimeZone};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

/// What reading a job's folder gave.
#[derive(Clone, Debug)]
pub(in crate::read) struct ReadJob {
    pub job: Option<Job>,
    pub problems: Vec<Problem>,
    /// What its route tells of it.
    pub leaks: Leaks,
    /// What can still be read of its `link` and `sealed`, where the job needs mending.
    pub link: Option<PageLink>,
    /// The photos in its folder, where it needs mending.
    pub remains: Option<Remains>,
}

/// What is remembered between passes of one program.
#[derive(Debug, Default)]
pub struct Memory {
    /// What changed before has settled; without it nothing is trusted.
    moment: Option<i64>,
    before: BTreeMap<String, (Digest, Arc<ReadJob>)>,
    now: Mutex<BTreeMap<String, (Digest, Arc<ReadJob>)>>,
}

impl Memory {
    /// Begins another pass. What the last one did not read is forgotten.
    pub fn begin(&mut self, moment: Option<i64>) {
        self.moment = moment;
        self.before = std::mem::take(self.now.get_mut().unwrap_or_else(PoisonError::into_inner));
    }

    /// The job in a folder: as it was, or read now. `known` is the digest of all that it may name.
    pub(in crate::read) fn job(
        &self,
        folder: &Numbered<'_>,
        known: Digest,
        read: impl FnOnce() -> ReadJob,
    ) -> Arc<ReadJob> {
        let Some(mark) = self.moment.and_then(|moment| mark(folder.entry, moment)) else {
            return Arc::new(read());
        };
        let mark = Digest::of_value(&(mark, known));
        let same = self.before.get(&folder.entry.file).filter(|(before, _)| *before == mark);
        let job = same.map_or_else(|| Arc::new(read()), |(_, job)| Arc::clone(job));
        if !job.problems.iter().any(may_pass) {
            let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
            now.insert(folder.entry.file.clone(), (mark, Arc::clone(&job)));
        }
        job
    }
}

/// What may be over at the next try although no stamp differs.
fn may_pass(problem: &Problem) -> bool {
    matches!(problem.code, Code::Unreadable | Code::BadPhoto)
}

/// The digest of all that jobs may name, and of the time zone, in which photos without a date are dated.
pub(in crate::read) fn digest_of(known: &JobContext<'_>) -> Digest {
    let summers_and_winters = (0..80).filter_map(|half: i64| {
        let moment = Local.timestamp_opt(half * 15_778_800, 0).single()?;
        Some(moment.offset().fix().local_minus_utc())
    });
    let zone: Vec<i32> = summers_and_winters.collect();
    // Of the showroom a job names poses alone.
    let poses = (&known.showroom.keys, &known.showroom.spoilt);
    Digest::of_value(&(known.routes, poses, known.currency, known.public, zone))
}

/// Names, kinds and stamps of what lies in a folder and in the folders in it; none if any of it cannot be trusted.
fn mark(folder: &FolderEntry, moment: i64) -> Option<Digest> {
    let mut items = Vec::new();
    let own = fs::symlink_metadata(&folder.path).ok()?;
    if own.is_symlink() {
        return None;
    }
    gather(&folder.path, moment, 0, &mut items)?;
    Some(Digest::of_value(&items))
}

/// Step folders hold photos; what lies deeper is not read, so its name is enough.
const DEEPEST: usize = 1;

type Item = (usize, std::ffi::OsString, Option<Stamp>);

fn gather(folder: &Path, moment: i64, depth: usize, items: &mut Vec<Item>) -> Option<()> {
    let mut entries = fs::read_dir(folder).ok()?.collect::<Result<Vec<_>, _>>().ok()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let kind = entry.file_type().ok()?;
        if kind.is_dir() {
            items.push((depth, entry.file_name(), None));
            if depth < DEEPEST {
                gather(&entry.path(), moment, depth + 1, items)?;
            }
        } else if kind.is_file() {
            let stamp = Stamp::of(&entry.metadata().ok()?);
            if !stamp.is_settled(moment) {
                return None;
            }
            items.push((depth, entry.file_name(), Some(stamp)));
        } else {
            return None;
        }
    }
    // So that what follows is not taken for a part of this folder.
    items.push((depth, std::ffi::OsString::new(), None));
    Some(())
}
