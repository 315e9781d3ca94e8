//! Which files of the last pass stay although this one did not make them.
//!
//! The last good page of what is broken stays; but taking back wins over keeping. A private page at an
//! address that is not the job's any more, under another key, or past its last day, goes even so. Only while the day is
//! in doubt nothing goes because of it.

use super::record::{Record, WrittenFile};
use crate::base::day::Day;
use crate::base::site_path::{is_private, private_folder};
use crate::model::{Owner, Role, Site, Spoilt};
use std::collections::{BTreeMap, BTreeSet};

/// The rules of keeping for one pass.
#[derive(Debug)]
pub struct Keep {
    /// Parts that could not be made, as the record knows them.
    parts: BTreeSet<Spoilt>,
    /// Those of them that are jobs, with the folder of each one's present address where it is known.
    folders: BTreeMap<Spoilt, Option<String>>,
    /// Whether the record was written under the shop's present key.
    same_key: bool,
    today: Day,
    /// While the day is in doubt: folders of pages that are over by the day alone.
    held: Option<BTreeSet<String>>,
}

impl Keep {
    pub fn new(site: &Site, old: &Record, key_print: &str, today: Day) -> Keep {
        let folder = |number: &String| site.addresses.get(number).map(|address| private_folder(address));
        let jobs = site.kept.iter().filter_map(|part| match part {
            Spoilt::Job(number) => Some((part.folded(), folder(number))),
            _ => None,
        });
        Keep {
            parts: site.kept.iter().map(Spoilt::folded).collect(),
            folders: jobs.collect(),
            same_key: old.key_print == key_print,
            today,
            held: site.doubted.clone(),
        }
    }

    /// Whether the file at `path`, as the record knows it, stays.
    pub fn holds(&self, path: &str, entry: &WrittenFile) -> bool {
        if self.held.is_none() && entry.until.is_some_and(|until| until < self.today) {
            return false;
        }
        let mut held = self.held.iter().flatten();
        if held.any(|folder| path.starts_with(folder)) {
            return true;
        }
        if is_private(path) {
            return self.holds_private(path, entry);
        }
        let any_kept = !self.parts.is_empty() || self.held.as_ref().is_some_and(|held| !held.is_empty());
        let style_of_kept_pages = Role::of(path) == Role::Style && any_kept;
        self.kept_owner(entry).is_some() || style_of_kept_pages
    }

    /// The part that a file is of, as the record knows it.
    pub fn part_of(&self, path: &str, entry: &WrittenFile) -> Option<&Spoilt> {
        let at_home = |(_, folder): &(&Spoilt, &Option<String>)| {
            folder.as_ref().is_some_and(|folder| path.starts_with(folder.as_str()))
        };
        let by_folder = self.folders.iter().find(at_home).map(|(part, _)| part);
        by_folder.or_else(|| self.kept_owner(entry))
    }

    /// The part that a file belongs to by the record, if it could not be made.
    fn kept_owner(&self, entry: &WrittenFile) -> Option<&Spoilt> {
        match &entry.owner {
            Some(Owner::Part(part)) => self.parts.get(part),
            Some(Owner::Shop) | None => None,
        }
    }

    fn holds_private(&self, path: &str, entry: &WrittenFile) -> bool {
        // An address is made of the key, so a page at a present address is under the present key.
        if self.folders.values().flatten().any(|folder| path.starts_with(folder)) {
            return true;
        }
        self.kept_owner(entry).is_some_and(|part| self.folders.get(part) == Some(&None)) && self.same_key
    }
}
