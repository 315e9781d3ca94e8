//! Work that may give up in the middle, and the one hook that hears of it.
//!
//! Nothing here is meant to panic. But templates, the minifier and decoders are other people's code, and one file that brings
//! them to it must not take the program with it. Who calls this says how far the guard reaches, and what is then told. What
//! ends the whole process at once, such as no memory at all, no guard holds.

use std::cell::{Cell, RefCell};
use std::panic::{self, AssertUnwindSafe, PanicHookInfo};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, Once, OnceLock, PoisonError};

/// How many guarded pieces of work are under way that may be shared out among threads.
static UNDER_WAY: AtomicUsize = AtomicUsize::new(0);
/// Where the last one gave up on whatever thread: such work is no matter of one.
static WHERE: Mutex<String> = Mutex::new(String::new());
/// Who tells of a panic that no guard is around.
static TELLER: OnceLock<fn(&PanicHookInfo<'_>)> = OnceLock::new();

thread_local! {
    /// Whether this thread does guarded work of its own.
    static GUARDED: Cell<bool> = const { Cell::new(false) };
    /// Where guarded work gave up on this thread, which is nearer.
    static HERE: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// Does a piece of work that may be shared out among threads. What it changed in memory may be half done if it gives up,
/// and must not be used after that.
///
/// # Errors
/// The place in the program, or nothing where it is not known; not what was being worked on: that may be private.
pub fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    listen();
    HERE.take();
    UNDER_WAY.fetch_add(1, Ordering::SeqCst);
    let done = panic::catch_unwind(AssertUnwindSafe(work));
    UNDER_WAY.fetch_sub(1, Ordering::SeqCst);
    let elsewhere = || WHERE.lock().unwrap_or_else(PoisonError::into_inner).clone();
    done.map_err(|_| HERE.take().unwrap_or_else(elsewhere))
}

/// Does a piece of work that stays on this thread; nothing if it gives up.
pub fn guarded_here<T>(work: impl FnOnce() -> T) -> Option<T> {
    listen();
    let before = GUARDED.replace(true);
    let done = panic::catch_unwind(AssertUnwindSafe(work));
    GUARDED.set(before);
    done.ok()
}

/// From now on this one tells of what no guard is around. The first one stays.
pub fn tell_by(teller: fn(&PanicHookInfo<'_>)) {
    let _ = TELLER.set(teller);
    listen();
}

/// Sets the hook, once. As long as guarded work is under way it prints nothing.
fn listen() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let usual = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if GUARDED.get() {
            } else if UNDER_WAY.load(Ordering::SeqCst) > 0 {
                note(info);
            } else {
                TELLER.get().map_or_else(|| usual(info), |teller| teller(info));
            }
        }));
    });
}

fn note(info: &PanicHookInfo<'_>) {
    // A second one on the same thread, from within this, must not wait for itself.
    thread_local! { static NOTING: RefCell<()> = const { RefCell::new(()) }; }
    let place = info.location().map(|at| format!("{}:{}", from_the_crate(at.file()), at.line()));
    NOTING.with(|noting| {
        if let (Ok(_noting), Some(place)) = (noting.try_borrow_mut(), place) {
            WHERE.lock().unwrap_or_else(PoisonError::into_inner).clone_from(&place);
            HERE.set(Some(place));
        }
    });
}

/// `minify-1.0/src/parse.rs` of a longer path: whose code it is, and nothing of the machine that it was built on.
fn from_the_crate(file: &str) -> String {
    let parts: Vec<String> = Path::new(file).iter().map(|part| part.to_string_lossy().into_owned()).collect();
    let src = parts.iter().rposition(|part| part == "src").unwrap_or_default();
    parts[src.saturating_sub(1)..].join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_gives_up_tells_where_and_nothing_else() {
        assert_eq!(guarded(|| 7), Ok(7));
        let place = guarded::<()>(|| panic!("Ada Fenn, 555-0117")).unwrap_err();
        assert!(place.starts_with("src/base/panics.rs:") && !place.contains("Fenn"), "{place}");
        assert_eq!(guarded_here(|| 7), Some(7));
        assert_eq!(guarded_here::<()>(|| panic!("as a decoder would")), None);
        // A guard within a guard leaves the outer one as it was.
        let inner = guarded_here(|| (guarded_here::<()>(|| panic!("within")), GUARDED.get()));
        assert_eq!((inner, GUARDED.get()), (Some((None, true)), false));
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
