//! Which file of the output folder an address means. What kind of file it is says `model::role`.
//!
//! Nothing outside of the folder is ever found, whatever the address holds; nor is what is hidden, such as
//! a file that is just being written.

use percent_encoding::percent_decode_str;
use std::fs;
use std::path::{Path, PathBuf};

/// What lies at an address.
pub(super) enum Located {
    File(PathBuf),
    /// A page's folder, named without the slash at its end.
    Folder,
    Nothing,
}

/// Finds `path`, which begins with a slash and has no question.
pub(super) fn find(root: &Path, path: &str) -> Located {
    file(root, path).unwrap_or(Located::Nothing)
}

fn file(root: &Path, path: &str) -> Option<Located> {
    let path = percent_decode_str(path.strip_prefix('/')?).decode_utf8().ok()?;
    let (folders, is_folder) = match path.strip_suffix('/') {
        Some(folders) => (folders, true),
        None => (&*path, path.is_empty()),
    };
    let mut at = root.to_owned();
    for part in folders.split('/').filter(|_| !folders.is_empty()) {
        at.push(is_plain(part).then_some(part)?);
    }
    if is_folder {
        at.push("index.html");
    }
    let real = fs::canonicalize(&at).ok()?;
    if !real.starts_with(fs::canonicalize(root).ok()?) {
        return None;
    }
    if real.is_dir() {
        return real.join("index.html").is_file().then_some(Located::Folder);
    }
    real.is_file().then_some(Located::File(real))
}

fn is_plain(part: &str) -> bool {
    !part.is_empty() && !part.starts_with('.') && !part.contains(['\\', '\0', ':', '/'])
}
