//! Several files, or a new folder of them, put in place whole or not at all.
//!
//! Single files are `files`'; what stands in them is for whoever writes them.

use super::files::{self, FileError, draft_beside, with_path};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// No file that a person writes is longer.
const LARGEST: u64 = 1 << 24;

/// A file that is to be changed.
#[derive(Debug)]
pub struct Change {
    pub path: PathBuf,
    /// What stands in it now; a file that changed meanwhile is not overwritten.
    pub before: Vec<u8>,
    pub after: Vec<u8>,
}

/// Changes all of these files or none: every draft is written first, then each is renamed into place, and if
/// one cannot be, those before it are put back.
pub fn change_all(changes: &[Change]) -> Result<(), FileError> {
    let moved = changes.iter().try_for_each(draft).and_then(|()| settle(changes));
    if moved.is_err() {
        for change in changes {
            let _ = fs::remove_file(draft_beside(&change.path));
        }
    }
    moved
}

/// Renames every draft into place; what was renamed before one that fails is put back.
fn settle(changes: &[Change]) -> Result<(), FileError> {
    for (at, change) in changes.iter().enumerate() {
        let moved = with_path(fs::rename(draft_beside(&change.path), &change.path), "write", &change.path);
        if moved.is_err() {
            for done in changes.iter().take(at) {
                let _ = files::replace(&done.path, &done.before);
            }
            return moved;
        }
    }
    Ok(())
}

fn draft(change: &Change) -> Result<(), FileError> {
    let now = files::read_up_to(&change.path, LARGEST)?;
    if now != change.before {
        let cause = io::Error::other("it was changed meanwhile");
        return with_path(Err(cause), "write", &change.path);
    }
    let draft = draft_beside(&change.path);
    let written = files::fresh(&draft).and_then(|mut file| {
        file.write_all(&change.after)?;
        file.sync_all()
    });
    with_path(written, "write", &draft)
}

/// Makes a folder with these files and empty folders in it. It is laid out beside under a hidden name and
/// renamed last, so that nobody ever sees a part of it; an error if there is something at `path` already.
pub fn new_folder(path: &Path, files: &[(&str, &[u8])], folders: &[String]) -> Result<(), FileError> {
    let draft = draft_beside(path);
    let _ = fs::remove_dir_all(&draft);
    let laid = lay_out(&draft, files, folders);
    let moved = laid.and_then(|()| {
        // A rename would take the place of an empty folder.
        match fs::symlink_metadata(path) {
            Ok(_) => with_path(Err(io::ErrorKind::AlreadyExists.into()), "make the folder", path),
            Err(_) => with_path(fs::rename(&draft, path), "make the folder", path),
        }
    });
    if moved.is_err() {
        let _ = fs::remove_dir_all(&draft);
    }
    moved
}

fn lay_out(draft: &Path, files: &[(&str, &[u8])], folders: &[String]) -> Result<(), FileError> {
    with_path(fs::create_dir_all(draft), "make the folder", draft)?;
    for folder in folders {
        let path = draft.join(folder);
        with_path(fs::create_dir(&path), "make the folder", &path)?;
    }
    for (name, bytes) in files {
        let path = draft.join(name);
        let written = files::fresh(&path).and_then(|mut file| {
            file.write_all(bytes)?;
            file.sync_all()
        });
        with_path(written, "create", &path)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn change(folder: &Path, name: &str, before: &str) -> Change {
        let path = folder.join(name);
        Change { path, before: before.as_bytes().to_vec(), after: b"new".to_vec() }
    }

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<String> =
            entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    #[test]
    fn all_files_change_or_none() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a", "b", "c"] {
            files::create_new(&folder.path().join(name), b"old").unwrap();
        }
        let text = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
        // The last one is not what it was thought to be.
        let all = [("a", "old"), ("b", "old"), ("c", "other")].map(|(n, b)| change(folder.path(), n, b));
        let failed = change_all(&all).unwrap_err();
        assert!(failed.to_string().contains("changed meanwhile"), "{failed}");
        assert_eq!((text("a"), text("b"), text("c")), ("old".into(), "old".into(), "old".into()));
        assert_eq!(names(folder.path()), ["a", "b", "c"]);
        let all = ["a", "b", "c"].map(|name| change(folder.path(), name, "old"));
        change_all(&all).unwrap();
        assert_eq!((text("a"), text("c")), ("new".into(), "new".into()));
    }

    #[test]
    fn a_rename_that_fails_takes_the_ones_before_it_back() {
        let folder = tempfile::tempdir().unwrap();
        files::create_new(&folder.path().join("a"), b"old").unwrap();
        files::create_new(&folder.path().join("b"), b"old").unwrap();
        let all = ["a", "b"].map(|name| change(folder.path(), name, "old"));
        // Both drafts can be written; then a folder takes the place of the second file.
        all.iter().try_for_each(draft).unwrap();
        fs::remove_file(&all[1].path).unwrap();
        fs::create_dir(&all[1].path).unwrap();
        assert!(settle(&all).is_err(), "a folder is not overwritten by a file");
        assert_eq!(fs::read_to_string(&all[0].path).unwrap(), "old");
    }

    #[test]
    fn a_new_folder_comes_whole_and_takes_no_place() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("26-041 Fenn");
        new_folder(&path, &[("job.toml", b"x")], &["1 skinned".into(), "2 dried".into()]).unwrap();
        assert_eq!(names(&path), ["1 skinned", "2 dried", "job.toml"]);
        assert!(new_folder(&path, &[("job.toml", b"y")], &[]).is_err());
        let empty = home.path().join("empty");
        fs::create_dir(&empty).unwrap();
        assert!(new_folder(&empty, &[], &[]).is_err());
        assert_eq!(names(home.path()), ["26-041 Fenn", "empty"]);
    }
}
