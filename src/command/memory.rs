//! What one pass leaves for the next, so that only what changed is read, worked out and rendered again.
//!
//! What a pass gives does not depend on it: `tests/increment/same.rs` compares thousands of passes with passes from nothing. What is
//! remembered, and how it is trusted, is each room's own; this file holds it together. `Memory` goes from pass to pass of one program
//! (`watch`). `make` begins with what lies in the hidden folder.
//!
//! | remembered | known again by | where |
//! |---|---|---|
//! | jobs as read (`read::Memory`) | names and stamps of all in the folder; digest of routes, showroom, currency, time zone | in memory only, as it holds what is private |
//! | looks at photos (`photo::Looks`) | path and stamp | `.benchlight/photos/looks.json` |
//! | trials of estimates, and all that was worked out from them last (`work::Memo`) | digest of exactly what was known on the day they are of | `.benchlight/estimates.json`, for the same build of the program |
//! | that nothing at all changed (`command::last_pass`) | names and stamps of everything in `content` and `themes`, the day, the output folder, the build of the program; and each output file's stamp | `.benchlight/standing.json`, after a `make` that left nothing to mend; then the next one reads no file |
//! | the last sign of life (`command::signs`) | the day | `.benchlight/signs.json` |
//! | pages (`render::Memo`) | digest of view, template and theme | in memory |
//! | sealed photos (`seal::Store`) | digest of page key, role and content; stamp | `.benchlight/sealed/` |
//! | what stands in the output (`write::Record`) | path and stamp | `.benchlight/written/` |
//!
//! A stamp (`base::stamp`) is length, time of writing, time of change and number of the file. One whose time of change is younger than three
//! seconds before the pass, by the file system's own clock, or in the future, is not trusted: the file is read. Each memory holds only
//! what the last pass asked for, so the size of the shop bounds it.
//!
//! `.benchlight/` may be deleted at any time. Then public pages of broken poses and pages go until mended, and the rest is as before.

use crate::base::digest::Digest;
use crate::base::files;
use crate::base::stamp::{SETTLES_IN, Stamp};
use crate::{photo, read, render, seal, work, write};
use std::fs;
use std::path::{Path, PathBuf};

/// Trials of a thousand open pieces take about a megabyte.
const LIMIT: u64 = 64 << 20;

/// What is remembered between passes.
#[derive(Debug)]
pub struct Memory {
    /// How long a file must have been as it is to be known again by its stamp.
    settles_in: i64,
    /// What changed before has settled.
    moment: Option<i64>,
    looks: Option<photo::Looks>,
    pub(super) jobs: read::Memory,
    estimates: Option<work::Memo>,
    pub(super) pages: render::Memo,
    seals: Option<seal::Store>,
}

impl Default for Memory {
    fn default() -> Memory {
        Memory::that_settles_in(SETTLES_IN)
    }
}

impl Memory {
    /// One for a file system whose clock is as fine as that, in nanoseconds.
    pub fn that_settles_in(settles_in: i64) -> Memory {
        Memory {
            settles_in,
            moment: None,
            looks: None,
            jobs: read::Memory::default(),
            estimates: None,
            pages: render::Memo::default(),
            seals: None,
        }
    }

    /// Begins a pass at this moment of the file system's own clock (`write::ShopLock::moment`). Without one, no file is
    /// taken to be as it was.
    pub fn begin(&mut self, now: Option<i64>) {
        let moment = now.map(|now| now.saturating_sub(self.settles_in));
        if let Some(looks) = &mut self.looks {
            looks.go_on(self.moment);
        }
        self.jobs.begin(moment);
        self.moment = moment;
    }

    /// Forgets all: what was being changed when a pass gave up may be half done.
    pub(super) fn forget(&mut self) {
        *self = Memory::that_settles_in(self.settles_in);
    }

    /// What changed before has settled.
    pub fn moment(&self) -> Option<i64> {
        self.moment
    }

    /// Looks at photos, read from the hidden folder the first time; and what was read of jobs.
    pub(super) fn for_reading(&mut self, shop: &Path) -> (&photo::Looks, &read::Memory) {
        (self.looks.get_or_insert_with(|| photo::Looks::open(&write::hidden_folder(shop))), &self.jobs)
    }

    /// What trials said, read from the hidden folder the first time.
    pub(super) fn estimates(&mut self, shop: &Path) -> &work::Memo {
        self.estimates.get_or_insert_with(|| {
            let text = files::read_up_to(&trials_file(shop), LIMIT).unwrap_or_default();
            match text.strip_prefix(trials_head().as_bytes()) {
                Some(text) => work::Memo::of_text(text),
                // Another program may have played them by other rules.
                None => work::Memo::default(),
            }
        })
    }

    /// What was sealed before, in the hidden folder.
    pub(super) fn seals(&mut self, shop: &Path) -> &mut seal::Store {
        self.seals.get_or_insert_with(|| seal::Store::open(&write::hidden_folder(shop)))
    }

    /// Keeps for a later run what trials said. What cannot be kept only makes that run slower.
    pub(super) fn keep_estimates(&self, shop: &Path) {
        if let Some(memo) = self.estimates.as_ref().filter(|memo| memo.has_stirred()) {
            let text = [trials_head().as_bytes(), &memo.as_text()].concat();
            let _ = files::replace(&trials_file(shop), &text);
        }
    }
}

fn trials_file(shop: &Path) -> PathBuf {
    write::hidden_folder(shop).join("estimates.json")
}

/// The first line of the trials: who played them.
fn trials_head() -> String {
    format!("{}\n", program().hex())
}

/// Tells this build of the program from every other.
pub(super) fn program() -> Digest {
    let stamp = std::env::current_exe().and_then(fs::metadata).map(|facts| Stamp::of(&facts));
    Digest::of_value(&(env!("CARGO_PKG_VERSION"), stamp.ok()))
}
