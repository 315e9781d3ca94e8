//! Rank 3: the finished `Site` to disk, whole or not at all. The only room that changes `public/`.
//!
//! The order, so that a visitor at any moment meets whole pages: everything is decided first
//! (`plan`); then the record says what may come to stand in the folder; then come style sheets and
//! photos, then pages, each by a rename; then what is no longer wanted goes, pages before their
//! photos; then the record says what stands there. A pass that is cut short leaves a record that is
//! not clean, and the next pass heals it. What no record names and no mark claims is never touched.

mod adopt;
mod keep;
mod lock;
mod place;
mod plan;
mod printed;
mod record;

pub use lock::Lock;
pub use plan::Changes;
pub use printed::{printed_file, put_printed};

use crate::base::day::Day;
use crate::base::files::{self, FileError, draft_beside, told};
use crate::model::{Body, Site};
use crate::problem::{Code, Place, Problem, Problems};
use plan::Plan;
use record::Record;
use std::fs;
use std::io::{self, Write};
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
/// `key_mark` changes when the shop's key does: private pages under an old key are never kept.
///
/// # Errors
/// A `Stop` problem if the folder holds somebody else's file where a page has to go (then nothing
/// was touched), or if the disk refuses (then the next pass finishes what this one began).
pub fn publish(
    site: &Site,
    out: &Path,
    shop: &Path,
    key_mark: &str,
    today: Day,
) -> Result<(Changes, Problems), Unpublished> {
    let untouched = |problems| Unpublished { problems, begun: false };
    place::check(out, shop).map_err(one).map_err(untouched)?;
    told(fs::create_dir_all(out), "make the folder", out).map_err(failed).map_err(untouched)?;
    let record_file = record::file_for(out, shop);
    let mut notes = Problems::default();
    let old = Record::load(&record_file).unwrap_or_else(|| {
        let adopted = if place::is_inside(out, shop) { adopt::whatever_is_ours(out) } else { Record::none() };
        if !adopted.files.is_empty() {
            notes.push(record_missing(out));
        }
        adopted
    });
    if !old.clean {
        remove_drafts(&old, site, out);
    }
    let adopting = place::is_inside(out, shop);
    let mut plan =
        Plan::make(&plan::Wanted { site, key_mark, today, adopting }, &old, out).map_err(untouched)?;
    carry_out(&mut plan, &old, site, out, &record_file)
        .map_err(|error| Unpublished { problems: failed(error), begun: !plan.is_idle() })?;
    Ok((plan.changes, notes))
}

/// How many private pages the last pass put into an output folder.
pub fn private_pages(out: &Path, shop: &Path) -> usize {
    let record = Record::load(&record::file_for(out, shop)).unwrap_or_else(Record::none);
    let is_page = |path: &&String| {
        path.starts_with("see/") && path.matches('/').count() == 2 && path.ends_with(".html")
    };
    record.files.keys().filter(is_page).count()
}

fn carry_out(
    plan: &mut Plan,
    old: &Record,
    site: &Site,
    out: &Path,
    record_file: &Path,
) -> Result<(), FileError> {
    if !plan.is_idle() || !old.clean {
        plan.record_during(old).save(record_file)?;
    }
    for path in &plan.puts {
        if let Some(piece) = site.files.get(path) {
            put(&out.join(path), &piece.body)?;
        }
    }
    for path in &plan.removals {
        remove(out, path)?;
    }
    plan.stamp(out);
    plan.record_after().save_if_changed(record_file)
}

fn record_missing(out: &Path) -> Problem {
    let message =
        format!("the record of what stands in `{}` is gone, so it was put together anew", out.display());
    Problem::new(Code::RecordMissing, message)
        .hint("pages that carry our mark were taken for ours; look whether anything old is left there")
}

/// Puts one file in place by a rename; its folder is made if need be.
fn put(path: &Path, body: &Body) -> Result<(), FileError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    told(fs::create_dir_all(folder), "make the folder", folder)?;
    let draft = draft_beside(path);
    let drafted = match body {
        Body::Bytes(bytes) => files::fresh(&draft).and_then(|mut f| f.write_all(bytes)),
        Body::Cached { path: cached, .. } => copy(cached, &draft),
    };
    let moved = drafted.and_then(|()| fs::rename(&draft, path));
    if moved.is_err() {
        let _ = fs::remove_file(&draft);
    }
    told(moved, "write", path)
}

/// Not `fs::copy`, which would carry the cache's permissions along and write through a link.
fn copy(from: &Path, to: &Path) -> io::Result<()> {
    let mut file = files::fresh(to)?;
    io::copy(&mut fs::File::open(from)?, &mut file).map(|_| ())
}

/// Removes one file and the folders that it leaves empty, up to `out`.
fn remove(out: &Path, path: &str) -> Result<(), FileError> {
    let file = out.join(path);
    match fs::remove_file(&file) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => {}
        other => told(other, "remove", &file)?,
    }
    let mut folder = file.parent();
    while let Some(this) = folder.filter(|f| *f != out && f.starts_with(out)) {
        if fs::remove_dir(this).is_err() {
            break;
        }
        folder = this.parent();
    }
    Ok(())
}

/// Drafts that a pass left behind when it was cut short.
fn remove_drafts(old: &Record, site: &Site, out: &Path) {
    for path in old.files.keys().chain(site.files.keys()) {
        let _ = fs::remove_file(draft_beside(&out.join(path)));
    }
}

fn failed(error: FileError) -> Problems {
    let hint = match error.cause.kind() {
        io::ErrorKind::StorageFull => "the disk is full: make room, then run this again",
        io::ErrorKind::PermissionDenied => "give yourself the right to write there, then run this again",
        _ => "when that is mended run this again: it goes on where it stopped",
    };
    let place = Place::file(error.path.display().to_string());
    one(Problem::new(Code::OutputFailed, error.to_string()).at(place).hint(hint))
}

fn one(problem: Problem) -> Problems {
    Problems::from_iter([problem])
}
