//! Signs of life: whether the clock may have jumped ahead, so that pages seem to have come to their end that have not.
//!
//! What `make` gives is made from content and day alone. But what runs by itself (`watch`), and what reaches others
//! (`post`), does not take closing pages away when the day lies far past everything that stirred here before: the last
//! pass whose day was in order, and the newest file of the content. Nothing is lost by waiting. It goes on with the first
//! new file, or at the owner's word: a `make` by hand for what stands here, `post --even-so` for the host as well.
//!
//! A file's time may lie. One from later than today is no sign; one that somebody's program sets anew is taken for one.

use super::clock;
use super::pass::{self, PassMode};
use crate::base::day::Day;
use crate::base::files;
use crate::base::passing::passing;
use crate::base::site_path::private_folder;
use crate::base::words::count;
use crate::model::{PageLife, Today, Worked};
use crate::post::Plan;
use crate::problem::{Code, Location, Problem, Problems};
use crate::write;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

/// So many days without any sign of life are a holiday; after more of them the clock is asked about.
const QUIET: i64 = 45;
/// A note is far shorter.
const LIMIT: u64 = 1 << 12;
/// Deeper than this no content lies.
const DEEPEST: usize = 12;

/// What is noted in the hidden folder. It may be lost: then the files alone tell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
struct Note {
    /// The day of the last pass that was in order.
    stirred: Option<Day>,
    /// The day of the last pass that the owner asked for although it was far past that.
    asked: Option<Day>,
}

/// What is to be seen on a day of the clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Signs {
    today: Day,
    note: Note,
    /// The newest sign of life before the doubt, if there is a doubt.
    before: Option<Day>,
}

impl Signs {
    /// The signs on the day that the clock shows; none where the day is not the clock's.
    pub fn seen(shop: &Path, Today { day, asked }: Today) -> Option<Signs> {
        (!asked && day == clock::system()).then(|| Signs::of(day, noted(shop), &|| newest(shop, day)))
    }

    fn of(today: Day, note: Note, newest: &dyn Fn() -> Option<Day>) -> Signs {
        let far = |day: Day| today.since(day) > QUIET;
        let before = match note.stirred {
            Some(day) if !far(day) => None,
            // Only now are all files looked at.
            stirred => stirred.max(newest()).filter(|day| far(*day)),
        };
        Signs { today, note, before }
    }

    /// The newest sign of life, if what stands here must not be taken away because of the day.
    pub fn doubted_here(&self) -> Option<Day> {
        let asked = self.note.asked.is_some_and(|day| self.today.since(day) <= QUIET);
        self.before.filter(|_| !asked)
    }

    /// Notes that a pass was made on this day; one by hand is the owner's word that the day is right.
    pub fn note_pass(&self, shop: &Path, by_hand: bool) {
        let today = Some(self.today);
        let note = match (self.before, self.doubted_here()) {
            (None, _) => Note { stirred: today, asked: None },
            (_, Some(_)) if !by_hand => self.note,
            _ => Note { asked: today, ..self.note },
        };
        keep(shop, self.note, note);
    }
}

/// The owner's word that the day is right, for what stands here and at the host.
pub(super) fn are_in_order(shop: &Path, today: Today) {
    if let Some(signs) = Signs::seen(shop, today) {
        keep(shop, signs.note, Note { stirred: Some(signs.today), asked: None });
    }
}

/// Folders of private pages that are over, by the day alone.
pub(super) fn over(worked: &Worked) -> BTreeSet<String> {
    let over = worked.jobs.iter().filter(|job| job.page == PageLife::Gone);
    over.map(|job| private_folder(&job.address)).collect()
}

/// What is told of pages that stay here for that reason.
pub(super) fn told_here(before: Day, pages: usize) -> Problem {
    told(before, pages, "here").hint(
        "if the day is right, run `benchlight make` once, or go on with your work: the first file that is saved settles \
         it; if it is wrong, set the clock",
    )
}

/// Leaves at the host what would go from there because of a day that is in doubt, and says so.
///
/// # Errors
/// The shop cannot be read, so nobody knows which pages these are.
pub(super) fn hold_back(
    mut plan: Plan,
    shop: &Path,
    today: Option<Today>,
    even_so: bool,
) -> Result<(Plan, Option<Problem>), Problem> {
    let signs = today.and_then(|today| Signs::seen(shop, today));
    let before = signs.and_then(|signs| signs.before).filter(|_| !even_so);
    let Some(before) = before.filter(|_| plan.to_remove() > 0) else { return Ok((plan, None)) };
    let first = |problems: Problems| {
        let unread =
            || Problem::new(Code::Unreadable, "the content cannot be read").hint("run `benchlight proof`");
        problems.into_iter().next().unwrap_or_else(unread)
    };
    let over = over(&pass::reckoned(shop, None, PassMode::LookOnly).map_err(first)?.worked);
    let mut held = BTreeSet::new();
    for step in &mut plan.removals {
        step.retain(|path| match over.iter().find(|folder| path.starts_with(*folder)) {
            Some(folder) => !(held.insert(folder.clone()) || held.contains(folder)),
            None => true,
        });
    }
    plan.removals.retain(|step| !step.is_empty());
    let told = (!held.is_empty()).then(|| {
        told(before, held.len(), "at the host").hint(
            "if the day is right, run `benchlight post --even-so` once, or save any file of the content; if it is wrong, \
             set the clock and run `benchlight make`, then this again",
        )
    });
    Ok((plan, told))
}

fn told(before: Day, pages: usize, place: &str) -> Problem {
    let today = clock::system();
    let message = format!(
        "it is {today} by the clock, {} days after the last sign of life ({before}), so {} that would be over stay{} {place} \
         for now",
        today.since(before),
        count(pages, "private page"),
        if pages == 1 { "s" } else { "" },
    );
    Problem::new(Code::ClockAhead, message).at(Location::file("content"))
}

/// The day of the newest file of the content; what is hidden, or on its way, is none.
fn newest(shop: &Path, today: Day) -> Option<Day> {
    let mut newest = None;
    let mut folders = vec![(shop.join("content"), 0)];
    while let Some((folder, depth)) = folders.pop() {
        let entries = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok);
        for entry in entries.filter(|entry| is_content(&entry.file_name().to_string_lossy())) {
            let Ok(kind) = entry.file_type() else { continue };
            if kind.is_dir() && depth < DEEPEST {
                folders.push((entry.path(), depth + 1));
            } else if kind.is_file() {
                // A time zone may make it tomorrow; what is of a later day is a mistake or a lie.
                newest = newest.max(day_of(&entry).filter(|day| *day <= today.plus(1)));
            }
        }
    }
    newest
}

fn is_content(name: &str) -> bool {
    !name.starts_with('.') && passing(name).is_none()
}

fn day_of(entry: &fs::DirEntry) -> Option<Day> {
    let written = entry.metadata().ok()?.modified().ok()?;
    Day::from_unix(i64::try_from(written.duration_since(UNIX_EPOCH).ok()?.as_secs()).ok()?)
}

fn file(shop: &Path) -> PathBuf {
    write::hidden_folder(shop).join("signs.json")
}

fn noted(shop: &Path) -> Note {
    let bytes = files::read_up_to(&file(shop), LIMIT).unwrap_or_default();
    serde_json::from_slice(&bytes).unwrap_or_default()
}

fn keep(shop: &Path, before: Note, note: Note) {
    if note != before {
        // What cannot be kept is asked about once more.
        let _ = files::replace(&file(shop), &serde_json::to_vec(&note).unwrap_or_default());
    }
}

#[cfg(test)]
mod tests;
