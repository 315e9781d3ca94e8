//! Which files of the last pass stay although this one did not make them.
//!
//! The last good page of what is broken stays; but taking back wins over keeping. A private page at an
//! address that is not the job's any more, under another key, or past its last day, goes even so. Only while the day is
//! in doubt nothing goes because of it.

use super::plan::Wanted;
use super::record::{Entry, Record};
use crate::model::Spoilt;
use std::collections::{BTreeMap, BTreeSet};

/// The rules of keeping for one pass.
#[derive(Debug)]
pub struct Keep {
    /// Words of the parts that could not be made.
    parts: BTreeSet<String>,
    /// Owner words of broken jobs, with the folder of each one's present address where it is known.
    folders: BTreeMap<String, Option<String>>,
    /// Whether the record was written under the shop's present key.
    same_key: bool,
    today: String,
    /// While the day is in doubt: folders of pages that are over by the day alone.
    held: Option<BTreeSet<String>>,
}

impl Keep {
    pub fn new(wanted: &Wanted<'_>, old: &Record) -> Keep {
        let site = wanted.site;
        let folder = |number: &String| site.addresses.get(number).map(|address| format!("see/{address}/"));
        let jobs = site.kept.iter().filter_map(|part| match part {
            Spoilt::Job(number) => Some((part.noted(), folder(number))),
            _ => None,
        });
        Keep {
            parts: site.kept.iter().map(Spoilt::noted).collect(),
            folders: jobs.collect(),
            same_key: old.key_mark == wanted.key_mark,
            today: wanted.today.iso(),
            held: site.held.clone(),
        }
    }

    /// Whether the file at `path`, as the record knows it, stays.
    pub fn holds(&self, path: &str, entry: &Entry) -> bool {
        // Days in ISO form stand in the order of their letters.
        if self.held.is_none() && entry.until.as_ref().is_some_and(|until| *until < self.today) {
            return false;
        }
        let mut held = self.held.iter().flatten();
        if held.any(|folder| path.starts_with(folder)) {
            return true;
        }
        if path.starts_with("see/") {
            return self.holds_private(path, entry);
        }
        let any_kept = !self.parts.is_empty() || self.held.as_ref().is_some_and(|held| !held.is_empty());
        let style_of_kept_pages = path.ends_with(".css") && any_kept;
        self.parts.contains(&entry.owner) || style_of_kept_pages
    }

    fn holds_private(&self, path: &str, entry: &Entry) -> bool {
        // An address is made of the key, so a page at a present address is under the present key.
        if self.folders.values().flatten().any(|folder| path.starts_with(folder)) {
            return true;
        }
        matches!(self.folders.get(&entry.owner), Some(None)) && self.same_key
    }
}
