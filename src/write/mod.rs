//! Rank 3: the finished `Site` to disk, whole or not at all. The only room that changes `public/`.
//!
//! What is in the site is `render`'s and `seal`'s; when it is written is `command`'s. What no record names and no mark claims is never
//! touched (`adopt`). Which last good pages stay is `keep`'s, where the folder may lie is `place`'s. Printed pages are no part of a
//! site; `printed` puts them where nothing gets published.
//!
//! # The order, and why each step is where it is
//!
//! 1. **Everything is decided** (`plan`). A stranger's file in the way ends it here. Nothing was touched.
//! 2. **The record says, durably, what is there and what may come**, and is marked as not clean.
//! 3. **Private addresses that are taken back go**, page before photos. Taking back waits for nothing, not even for room on the disk.
//! 4. **Every new file is drafted beside its place and made durable** (`put`). A full disk or a folder without rights shows up here: the
//!    drafts go away again, and every old file stays. Making durable before renaming is what keeps a power cut from leaving an empty page.
//! 5. **Drafts land, each by a rename**, in the order of `model::role`: the cover of the private pages; style sheets and photos; new public
//!    pages, and new files that hold sealed pages; a new front page; new private pages; then what changes under its name.
//! 6. **What else is no longer wanted goes**, pages before what they show, the cover last. The folders that lost something are made durable.
//! 7. **The record says what is there**, with the stamp of each file, and is clean.
//!
//! So at every moment each file is whole, old or new. A link on a page that can be reached leads to a file that is there. After a pass
//! nothing is left at a retired address.
//!
//! # What it is not
//!
//! It is *not* one switch of the whole tree. For the milliseconds of step 5 some pages are of the new pass and some of the old. A switch of
//! folders was weighed and left: it needs a link in the place of `public/`, which hosts, syncs and Windows treat differently, and strangers'
//! files in `public/` would have to move with it. Two gaps remain:
//!
//! - Two new public pages that link to each other land one after the other. Nobody is led to either before both are there.
//! - The kept page of a broken job may lead to a public page that the owner has removed since.
//!
//! # Killed anywhere
//!
//! A pass that is killed leaves a record that is not clean. The next one removes drafts, compares every file by its bytes and goes on. Until
//! the record is clean, it keeps the digests of what may still be in each place, so that an old page is still known as ours. Two programs
//! on one shop take turns by the system's lock (`lock`). `tests/increment/` has the visitor, the kills and the full disks.

mod adopt;
#[cfg(any(test, fuzzing))]
pub mod door;
mod hold;
mod keep;
mod lock;
mod place;
mod plan;
mod printed;
mod put;
mod record;

pub use lock::ShopLock;
pub use place::check_usual;
pub use plan::Changes;
pub use printed::{printed_file, put_printed};

use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::files::{FileError, draft_beside, with_path};
use crate::base::stamp::Stamp;
use crate::model::{Role, Site, Spoilt};
use crate::problem::{Code, Location, Problem, Problems};
use plan::Plan;
use record::Record;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The hidden folder of a shop: the record of what was written, the lock, the photo cache.
pub fn hidden_folder(shop: &Path) -> PathBuf {
    shop.join(".benchlight")
}

/// Why a site was not put in place.
#[derive(Debug)]
pub struct Unpublished {
    pub problems: Problems,
    /// Whether some files may be new already; the next pass finishes what this one began.
    pub begun: bool,
}

/// Brings the output folder `out` to hold exactly `site`, besides what Benchlight did not write.
/// `key_print` changes when the shop's key does: private pages under an old key are never kept. What changed before
/// `moment` has settled. The shop's lock is held as long as this takes.
///
/// # Errors
/// A `Stop` problem if the folder holds somebody else's file where a page has to go (then nothing
/// was touched), or if the disk refuses (then the next pass finishes what this one began).
pub fn publish(
    site: &mut Site,
    out: &Path,
    shop: &Path,
    key_print: &str,
    today: Day,
    moment: Option<i64>,
) -> Result<(Changes, Problems), Unpublished> {
    let untouched = |problems| Unpublished { problems, begun: false };
    place::check(out, shop).map_err(|taken| untouched(Problems::from_iter([taken])))?;
    with_path(fs::create_dir_all(out), "make the folder", out).map_err(failed).map_err(untouched)?;
    let record_file = record::file_for(out, shop);
    let mut notes = Problems::default();
    let old = Record::load(&record_file).unwrap_or_else(|| {
        let adopted = if place::is_inside(out, shop) { adopt::whatever_is_ours(out) } else { Record::none() };
        if !adopted.files.is_empty() {
            notes.push(record_missing(out));
        }
        adopted
    });
    let keep = keep::Keep::new(site, &old, key_print, today);
    notes.extend(hold::back(site, &old, &keep));
    let site = &*site;
    if !old.clean {
        remove_drafts(&old, site, out);
    }
    let adopting = place::is_inside(out, shop);
    let wanted = plan::Wanted { site, key_print, today, moment, adopting };
    let mut plan = Plan::make(&wanted, &old, out).map_err(untouched)?;
    if !plan.is_idle() || !old.clean {
        prepare(&plan, &old, site, out, &record_file).map_err(|error| Unpublished {
            problems: failed(error),
            begun: !plan.retired.is_empty() || !site.taken_back.is_empty(),
        })?;
    }
    carry_out(&mut plan, &old, out, &record_file)
        .map_err(|error| Unpublished { problems: failed(error), begun: !plan.is_idle() })?;
    Ok((plan.changes, notes))
}

