//! A pass and the writing of its result, under the shop's lock. `watch` calls `run` on each stir. `make` calls `run_unless_it_stands`, which
//! makes no pass at all where nothing changed since the last one.

use super::last_pass::{Account, LastPass};
use super::pass::{self, Begun, Memory, Pass, PassMode};
use super::signs::{self, Signs};
use super::{Outcome, guard};
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::words::count;
use crate::model::Spoilt;
use crate::problem::{Code, Location, Problem, Problems};
use crate::write::{self, Changes, ShopLock, Unpublished};
use std::path::Path;
use zeroize::Zeroizing;

/// What a pass calls while it is under way.
pub struct Callbacks<'a> {
    /// Another pass is at work on the shop and is waited for.
    pub waiting: &'a dyn Fn(),
    /// So many photos of so many are made.
    pub progress: &'a (dyn Fn(usize, usize) + Sync),
}

impl std::fmt::Debug for Callbacks<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Callbacks")
    }
}

/// Makes the site of the shop in `shop` and puts it into `out`. Whoever makes it again and again hands in the same
/// memory each time; what it makes does not depend on it.
///
/// # Errors
/// What stops it; whether anything is new already stands beside it.
pub fn run(
    shop: &Path,
    as_of: Option<Day>,
    out: &Path,
    mode: PassMode,
    callbacks: &Callbacks<'_>,
    memory: &mut Memory,
) -> Result<(Pass, Changes), Unpublished> {
    let _lock = begin(shop, callbacks, memory)?;
    let begun = opened(shop, as_of, memory)?;
    let signs = Signs::seen(shop, begun.today);
    let made =
        locked(shop, begun, out, mode, callbacks, memory, signs.and_then(|signs| signs.doubted_here()))?;
    if let Some(signs) = signs {
        signs.note_pass(shop, false);
    }
    Ok(made)
}

/// What came of it where nothing need be made if nothing changed.
#[derive(Debug)]
pub(super) enum Made {
    New(Box<Pass>, Changes),
    /// All is as the last pass left it.
    Stands(Account),
}

/// The same; but where nothing changed since the last pass, no file is read again. `say` sums up a pass for then.
///
/// # Errors
/// As `run`.
pub(super) fn run_unless_it_stands(
    shop: &Path,
    as_of: Option<Day>,
    out: &Path,
    callbacks: &Callbacks<'_>,
    say: &dyn Fn(&Pass) -> Account,
) -> Result<Made, Unpublished> {
    let mut memory = Memory::default();
    let _lock = begin(shop, callbacks, &mut memory)?;
    // Before anything is read: what changes meanwhile is seen by the next one.
    let before = LastPass::before(shop, out, memory.moment());
    let begun = opened(shop, as_of, &mut memory)?;
    // By hand, so the day is as the owner wants it.
    let signs = Signs::seen(shop, begun.today).filter(|_| out == shop.join("public"));
    let by_hand = || signs.iter().for_each(|signs| signs.note_pass(shop, true));
    let before = before.map(|before| before.on(begun.today));
    if let Some(account) = before.as_ref().and_then(|before| before.last(shop, out)) {
        by_hand();
        return Ok(Made::Stands(account));
    }
    let (pass, changes) = locked(shop, begun, out, PassMode::Make, callbacks, &mut memory, None)?;
    by_hand();
    let is_well = Outcome::of(&pass.problems) == Outcome::Done && changes.kept.is_empty();
    if let Some(before) = before.filter(|_| is_well) {
        before.keep(say(&pass), shop);
    }
    Ok(Made::New(Box::new(pass), changes))
}

/// Takes the shop's lock, or waits for it.
fn begin(shop: &Path, callbacks: &Callbacks<'_>, memory: &mut Memory) -> Result<ShopLock, Unpublished> {
    let untouched = |problems| Unpublished { problems, begun: false };
    super::is_shop(shop).map_err(untouched)?;
    let lock = ShopLock::take(shop, callbacks.waiting);
    let lock = lock.map_err(|busy| untouched(Problems::from_iter([busy])))?;
    memory.begin(lock.moment());
    Ok(lock)
}

/// The shop, opened, and the day of the pass.
fn opened(shop: &Path, as_of: Option<Day>, memory: &mut Memory) -> Result<Begun, Unpublished> {
    let begun = guarded(memory, |_| pass::begin(shop, as_of)).and_then(|begun| begun);
    begun.map_err(|problems| Unpublished { problems, begun: false })
}

