//! Printed pages: beside the content, never where they would be published.

use super::place::resolved;
use crate::base::files;
use crate::problem::{Code, Problem};
use std::fs;
use std::path::{Path, PathBuf};

/// The folder of a shop for what is printed.
const FOLDER: &str = "print";

/// Where a printed page lies as long as nobody says otherwise.
pub fn printed_file(shop: &Path, name: &str) -> PathBuf {
    shop.join(FOLDER).join(name)
}

/// Puts a printed page in place, an older one of that name included.
///
/// # Errors
/// `output-taken` if it would lie in the content, in our own records or in a finished site; `output-failed` if the
/// disk refuses.
pub fn put_printed(shop: &Path, path: &Path, text: &str) -> Result<(), Problem> {
    may_lie(shop, path)?;
    let own = path.parent().is_some_and(|folder| resolved(folder) == resolved(&shop.join(FOLDER)));
    if own {
        make_own(shop).map_err(|e| failed(&e))?;
    }
    files::replace(path, text.as_bytes()).map_err(|e| failed(&e.to_string()))
}

/// The shop's own folder for it is for the owner's eyes: names, phones and addresses stand in it.
fn make_own(shop: &Path) -> Result<(), String> {
    let folder = shop.join(FOLDER);
    fs::create_dir_all(&folder)
        .map_err(|e| format!("could not make the folder `{}` ({e})", folder.display()))?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let _ = fs::set_permissions(&folder, fs::Permissions::from_mode(0o700));
    }
    Ok(())
}

fn may_lie(shop: &Path, path: &Path) -> Result<(), Problem> {
    let place = resolved(path);
    let forbidden = [shop.join("content"), shop.join("public"), super::hidden_folder(shop)];
    let in_forbidden = forbidden.iter().any(|folder| place.starts_with(resolved(folder)));
    // A site that was made into another folder.
    let in_site = place.ancestors().skip(1).any(|folder| folder.join("see").join("index.html").exists());
    if in_forbidden || in_site {
        let message = format!("`{}` would end up where it does not belong or gets published", path.display());
        let hint = "choose another place with `--out`; left out, it goes into the folder `print`";
        return Err(Problem::new(Code::OutputTaken, message).hint(hint));
    }
    Ok(())
}

fn failed(message: &str) -> Problem {
    Problem::new(Code::OutputFailed, message).hint("choose a place that you may write to with `--out`")
}
