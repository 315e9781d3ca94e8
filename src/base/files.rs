//! Files with errors that say what was tried and where; small helpers that never half-write.
//!
//! Which files there are and what they mean is `read`'s; the output folder is `write`'s alone.

#![allow(clippy::disallowed_methods, reason = "the one place that opens files")]

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
pub fn with_path<T>(result: io::Result<T>, doing: &'static str, path: &Path) -> Result<T, FileError> {
    result.map_err(|cause| FileError { doing, path: path.to_owned(), cause })
}

/// Opens a file for reading; a link is followed. A pipe, a socket or a device is refused and not opened: opening a pipe
/// waits for somebody to write, perhaps for ever.
pub fn open(path: &Path) -> io::Result<File> {
    plain(&fs::metadata(path)?)?;
    let file = at_once().read(true).open(path)?;
    // Something else may have taken its place between the look and the opening, which then did not wait.
    plain(&file.metadata()?)?;
    Ok(file)
}

/// Opens a file of our own to be written to, and makes it if it is not there. A link in its place is not followed:
/// what it leads to is not ours.
pub fn open_own(path: &Path, append: bool) -> io::Result<File> {
    match fs::symlink_metadata(path) {
        Ok(facts) if !facts.is_file() => return Err(no_file(&facts)),
        Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
        _ => {}
    }
    let file = at_once().create(true).truncate(false).write(true).append(append).open(path)?;
    plain(&file.metadata()?)?;
    Ok(file)
}

/// Options for an opening that waits for nobody. It makes no difference to a plain file.
fn at_once() -> fs::OpenOptions {
    let mut options = File::options();
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::custom_flags(&mut options, O_NONBLOCK);
    options
}

/// `O_NONBLOCK` of Linux on all processors but MIPS and SPARC (`asm-generic/fcntl.h`), of macOS and the BSDs
/// (`sys/fcntl.h`); where it is not known, the look before the opening has to do.
#[cfg(unix)]
const O_NONBLOCK: i32 = if cfg!(any(target_os = "linux", target_os = "android")) {
    if cfg!(any(target_arch = "mips", target_arch = "mips64", target_arch = "sparc64")) { 0 } else { 0o4000 }
} else if cfg!(any(
    target_vendor = "apple",
    target_os = "freebsd",
    target_os = "openbsd",
    target_os = "netbsd"
)) {
    4
} else {
    0
};

/// A folder opens without waiting, and says by itself that it cannot be read.
fn plain(facts: &fs::Metadata) -> io::Result<()> {
    if facts.is_file() || facts.is_dir() { Ok(()) } else { Err(no_file(facts)) }
}

fn no_file(facts: &fs::Metadata) -> io::Error {
    io::Error::other(match facts.file_type() {
        kind if kind.is_symlink() => "there is a link in its place; take the link away",
        kind if kind.is_dir() => "there is a folder in its place; take the folder away",
        _ => "it is no file but a pipe, a socket or a device; take it away",
    })
}

/// Which file this is, whatever it is called: two names of one file share it. None where the system does not tell.
#[cfg(unix)]
pub fn identity(facts: &fs::Metadata) -> Option<(u64, u64)> {
    use std::os::unix::fs::MetadataExt;
    Some((facts.dev(), facts.ino()))
}

/// Which file this is, whatever it is called; not known here.
#[cfg(not(unix))]
pub fn identity(_: &fs::Metadata) -> Option<(u64, u64)> {
    None
}

/// The identities of the files in a folder whose names `are`; none of a folder that cannot be listed.
pub fn identities(folder: &Path, are: impl Fn(&str) -> bool) -> Vec<(u64, u64)> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let named = entries.filter(|entry| are(&entry.file_name().to_string_lossy()));
    // Links followed: a key that lies elsewhere is the key all the same.
    named.filter_map(|entry| identity(&fs::metadata(entry.path()).ok()?)).collect()
}

