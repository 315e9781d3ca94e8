//! Files put in place: all of a pass are drafted and made durable before the first lands by a rename.
//!
//! So a full disk or a folder that cannot be written is met while the old files still stand, and after a power cut
//! there is no file under its final name that is empty or half there.

use crate::base::files::{self, FileError, draft_beside, with_path};
use crate::model::{Body, Site};
use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Write};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// So many files are made durable side by side: a disk takes them in one go.
const SIDE_BY_SIDE: usize = 16;

/// Drafts each of these files beside where it is to land, and waits until all are durable. If one fails, all drafts are
/// taken away again.
pub fn draft_all(paths: &[String], site: &Site, out: &Path) -> Result<(), FileError> {
    let next = AtomicUsize::new(0);
    let failed: Mutex<Option<FileError>> = Mutex::default();
    let work = || {
        while let Some(path) = paths.get(next.fetch_add(1, Ordering::Relaxed)) {
            let Some(file) = site.files.get(path) else { continue };
            if let Err(error) = draft(&out.join(path), &file.body) {
                failed.lock().unwrap_or_else(PoisonError::into_inner).get_or_insert(error);
                // The others need not try.
                next.store(paths.len(), Ordering::Relaxed);
            }
        }
    };
    std::thread::scope(|scope| {
        (1..SIDE_BY_SIDE.min(paths.len())).for_each(|_| drop(scope.spawn(work)));
        work();
    });
    let Some(error) = failed.into_inner().unwrap_or_else(PoisonError::into_inner) else { return Ok(()) };
    for path in paths {
        take_away(out, path, &draft_beside(&out.join(path)));
    }
    Err(error)
}

fn draft(path: &Path, body: &Body) -> Result<(), FileError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    with_path(fs::create_dir_all(folder), "make the folder", folder)?;
    let drafted = files::fresh(&draft_beside(path)).and_then(|mut file| {
        match body {
            Body::Bytes(bytes) => file.write_all(bytes)?,
            // Not `fs::copy`, which would carry the cache's permissions along and write through a link.
            Body::Cached { path: cached, .. } => drop(io::copy(&mut files::open(cached)?, &mut file)?),
        }
        file.sync_data()
    });
    with_path(drafted, "write", path)
}

/// The draft takes its place.
pub fn land(out: &Path, path: &str) -> Result<(), FileError> {
    let path = out.join(path);
    with_path(fs::rename(draft_beside(&path), &path), "write", &path)
}

/// Removes one file and the folders that it leaves empty, up to `out`.
pub fn remove(out: &Path, path: &str) -> Result<(), FileError> {
    let file = out.join(path);
    match fs::remove_file(&file) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => {}
        other => with_path(other, "remove", &file)?,
    }
    clear_folders(out, &file);
    Ok(())
}

/// Removes a draft, if it is there, and what folders it leaves empty.
pub fn take_away(out: &Path, path: &str, draft: &Path) {
    let _ = fs::remove_file(draft);
    clear_folders(out, &out.join(path));
}

fn clear_folders(out: &Path, file: &Path) {
    let mut folder = file.parent();
    while let Some(this) = folder.filter(|f| *f != out && f.starts_with(out)) {
        if fs::remove_dir(this).is_err() {
            break;
        }
        folder = this.parent();
    }
}

/// Makes removals last over a power cut: what was taken back must not come again.
pub fn make_removals_last(out: &Path, removed: &[String]) {
    let folders = removed.iter().filter_map(|path| {
        let file = out.join(path);
        file.ancestors().skip(1).find(|folder| folder.is_dir()).map(Path::to_owned)
    });
    for folder in folders.collect::<BTreeSet<_>>() {
        files::sync_folder(&folder);
    }
}