/// `doubted` is the last sign of life before a day that may not be right.
fn locked(
    shop: &Path,
    begun: Begun,
    out: &Path,
    mode: PassMode,
    callbacks: &Callbacks<'_>,
    memory: &mut Memory,
    doubted: Option<Day>,
) -> Result<(Pass, Changes), Unpublished> {
    let untouched = |problems| Unpublished { problems, begun: false };
    let moment = memory.moment();
    let made = guarded(memory, |memory| pass::run(shop, begun, mode, callbacks.progress, memory));
    let mut pass = made.and_then(|made| made).map_err(untouched)?;
    pass.site.doubted = doubted.map(|_| signs::over(&pass.worked));
    still_has_jobs(&pass, out, shop).map_err(|gone| untouched(Problems::from_iter([gone])))?;
    // Tells one key from another without giving it away; and a shop that seals from one that does not, so that no open page
    // is kept from before.
    let sealed: &[u8] = if pass.shop.studio.sealed { b" sealed" } else { b"" };
    let marked = Zeroizing::new([b"benchlight record".as_slice(), pass.shop.key.reveal(), sealed].concat());
    let key_mark = Digest::of(&marked).short();
    let put =
        guarded(memory, |_| write::publish(&mut pass.site, out, shop, &key_mark, pass.today.day, moment));
    // The next pass heals what this one left, as it does after one that was killed.
    let (changes, notes) = put.map_err(|problems| Unpublished { problems, begun: true })??;
    let left = changes.left.iter().map(|path| not_ours(path));
    let held = doubted.and_then(|before| held_back(&pass, &changes, before));
    pass.problems =
        std::mem::take(&mut pass.problems).into_iter().chain(notes).chain(left).chain(held).collect();
    pass.problems = std::mem::take(&mut pass.problems).sorted();
    Ok((pass, changes))
}

/// A piece of a pass; what is remembered is not used again if it gives up.
fn guarded<T>(memory: &mut Memory, work: impl FnOnce(&mut Memory) -> T) -> Result<T, Problems> {
    guard::guarded(|| work(memory)).map_err(|problem| {
        memory.forget();
        Problems::from_iter([problem])
    })
}

/// What is told where pages stay because the day is in doubt.
fn held_back(pass: &Pass, changes: &Changes, before: Day) -> Option<Problem> {
    let held = pass.site.doubted.iter().flatten();
    let standing = held.filter(|folder| changes.kept.iter().any(|path| path.starts_with(*folder))).count();
    (standing > 0).then(|| signs::told_here(before, standing))
}

/// So many private pages do not go at once because the last piece was collected.
const MANY_PAGES: usize = 3;

/// A synced folder that is not connected looks like a shop without jobs; its customers' pages must not
/// go because of that.
fn still_has_jobs(pass: &Pass, out: &Path, shop: &Path) -> Result<(), Problem> {
    let any =
        !pass.shop.jobs.is_empty() || pass.shop.spoilt.iter().any(|part| matches!(part, Spoilt::Job(_)));
    let standing = if any { 0 } else { write::private_pages(out, shop) };
    if standing < MANY_PAGES {
        return Ok(());
    }
    let message = format!("content/jobs is empty, but {} stand", count(standing, "private page"));
    let hint = "see whether the synced folder is connected; if the pages are to go, delete the output folder \
                and run this again";
    Err(Problem::new(Code::JobsGone, message).at(Location::file("content/jobs")).hint(hint))
}

fn not_ours(path: &str) -> Problem {
    let message =
        format!("`{path}` was to go, but somebody has put another file there, so it was left alone");
    Problem::new(Code::NotOurs, message).hint("take it away yourself if it is not wanted")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_remembered_is_thrown_away_with_a_pass_that_gives_up() {
        let mut memory = Memory::that_settles_in(0);
        memory.begin(Some(7));
        assert!(guarded(&mut memory, |memory| memory.moment()).is_ok_and(|moment| moment == Some(7)));
        let problems = guarded(&mut memory, |_| -> () { panic!("as a template would") }).unwrap_err();
        assert!(problems.iter().any(|problem| problem.code == Code::GaveUp));
        assert_eq!(memory.moment(), None);
        // And the next one begins as ever.
        memory.begin(Some(9));
        assert_eq!(memory.moment(), Some(9));
    }
}
