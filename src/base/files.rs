//! Files with errors that say what was tried and where; small helpers that never half-write.
//!
//! Which files there are and what they mean is `read`'s; the output folder is `write`'s alone.

use std::fmt;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Component, Path, PathBuf};

/// A failed file operation: what was being done, to which path, and why it failed.
#[derive(Debug)]
pub struct FileError {
    pub doing: &'static str,
    pub path: PathBuf,
    pub cause: io::Error,
}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "could not {} `{}` ({})", self.doing, self.path.display(), self.cause)
    }
}

impl std::error::Error for FileError {}

impl FileError {
    pub fn is_missing(&self) -> bool {
        self.cause.kind() == io::ErrorKind::NotFound
    }
}

/// Adds the verb and the path to an error of the system.
pub fn told<T>(result: io::Result<T>, doing: &'static str, path: &Path) -> Result<T, FileError> {
    result.map_err(|cause| FileError { doing, path: path.to_owned(), cause })
}

/// The bytes of a file, at most `limit` of them; a longer file is an error of kind `FileTooLarge`.
pub fn read_up_to(path: &Path, limit: u64) -> Result<Vec<u8>, FileError> {
    let file = told(File::open(path), "open", path)?;
    let mut bytes = Vec::new();
    told(file.take(limit + 1).read_to_end(&mut bytes), "read", path)?;
    if bytes.len() as u64 > limit {
        return Err(FileError {
            doing: "read",
            path: path.to_owned(),
            cause: io::ErrorKind::FileTooLarge.into(),
        });
    }
    Ok(bytes)
}

/// Puts `bytes` at `path` so that a reader sees the old file or the new one, never a part:
/// written beside it, made durable, then renamed over it.
pub fn replace(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    replace_with(path, bytes, true, fresh)
}

/// The same for what its owner alone may read, where the system knows of that; at no moment may others.
pub fn replace_private(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    replace_with(path, bytes, true, |draft| {
        let mut options = File::options();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        match fs::remove_file(draft) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
            _ => options.open(draft),
        }
    })
}

/// The same without waiting until it is durable: for what can be made again, and is known to be damaged by whoever
/// reads it.
pub fn replace_quickly(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    replace_with(path, bytes, false, |draft| File::create(draft))
}

fn replace_with(
    path: &Path,
    bytes: &[u8],
    durable: bool,
    new: impl Fn(&Path) -> io::Result<File>,
) -> Result<(), FileError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    told(fs::create_dir_all(folder), "make the folder", folder)?;
    let draft = draft_beside(path);
    let written = new(&draft).and_then(|mut file| {
        file.write_all(bytes)?;
        if durable { file.sync_all() } else { Ok(()) }
    });
    let moved = written.and_then(|()| fs::rename(&draft, path));
    match moved {
        Ok(()) if durable => sync_folder(folder),
        Ok(()) => {}
        Err(_) => drop(fs::remove_file(&draft)),
    }
    told(moved, "write", path)
}

/// Makes the names in a folder last over a power cut, where the system can do that.
pub fn sync_folder(folder: &Path) {
    // Some systems open no folders, and keep names in order by themselves.
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
}

/// Puts a new file at `path`; an error if there is one already.
pub fn create_new(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    told(fs::create_dir_all(folder), "make the folder", folder)?;
    let created = File::create_new(path).and_then(|mut file| file.write_all(bytes));
    told(created, "create", path)
}

/// A new file at `path`, whatever lay there before: a link that lies there is taken away, not followed.
pub fn fresh(path: &Path) -> io::Result<File> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
        _ => File::create_new(path),
    }
}

/// The name under which a file is written before it is renamed into place.
pub fn draft_beside(path: &Path) -> PathBuf {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    path.with_file_name(format!(".{name}.benchlight-draft"))
}

/// The path without links and dots, also where its end is not there yet.
pub fn resolved(path: &Path) -> PathBuf {
    let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let mut real = PathBuf::new();
    for part in absolute.components() {
        match part {
            Component::ParentDir => {
                real.pop();
            }
            Component::CurDir => {}
            part => {
                real.push(part);
                // Step by step, so that `..` after a link leaves the place that the link leads to.
                real = fs::canonicalize(&real).unwrap_or(real);
            }
        }
    }
    real
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_name_verb_and_path() {
        let missing = read_up_to(Path::new("no/such/file"), 10).unwrap_err();
        assert!(missing.is_missing());
        assert!(missing.to_string().starts_with("could not open `no/such/file` ("));
    }
}
