//! One program at a time on a thing that has a file to lock. The lock is the operating system's, so a program that is killed
//! never leaves it behind.

use super::files::{self, FileError, with_path};
use std::fs::{File, TryLockError};
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

/// Held as long as it lives.
#[derive(Debug)]
pub struct FileLock(File);

/// Why there is none.
#[derive(Debug)]
pub enum NoLock {
    /// Another program holds it.
    Busy,
    /// The file cannot be opened.
    Failed(FileError),
}

/// How long another program is waited for, where it is.
const PATIENCE: Duration = Duration::from_secs(20);
const PAUSE: Duration = Duration::from_millis(50);

impl FileLock {
    /// Takes the lock, whose folder is there. While another program holds it, `waiting` is called once, and the lock is tried
    /// again for a while.
    ///
    /// # Errors
    /// It is still held then, or there is no such file to be had.
    pub fn take(path: &Path, waiting: impl FnOnce()) -> Result<FileLock, NoLock> {
        let mut waiting = Some(waiting);
        let mut left = PATIENCE;
        loop {
            match FileLock::take_at_once(path) {
                Err(NoLock::Busy) if !left.is_zero() => {
                    if let Some(say) = waiting.take() {
                        say();
                    }
                    sleep(PAUSE);
                    left = left.saturating_sub(PAUSE);
                }
                done => return done,
            }
        }
    }

    /// The same without waiting.
    ///
    /// # Errors
    /// Another program holds it, or there is no such file to be had.
    pub fn take_at_once(path: &Path) -> Result<FileLock, NoLock> {
        let file = with_path(files::open_own(path, false), "open", path).map_err(NoLock::Failed)?;
        match file.try_lock() {
            Err(TryLockError::WouldBlock) => Err(NoLock::Busy),
            // A file system that knows no locks: nothing to hold, and nothing to wait for.
            Ok(()) | Err(TryLockError::Error(_)) => Ok(FileLock(file)),
        }
    }

    /// The file that is locked.
    pub fn file(&self) -> &File {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_holds_it_at_a_time() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("lock");
        let held = FileLock::take_at_once(&path).unwrap();
        assert!(matches!(FileLock::take_at_once(&path), Err(NoLock::Busy)));
        let (mut held, mut asked) = (Some(held), 0);
        // Given back while it is waited for.
        FileLock::take(&path, || (held, asked) = (None, asked + 1)).unwrap();
        assert!(held.is_none() && asked == 1);
        let nowhere = folder.path().join("no/such/folder/lock");
        assert!(matches!(FileLock::take_at_once(&nowhere), Err(NoLock::Failed(_))));
    }
}
