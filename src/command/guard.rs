//! What gives up in the middle is told in words, and does not take the program with it.
//!
//! Nothing here is meant to panic. But templates, the minifier and decoders are other people's code, and one file that
//! brings them to it must cost one pass at the most. Photos have a guard of their own (`photo`). What ends the whole
//! process at once, such as no memory at all, no guard holds.

use crate::problem::{Code, Problem, Severity};
use std::cell::RefCell;
use std::panic::{self, AssertUnwindSafe, PanicHookInfo};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, Once, PoisonError};

/// How many guarded pieces of work are under way.
static UNDER_WAY: AtomicUsize = AtomicUsize::new(0);
/// Where the last one gave up. Work is shared out among threads, so it is no matter of one.
static WHERE: Mutex<String> = Mutex::new(String::new());

/// Does a piece of work. What it changed in memory may be half done if it gives up, and must not be used after that.
///
/// # Errors
/// `gave-up`, with the place in the program and without what was being worked on: that may be private.
pub(super) fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, Problem> {
    listen();
    UNDER_WAY.fetch_add(1, Ordering::SeqCst);
    let done = panic::catch_unwind(AssertUnwindSafe(work));
    UNDER_WAY.fetch_sub(1, Ordering::SeqCst);
    done.map_err(|_| gave_up(&WHERE.lock().unwrap_or_else(PoisonError::into_inner)))
}

/// Has places noted, and nothing printed, as long as guarded work is under way.
fn listen() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let usual = panic::take_hook();
        panic::set_hook(Box::new(move |info| match UNDER_WAY.load(Ordering::SeqCst) {
            0 => usual(info),
            _ => note(info),
        }));
    });
}

fn note(info: &PanicHookInfo<'_>) {
    // A second one on the same thread, from within this, must not wait for itself.
    thread_local! { static NOTING: RefCell<()> = const { RefCell::new(()) }; }
    let place = info.location().map(|at| format!("{}:{}", from_the_crate(at.file()), at.line()));
    NOTING.with(|noting| {
        if let (Ok(_noting), Some(place)) = (noting.try_borrow_mut(), place) {
            *WHERE.lock().unwrap_or_else(PoisonError::into_inner) = place;
        }
    });
}

/// `minify-1.0/src/parse.rs` of a longer path: whose code it is, and nothing of the machine that it was built on.
fn from_the_crate(file: &str) -> String {
    let parts: Vec<String> = Path::new(file).iter().map(|part| part.to_string_lossy().into_owned()).collect();
    let src = parts.iter().rposition(|part| part == "src").unwrap_or_default();
    parts[src.saturating_sub(1)..].join("/")
}

fn gave_up(place: &str) -> Problem {
    let at = if place.is_empty() { String::new() } else { format!(" (at {place})") };
    let message = format!("this ended in the middle, by a mistake in the program itself{at}");
    Problem::new(Code::GaveUp, message).with_severity(Severity::Stop).hint(
        "what was saved last has most likely set it off: take that back, or write it another way; and report this line, please",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_gives_up_becomes_a_problem_that_tells_where() {
        assert_eq!(guarded(|| 7).unwrap(), 7);
        let problem = guarded::<()>(|| panic!("Ada Fenn, 555-0117")).unwrap_err();
        assert_eq!((problem.code, problem.severity), (Code::GaveUp, Severity::Stop));
        assert!(problem.message.contains("src/command/guard.rs:"), "{}", problem.message);
        assert!(!problem.message.contains("Fenn"), "{}", problem.message);
    }

    #[test]
    fn a_command_that_gives_up_ends_as_one_that_could_not_be_done() {
        use crate::command::Outcome;
        assert_eq!(crate::command::guarded(|| panic!("as a template would")), Outcome::CouldNot);
        assert_eq!(crate::command::guarded(|| Outcome::Mending), Outcome::Mending);
    }

    #[test]
    fn work_that_is_shared_out_is_guarded_too() {
        use rayon::prelude::*;
        let sum = guarded(|| (0..1000).into_par_iter().map(|n| 10 / (n - 500)).sum::<i32>());
        assert_eq!(sum.unwrap_err().code, Code::GaveUp);
    }

    #[test]
    fn places_tell_nothing_of_the_machine() {
        for (file, told) in [
            ("/home/someone/registry/src/index.example-1949/minify-1.0/src/a/b.rs", "minify-1.0/src/a/b.rs"),
            ("src/render/minify.rs", "src/render/minify.rs"),
            ("/rustc/0123/library/core/src/str/mod.rs", "core/src/str/mod.rs"),
            ("odd", "odd"),
            ("", ""),
        ] {
            assert_eq!(from_the_crate(file), told);
        }
    }
}