/// The bytes of a file, at most `limit` of them; a longer file is an error of kind `FileTooLarge`.
pub fn read_up_to(path: &Path, limit: u64) -> Result<Vec<u8>, FileError> {
    let file = with_path(open(path), "open", path)?;
    let mut bytes = Vec::new();
    with_path(file.take(limit + 1).read_to_end(&mut bytes), "read", path)?;
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
    replace_with(path, bytes, false, fresh)
}

fn replace_with(
    path: &Path,
    bytes: &[u8],
    durable: bool,
    new: impl Fn(&Path) -> io::Result<File>,
) -> Result<(), FileError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    with_path(fs::create_dir_all(folder), "make the folder", folder)?;
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
    with_path(moved, "write", path)
}

/// Makes the names in a folder last over a power cut, where the system can do that.
pub fn sync_folder(folder: &Path) {
    // Some systems open no folders, and keep names in order by themselves.
    let _ = open(folder).and_then(|folder| folder.sync_all());
}

/// Puts a new file at `path`; an error if there is one already.
pub fn create_new(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    with_path(fs::create_dir_all(folder), "make the folder", folder)?;
    let created = File::create_new(path).and_then(|mut file| file.write_all(bytes));
    with_path(created, "create", path)
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
    path.with_file_name(draft_name(&name))
}

/// The name of a file on its way to its place: `.index.html.benchlight-draft`.
pub fn draft_name(name: &str) -> String {
    format!(".{name}{DRAFT}")
}

/// Whether a name is one of these.
pub fn is_draft_name(name: &str) -> bool {
    name.starts_with('.') && name.ends_with(DRAFT)
}

const DRAFT: &str = ".benchlight-draft";

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
    fn drafts_are_known_by_their_names() {
        let draft = draft_beside(Path::new("a/index.html"));
        assert_eq!(draft, Path::new("a/.index.html.benchlight-draft"));
        assert!(is_draft_name(".index.html.benchlight-draft") && !is_draft_name("index.html"));
        assert!(!is_draft_name("index.html.benchlight-draft") && !is_draft_name(".index.html"));
    }

    #[test]
    fn errors_name_verb_and_path() {
        let missing = read_up_to(Path::new("no/such/file"), 10).unwrap_err();
        assert!(missing.is_missing());
        assert!(missing.to_string().starts_with("could not open `no/such/file` ("));
    }

    /// What runs in time; what waits for somebody fails the test instead of hanging it.
    #[cfg(unix)]
    fn in_time<T: Send + 'static>(does: impl FnOnce() -> T + Send + 'static) -> T {
        let (done, waits) = std::sync::mpsc::channel();
        std::thread::spawn(move || done.send(does()));
        waits.recv_timeout(std::time::Duration::from_secs(10)).expect("it waits for somebody")
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_is_refused_and_not_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        let pipe = folder.path().join("pipe");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        let (a, b, c) = (pipe.clone(), pipe.clone(), pipe.clone());
        let told = in_time(move || read_up_to(&a, 10).map(drop)).unwrap_err();
        assert!(told.to_string().contains("a pipe, a socket or a device"), "{told}");
        assert!(in_time(move || open_own(&b, true).map(drop)).is_err());
        // One that comes between the look and the opening is opened at once, and seen then.
        let late = in_time(move || at_once().read(true).open(&c)).unwrap();
        assert!(plain(&late.metadata().unwrap()).is_err());
        let draft = draft_beside(&folder.path().join("x"));
        fs::rename(&pipe, &draft).unwrap();
        let path = folder.path().join("x");
        in_time(move || replace_quickly(&path, b"new")).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn our_own_files_are_no_links() {
        let folder = tempfile::tempdir().unwrap();
        let (theirs, link) = (folder.path().join("theirs"), folder.path().join("lock"));
        create_new(&theirs, b"kept").unwrap();
        std::os::unix::fs::symlink(&theirs, &link).unwrap();
        let told = open_own(&link, false).unwrap_err();
        assert!(told.to_string().contains("there is a link in its place"), "{told}");
        replace_quickly(&link, b"new").unwrap();
        assert_eq!(fs::read(&theirs).unwrap(), b"kept");
    }
}
