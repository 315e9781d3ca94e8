//! `open`: lays out a new shop from the starter files that are built into the program, with a
//! fresh key, and with a folder for each route to be copied for a new job. Never overwrites anything.

mod blank;
pub mod new_key;

use super::Outcome;
use super::terminal::{say, tell_problems};
use crate::base::crockford;
use crate::base::files::{self, FileError, with_path};
use crate::base::words::quoted;
use crate::problem::{Code, Problem, Problems};
use include_dir::{Dir, DirEntry, include_dir};
use std::fs;
use std::path::{Path, PathBuf};
use zeroize::Zeroizing;

static STARTER: Dir = include_dir!("$CARGO_MANIFEST_DIR/src/command/open/starter");

/// Lays out a shop in `folder`.
pub fn run(folder: &Path) -> Outcome {
    match lay_out(folder) {
        Ok(()) => {
            say(&format!("Your new shop is in {}.", folder.display()));
            say("  1. Open content/shop.toml there and put in your own name, hours and prices.");
            say("  2. Look through content/routes: the figures in them are only a start, yours win.");
            say("  3. Keep a copy of content/shop.key somewhere safe: every private address comes from it.");
            say(&format!("Then: benchlight --shop {} make", quoted(&folder.display().to_string())));
            Outcome::Done
        }
        Err(problem) => {
            tell_problems(&Problems::from_iter([problem]));
            Outcome::CouldNot
        }
    }
}

fn lay_out(folder: &Path) -> Result<(), Problem> {
    if fs::symlink_metadata(folder.join("content")).is_ok() {
        let message = format!("there is a shop in `{}` already", folder.display());
        return Err(Problem::new(Code::OutputTaken, message).hint("choose a folder that is not there yet"));
    }
    let files = starter_files();
    if let Some((taken, _)) = files.iter().find(|(path, _)| fs::symlink_metadata(folder.join(path)).is_ok()) {
        let message = format!("`{}` is there already", folder.join(taken).display());
        return Err(Problem::new(Code::OutputTaken, message).hint("choose a folder that is not there yet"));
    }
    let key = fresh_key()?;
    // Everything is laid out under another name and moved into place last, so that an interrupted
    // `open` leaves no half shop.
    let draft = folder.join(".content.draft");
    let done = lay_draft(&draft, &files, &key).and_then(|()| settle(&draft, folder, &files));
    if done.is_err() {
        let _ = fs::remove_dir_all(&draft);
    }
    done.map_err(|e| {
        Problem::new(Code::OutputFailed, e.to_string()).hint("choose a folder that you may write to")
    })
}

fn lay_draft(draft: &Path, files: &[(PathBuf, &[u8])], key: &str) -> Result<(), FileError> {
    let _ = fs::remove_dir_all(draft);
    for (path, bytes) in files {
        files::create_new(&draft.join(path), bytes)?;
    }
    for empty in ["content/jobs", "content/showroom", "content/pages"] {
        let folder = draft.join(empty);
        with_path(fs::create_dir_all(&folder), "make the folder", &folder)?;
    }
    let key_file = draft.join("content/shop.key");
    files::create_new(&key_file, key.as_bytes())?;
    blank::lay_out(draft)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        with_path(fs::set_permissions(&key_file, fs::Permissions::from_mode(0o600)), "protect", &key_file)?;
    }
    Ok(())
}

/// Moves what lies in the draft up into the folder, `content` last.
fn settle(draft: &Path, folder: &Path, files: &[(PathBuf, &[u8])]) -> Result<(), FileError> {
    let outside = files.iter().map(|(path, _)| path).filter(|path| !path.starts_with("content"));
    for path in outside {
        with_path(fs::rename(draft.join(path), folder.join(path)), "write", &folder.join(path))?;
    }
    let content = folder.join("content");
    with_path(fs::rename(draft.join("content"), &content), "write", &content)?;
    with_path(fs::remove_dir_all(draft), "remove", draft)
}

/// The starter's files by their path in the shop; a file called `gitignore` gets its dot here, so
/// that it does not act on the program's own repository.
fn starter_files() -> Vec<(PathBuf, &'static [u8])> {
    let mut files = Vec::new();
    let mut folders = vec![&STARTER];
    while let Some(folder) = folders.pop() {
        for entry in folder.entries() {
            match entry {
                DirEntry::Dir(inner) => folders.push(inner),
                DirEntry::File(file) => {
                    let hidden = file.path().file_name().is_some_and(|name| name == "gitignore");
                    let path = if hidden {
                        file.path().with_file_name(".gitignore")
                    } else {
                        file.path().to_owned()
                    };
                    files.push((path, file.contents()));
                }
            }
        }
    }
    files.sort();
    files
}

/// The text of a new `shop.key`: 32 random bytes with their check symbol.
fn fresh_key() -> Result<Zeroizing<String>, Problem> {
    let mut bytes = Zeroizing::new([0u8; 32]);
    getrandom::fill(bytes.as_mut()).map_err(|e| {
        Problem::new(Code::OutputFailed, format!("the system gives no random bytes ({e})"))
            .hint("run this again")
    })?;
    Ok(Zeroizing::new(key_text(&bytes)))
}

/// How `shop.key` is written: comment lines, then the key in groups of four with its check symbol.
pub fn key_text(bytes: &[u8; 32]) -> String {
    format!(
        "# The secret key of this shop. Every private address is made from it.\n\
         # Keep a copy somewhere safe and show it to nobody: whoever has it can find every customer's page,\n\
         # and without it every hang tag that you gave out leads nowhere.\n\
         {}\n",
        *symbols(bytes)
    )
}

/// 32 bytes as symbols in groups of four, with their check symbol.
fn symbols(bytes: &[u8; 32]) -> Zeroizing<String> {
    let plain = Zeroizing::new(crockford::encode(bytes));
    let check = crockford::check_symbol(&plain);
    // As long as it will be: a text that grows leaves its beginning behind in memory.
    let mut grouped = Zeroizing::new(String::with_capacity(2 * plain.len()));
    for (at, symbol) in plain.chars().chain(check).enumerate() {
        if at > 0 && at % 4 == 0 {
            grouped.push('-');
        }
        grouped.push(symbol);
    }
    grouped
}
