//! Rank 3: the finished `Site` to disk, whole or not at all. The only room that changes `public/`.
//!
//! The order, so that a visitor at any moment meets whole pages: everything is decided first
//! (`plan`); then the record says what may come to stand in the folder; then come style sheets and
//! photos, then pages, each by a rename; then what is no longer wanted goes, pages before their
//! photos; then the record says what stands there. A pass that is cut short leaves a record that is
//! not clean, and the next pass heals it. What no record names and no mark claims is never touched.

mod adopt;
mod lock;
mod plan;
mod record;

pub use lock::Lock;
pub use plan::Changes;

use crate::base::day::Day;
use crate::base::files::{FileError, draft_beside, told};
use crate::model::{Body, Site};
use crate::problem::{Code, Place, Problem, Problems};
use plan::Plan;
use record::Record;
use std::fs;
use std::path::{Path, PathBuf};

/// The hidden folder of a shop: the record of what was written, the lock, the photo cache.
pub fn hidden_folder(shop: &Path) -> PathBuf {
    shop.join(".benchlight")
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
) -> Result<Changes, Problems> {
    check_place(out, shop).map_err(one)?;
    told(fs::create_dir_all(out), "make the folder", out).map_err(failed)?;
    let record_file = record::file_for(out, shop);
    let (old, adopted) = match Record::load(&record_file) {
        Some(record) => (record, false),
        None => (adopt::whatever_is_ours(out), true),
    };
    if !old.clean {
        remove_drafts(&old, site, out);
    }
    let plan = Plan::make(site, &old, out, key_mark, today)?;
    if !plan.is_idle() || adopted || !old.clean {
        plan.record_during(&old).save(&record_file).map_err(failed)?;
        for path in &plan.puts {
            if let Some(piece) = site.files.get(path) {
                put(&out.join(path), &piece.body).map_err(failed)?;
            }
        }
        for path in &plan.removals {
            remove(out, path).map_err(failed)?;
        }
    }
    plan.record_after().save_if_changed(&record_file).map_err(failed)?;
    Ok(plan.changes)
}

/// The output folder may not hold the content (it would be published) nor lie in it.
fn check_place(out: &Path, shop: &Path) -> Result<(), Problem> {
    let real = |p: &Path| fs::canonicalize(p).unwrap_or_else(|_| absolute(p));
    let (out_real, content) = (real(out), real(&shop.join("content")));
    if content.starts_with(&out_real) || out_real.starts_with(&content) {
        let message =
            format!("the output folder `{}` and the content folder lie in each other", out.display());
        return Err(Problem::new(Code::OutputTaken, message).hint("choose another folder with `--out`"));
    }
    Ok(())
}

fn absolute(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

/// Puts one file in place by a rename; its folder is made if need be.
fn put(path: &Path, body: &Body) -> Result<(), FileError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    told(fs::create_dir_all(folder), "make the folder", folder)?;
    let draft = draft_beside(path);
    let drafted = match body {
        Body::Bytes(bytes) => {
            fs::File::create(&draft).and_then(|mut f| std::io::Write::write_all(&mut f, bytes))
        }
        Body::Cached { path: cached, .. } => fs::copy(cached, &draft).map(|_| ()),
    };
    let moved = drafted.and_then(|()| fs::rename(&draft, path));
    if moved.is_err() {
        let _ = fs::remove_file(&draft);
    }
    told(moved, "write", path)
}

/// Removes one file and the folders that it leaves empty, up to `out`.
fn remove(out: &Path, path: &str) -> Result<(), FileError> {
    let file = out.join(path);
    match fs::remove_file(&file) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => {}
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
        std::io::ErrorKind::StorageFull => "the disk is full: make room, then run this again",
        std::io::ErrorKind::PermissionDenied => "give yourself the right to write there, then run this again",
        _ => "when that is mended run this again: it goes on where it stopped",
    };
    let place = Place::file(error.path.display().to_string());
    one(Problem::new(Code::OutputFailed, error.to_string()).at(place).hint(hint))
}

fn one(problem: Problem) -> Problems {
    Problems::from_iter([problem])
}
