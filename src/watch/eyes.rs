//! The system's events: which folders they are asked for, what of them counts, and what can go wrong with them.

use super::folders::WatchedFolders;
use notify::event::{AccessKind, AccessMode};
use notify::{ErrorKind, Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use std::path::PathBuf;

/// Why events cannot be had or trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The system watches no more folders for this user.
    TooManyFolders,
    /// The system lets no more programs of this user watch.
    TooManyWatchers,
    /// Something changed and no event told of it, as on a folder of a network.
    Silent,
    /// Something else.
    Other,
}

/// What the system told.
pub(super) enum Heard {
    Paths(Vec<PathBuf>),
    /// More than it could keep; some of it was lost.
    TooMuch,
    Trouble(Trouble),
}

/// Events are told as long as it lives.
pub(super) struct Eyes(#[expect(dead_code, reason = "it watches until it is dropped")] RecommendedWatcher);

impl Eyes {
    /// Asks for the events of all folders; `hears` is called from another thread.
    pub fn open(folders: &WatchedFolders, hears: impl Fn(Heard) + Send + 'static) -> Result<Eyes, Trouble> {
        let heard = move |told: notify::Result<Event>| {
            if let Some(heard) = sifted(told) {
                hears(heard);
            }
        };
        let mut watcher = notify::recommended_watcher(heard).map_err(|e| trouble(&e))?;
        for place in folders.all() {
            match watcher.watch(&place.real, RecursiveMode::Recursive) {
                // It went away in between; that is noticed when it is looked for again.
                Err(error) if is_missing(&error) => {}
                other => other.map_err(|e| trouble(&e))?,
            }
        }
        if let Some(shop) = folders.shop() {
            match watcher.watch(&shop, RecursiveMode::NonRecursive) {
                Err(error) if !is_missing(&error) => return Err(trouble(&error)),
                _ => {}
            }
        }
        Ok(Eyes(watcher))
    }
}

/// What of an event counts: not that somebody read a file, as we do ourselves.
fn sifted(told: notify::Result<Event>) -> Option<Heard> {
    match told {
        Ok(event) if event.need_rescan() => Some(Heard::TooMuch),
        Ok(event) => match event.kind {
            EventKind::Access(kind) if kind != AccessKind::Close(AccessMode::Write) => None,
            _ => Some(Heard::Paths(event.paths)),
        },
        Err(error) if is_missing(&error) => None,
        Err(error) => Some(Heard::Trouble(trouble(&error))),
    }
}

fn is_missing(error: &notify::Error) -> bool {
    match &error.kind {
        ErrorKind::PathNotFound | ErrorKind::WatchNotFound => true,
        ErrorKind::Io(cause) => cause.kind() == std::io::ErrorKind::NotFound,
        _ => false,
    }
}

/// `inotify(7)`: ENOSPC for too many watches, EMFILE for too many watchers.
fn trouble(error: &notify::Error) -> Trouble {
    const NO_SPACE: i32 = 28;
    const TOO_MANY_FILES: i32 = 24;
    match &error.kind {
        ErrorKind::MaxFilesWatch => Trouble::TooManyFolders,
        ErrorKind::Io(cause) => match cause.raw_os_error() {
            Some(NO_SPACE) => Trouble::TooManyFolders,
            Some(TOO_MANY_FILES) => Trouble::TooManyWatchers,
            _ => Trouble::Other,
        },
        _ => Trouble::Other,
    }
}
