//! A plan done: assets, then pages, then removals, and last a look at the host whether it is so.
//!
//! # The order
//!
//! `plan` decides it. Each step is over before the next, with many requests side by side within one:
//!
//! 1. `see/index.html`, so that no server that lists folders ever lists private addresses.
//! 2. What pages show: style sheets, photos, calendars, feeds. New names, so nothing that stands changes.
//! 3. New public pages, then a new front page, then new private pages: nobody is led to a page before it is there.
//! 4. Pages that change, sealed ones among them (files under a private address that keep their names: they lead to new photos there).
//! 5. What is no longer wanted: private pages, their photos, public pages, what those showed; the cover `see/index.html` after all. So nobody
//!    is led to what has gone. If the host takes nothing more in steps 1 to 4, private pages that are taken back go all the same.
//! 6. The look (`check`): every folder in which something changed is listed (object storage: all of it, where that is fewer requests) and compared. What
//!    is not right yet is looked at twice more. What should be gone and is not is reported, and the exit code is 1. Folders that are empty by
//!    then go too.
//!
//! One file is whole at any moment: object storage and the usual WebDAV servers put a file in place when it has come whole (a `MOVE` of our own
//! would leave a gap with some, as they remove before they move); to a folder and by SFTP it is written beside and renamed (`posix-rename` where the
//! server has it).
//!
//! **Cut short.** A journal beside the record names what will be put before the first request, and each file as it is put or gone. The next
//! posting takes both: what was announced is ours whatever it holds. `tests/posting/killed.rs` kills it with a visitor reading: a hundred
//! times on the way to a folder, twelve times on the way to each of the others.
//!
//! **Cost.** Nothing changed: one listing. A save: its files, and one look a folder. `cargo bench --bench post` has the host count the requests.

use super::check::{self, Checked};
use super::local::Local;
use super::plan::Plan;
use super::record::{Journal, PutFile, Record, lock_file};
use super::{Destination, Halt, unkept};
use crate::base::lock::{FileLock, NoLock};
use crate::base::site_path::is_private;
use crate::problem::{Code, Problem};
use futures::{StreamExt, TryStreamExt};
use std::path::Path;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What came of a posting.
#[derive(Debug, Default)]
pub struct Report {
    pub put: usize,
    pub removed: usize,
    pub same: usize,
    /// What is not at the host as it should be, although nothing was refused on the way.
    pub problems: Vec<Problem>,
}

/// Does what was planned. `progress` is told how many steps of how many are done.
///
/// # Errors
/// `public/` changed meanwhile, or the host refuses; what was done stands and is noted, and the next posting goes on.
pub fn carry_out(
    place: &Destination,
    local: &Local,
    plan: Plan,
    shop: &Path,
    progress: &dyn Fn(usize, usize),
) -> Result<Report, Halt> {
    let _turn = take_turn(shop, place.words())?;
    let mut report = Report { put: 0, removed: 0, same: plan.same, problems: Vec::new() };
    if plan.is_idle() {
        plan.record.save(shop).map_err(|e| unkept(&e))?;
        return Ok(report);
    }
    let journal = Journal::begin(shop, &plan.record, plan.puts.iter().flatten()).map_err(|e| unkept(&e))?;
    let work = Work {
        place,
        local,
        journal: &journal,
        done: AtomicUsize::new(0),
        all: plan.to_put() + plan.to_remove(),
        progress,
        record: Mutex::new(plan.record.clone()),
    };
    let outcome = place.wait(work.all_of(&plan, &mut report));
    let mut record = work.record.into_inner().unwrap_or_else(PoisonError::into_inner);
    let kept = match outcome {
        Ok(found) => {
            found.tags.into_iter().for_each(|(path, tag)| {
                if let Some(entry) = record.files.get_mut(&path) {
                    entry.tag = Some(tag);
                }
            });
            // What is not as it should be is put once more by the next posting.
            found
                .wrong
                .iter()
                .chain(&found.still)
                .for_each(|path| drop(record.files.insert(path.clone(), PutFile::announced())));
            record.save(shop)
        }
        // The journal knows what was done.
        Err(halt) => return Err(halt),
    };
    kept.map_err(|e| unkept(&e))?;
    Ok(report)
}

/// The lock of the place, for as long as it lives; none where there can be no such file. Another posting takes as long as it
/// takes, so it is not waited for.
fn take_turn(shop: &Path, words: &str) -> Result<Option<FileLock>, Problem> {
    let path = lock_file(shop, words);
    if let Some(folder) = path.parent() {
        let _ = std::fs::create_dir_all(folder);
    }
    match FileLock::take_at_once(&path) {
        Ok(turn) => Ok(Some(turn)),
        Err(NoLock::Failed(_)) => Ok(None),
        Err(NoLock::Busy) => Err(Problem::new(Code::Busy, "another Benchlight is putting this site up")
            .hint("wait until it is done, or close the other window, then run this again")),
    }
}

struct Work<'a> {
    place: &'a Destination,
    local: &'a Local,
    journal: &'a Journal,
    done: AtomicUsize,
    all: usize,
    progress: &'a dyn Fn(usize, usize),
    /// As the host stands by now.
    record: Mutex<Record>,
}

impl Work<'_> {
    async fn all_of(&self, plan: &Plan, report: &mut Report) -> Result<Checked, Halt> {
        (self.progress)(0, self.all);
        let host = &self.place.host;
        if let Err(halt) = self.put_all(plan).await {
            // Taking back waits for nothing, not even for a host that takes nothing more.
            for step in &plan.removals {
                let private: Vec<String> = step.iter().filter(|path| is_private(path)).cloned().collect();
                self.take_away(&private).await;
            }
            return Err(halt);
        }
        report.put = plan.to_put();
        let mut refused = Vec::new();
        for step in &plan.removals {
            refused.extend(self.take_away(step).await);
        }
        let found = check::look(host, self.local, plan).await?;
        report.removed = plan.to_remove().saturating_sub(found.still.len());
        report.problems = found.problems(&refused, self.place.words());
        Ok(found)
    }

    async fn put_all(&self, plan: &Plan) -> Result<(), Halt> {
        let host = &self.place.host;
        for folder in &plan.folders {
            host.make_folder(folder).await?;
        }
        for step in &plan.puts {
            let puts = step.iter().map(|path| self.put(path));
            futures::stream::iter(puts).buffer_unordered(host.side_by_side()).try_collect::<()>().await?;
        }
        Ok(())
    }

    async fn put(&self, path: &str) -> Result<(), Halt> {
        let bytes = self.local.bytes(path)?;
        self.place.host.put(path, bytes).await?;
        if let Some(file) = self.local.files.get(path) {
            self.journal.put(path, &file.digest, file.bytes);
            let entry = PutFile { digest: Some(file.digest), bytes: file.bytes, tag: None };
            self.record().files.insert(path.to_owned(), entry);
        }
        self.step();
        Ok(())
    }

    /// What was refused, and why.
    async fn take_away(&self, paths: &[String]) -> Vec<(String, Problem)> {
        if paths.is_empty() {
            return Vec::new();
        }
        let refused = self.place.host.remove(paths).await;
        for path in paths.iter().filter(|path| !refused.iter().any(|(p, _)| p == *path)) {
            self.journal.gone(path);
            self.record().files.remove(path);
            self.step();
        }
        refused
    }

    fn record(&self) -> std::sync::MutexGuard<'_, Record> {
        self.record.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn step(&self) {
        (self.progress)(self.done.fetch_add(1, Ordering::Relaxed) + 1, self.all);
    }
}