/// Parts whose last good pages stay in an output folder, as records know them, and since which day.
pub fn kept_since(out: &Path, shop: &Path) -> BTreeMap<Spoilt, Day> {
    Record::load(&record::file_for(out, shop)).map(|record| record.kept).unwrap_or_default()
}

/// What the last pass noted of an output folder, for whoever reads from there.
#[derive(Debug)]
pub struct LastWrite(Record);

impl LastWrite {
    /// The note of the folder `out`; none if there is none.
    pub fn of(out: &Path, shop: &Path) -> Option<LastWrite> {
        Record::load(&record::file_for(out, shop)).map(LastWrite)
    }

    /// Whether the pass came to its end, so that the folder holds one whole site.
    pub fn is_whole(&self) -> bool {
        self.0.clean
    }

    /// Whether all of it is still in the folder as it was put there, and made by that pass: told without reading any file.
    pub fn is_untouched(&self, out: &Path) -> bool {
        let is_there = |(path, entry): (&String, &record::WrittenFile)| {
            let facts = fs::symlink_metadata(out.join(path)).ok().filter(fs::Metadata::is_file);
            facts.is_some_and(|facts| self.0.vouches_for(entry, &Stamp::of(&facts)))
        };
        self.is_whole() && self.0.kept.is_empty() && self.0.files.iter().all(is_there)
    }

    /// The digest of a file that has not changed since it was put there.
    pub fn digest(&self, path: &str, stamp: &Stamp) -> Option<Digest> {
        self.0.files.get(path).filter(|file| self.0.vouches_for(file, stamp)).map(|file| file.digest)
    }
}

/// How many private pages the last pass put into an output folder.
pub fn private_pages(out: &Path, shop: &Path) -> usize {
    let record = Record::load(&record::file_for(out, shop)).unwrap_or_else(Record::none);
    record.files.keys().filter(|path| Role::of(path).is_private_page()).count()
}

/// Taking back, which waits for nothing; then all that can fail for want of room or rights, while every other old file
/// still stands.
fn prepare(plan: &Plan, old: &Record, site: &Site, out: &Path, record_file: &Path) -> Result<(), FileError> {
    plan.record_during(old).save(record_file)?;
    for path in &plan.retired {
        put::remove(out, path)?;
    }
    put::draft_all(&plan.puts, site, out).inspect_err(|_| {
        // What is taken back waits for no room on the disk: then there is no page until there is.
        let pages = plan.puts.iter().filter(|path| site.held.contains_key(*path));
        let photos = plan.removals.iter().filter(|path| site.taken_back.contains(*path));
        pages.chain(photos).for_each(|path| drop(put::remove(out, path)));
        if old.clean {
            // Nothing came of it. If this fails too, the next pass looks through everything again.
            let _ = old.save(record_file);
        }
    })
}

fn carry_out(plan: &mut Plan, old: &Record, out: &Path, record_file: &Path) -> Result<(), FileError> {
    for path in &plan.puts {
        put::land(out, path)?;
    }
    for path in &plan.removals {
        put::remove(out, path)?;
    }
    put::make_removals_last(out, &[plan.retired.as_slice(), &plan.removals].concat());
    plan.stamp(out);
    let stands = if plan.is_idle() && old.clean { old } else { &Record::none() };
    plan.record_after().save_after(stands, record_file)
}

fn record_missing(out: &Path) -> Problem {
    let message =
        format!("the record of what is in `{}` is gone, so it was put together again", out.display());
    Problem::new(Code::RecordMissing, message)
        .hint("pages that carry our mark were taken for ours; check whether anything old is left there")
}

/// Drafts that a pass left behind when it was cut short.
fn remove_drafts(old: &Record, site: &Site, out: &Path) {
    for path in old.files.keys().chain(site.files.keys()) {
        put::take_away(out, path, &draft_beside(&out.join(path)));
    }
}

fn failed(error: FileError) -> Problems {
    let hint = match error.cause.kind() {
        io::ErrorKind::StorageFull => "the disk is full: make room, then run this again",
        io::ErrorKind::PermissionDenied => "give yourself the right to write there, then run this again",
        _ => "when that is mended run this again: it picks up where it stopped",
    };
    let place = Location::file(error.path.display().to_string());
    Problems::from_iter([Problem::new(Code::OutputFailed, error.to_string()).at(place).hint(hint)])
}
