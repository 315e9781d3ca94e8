//! One pass at a time on a shop: the lock on a file of the hidden folder.

use crate::base::files::{FileError, with_path};
use crate::base::lock::{FileLock, NoLock};
use crate::base::stamp::Stamp;
use crate::problem::{Code, Problem};
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Held as long as it lives.
#[derive(Debug)]
pub struct ShopLock(FileLock);

impl ShopLock {
    /// This moment by the clock of the file system that the shop lies on, which dates the shop's files; none if that
    /// cannot be told.
    pub fn moment(&self) -> Option<i64> {
        let mut file = self.0.file();
        file.set_len(0).and_then(|()| file.write_all(b"-")).ok()?;
        Some(Stamp::of(&file.metadata().ok()?).changed())
    }

    /// Takes the lock of a shop. While another pass holds it, `waiting` is called once, and the
    /// lock is tried again for a while.
    ///
    /// # Errors
    /// `busy` if the other pass is still at work then; `output-failed` if the hidden folder cannot be made.
    pub fn take(shop: &Path, waiting: impl FnOnce()) -> Result<ShopLock, Problem> {
        let failed = |error: FileError| {
            Problem::new(Code::OutputFailed, error.to_string())
                .hint("Benchlight keeps its records there: make the folder writable")
        };
        let path = place(shop).map_err(failed)?;
        FileLock::take(&path, waiting).map(ShopLock).map_err(|why| match why {
            NoLock::Busy => busy(),
            NoLock::Failed(error) => failed(error),
        })
    }
}

fn busy() -> Problem {
    Problem::new(Code::Busy, "another Benchlight is at work on this shop")
        .hint("wait until it is done, or close the other window, then run this again")
}

/// The file of the lock, in a folder that is there.
fn place(shop: &Path) -> Result<PathBuf, FileError> {
    let folder = super::hidden_folder(shop);
    with_path(fs::create_dir_all(&folder), "make the folder", &folder)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // It holds private addresses: for the owner's eyes.
        let _ = fs::set_permissions(&folder, fs::Permissions::from_mode(0o700));
    }
    Ok(folder.join("lock"))
}
