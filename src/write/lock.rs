//! One pass at a time on a shop.
//!
//! The lock is the operating system's, on a file of the hidden folder, so a killed pass never
//! leaves it behind.

use crate::base::files::{self, FileError, with_path};
use crate::base::stamp::Stamp;
use crate::problem::{Code, Problem};
use std::fs::{self, File, TryLockError};
use std::io::Write;
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

/// Held as long as it lives.
#[derive(Debug)]
pub struct Lock(File);

const PAUSE: Duration = Duration::from_millis(50);

impl Lock {
    /// This moment by the clock of the file system that the shop lies on, which dates the shop's files; none if that
    /// cannot be told.
    pub fn moment(&self) -> Option<i64> {
        self.0.set_len(0).and_then(|()| (&self.0).write_all(b"-")).ok()?;
        Some(Stamp::of(&self.0.metadata().ok()?).changed())
    }

    /// Takes the lock of a shop. While another pass holds it, `waiting` is called once, and the
    /// lock is tried again for at most `patience`.
    ///
    /// # Errors
    /// `busy` if the other pass is still at work then; `output-failed` if the hidden folder cannot be made.
    pub fn take(shop: &Path, patience: Duration, waiting: impl FnOnce()) -> Result<Lock, Problem> {
        let file = open(shop).map_err(|e| {
            Problem::new(Code::OutputFailed, e.to_string())
                .hint("Benchlight keeps its records there: make the folder writable")
        })?;
        let mut waiting = Some(waiting);
        let mut left = patience;
        loop {
            match file.try_lock() {
                Ok(()) => return Ok(Lock(file)),
                // A file system that knows no locks: nothing to hold, and nothing to wait for.
                Err(TryLockError::Error(_)) => return Ok(Lock(file)),
                Err(TryLockError::WouldBlock) if left.is_zero() => return Err(busy()),
                Err(TryLockError::WouldBlock) => {
                    if let Some(say) = waiting.take() {
                        say();
                    }
                    sleep(PAUSE);
                    left = left.saturating_sub(PAUSE);
                }
            }
        }
    }
}

fn busy() -> Problem {
    Problem::new(Code::Busy, "another Benchlight is at work on this shop")
        .hint("wait until it is done, or close the other window, then run this again")
}

fn open(shop: &Path) -> Result<File, FileError> {
    let folder = super::hidden_folder(shop);
    with_path(fs::create_dir_all(&folder), "make the folder", &folder)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // It holds private addresses: for the owner's eyes.
        let _ = fs::set_permissions(&folder, fs::Permissions::from_mode(0o700));
    }
    let path = folder.join("lock");
    with_path(files::open_own(&path, false), "open", &path)
}
