//! Where the output folder may lie: never where it would publish the content or our own records.

pub use crate::base::files::resolved;

use crate::base::words::quoted;
use crate::problem::{Code, Location, Problem};
use std::fs;
use std::path::Path;

/// The output may not hold the content or the hidden folder (they would be published), nor lie in them.
///
/// # Errors
/// `output-taken`; nothing was touched.
pub fn check(out: &Path, shop: &Path) -> Result<(), Problem> {
    let out_real = resolved(out);
    for (folder, what) in
        [(shop.join("content"), "content"), (super::hidden_folder(shop), "hidden `.benchlight`")]
    {
        // By its name in the shop and by where a link there leads.
        for inner in [resolved(&folder), resolved(shop).join(folder.file_name().unwrap_or_default())] {
            if inner.starts_with(&out_real) || out_real.starts_with(&inner) {
                let message = format!(
                    "the output folder `{}` and the {what} folder are inside each other",
                    out.display()
                );
                return Err(
                    Problem::new(Code::OutputTaken, message).hint("choose another folder with `--out`")
                );
            }
        }
    }
    Ok(())
}

/// The usual output folder may not be a link: where it leads is a place that nobody named.
///
/// # Errors
/// `output-taken`; nothing was touched.
pub fn check_usual(out: &Path) -> Result<(), Problem> {
    if !fs::symlink_metadata(out).is_ok_and(|facts| facts.is_symlink()) {
        return Ok(());
    }
    let leads = resolved(out);
    let message = format!("`{}` is a link to `{}` and is not followed", out.display(), leads.display());
    let hint = format!(
        "take the link away, or say where the pages go: `benchlight make --out {}`",
        quoted(&leads.display().to_string())
    );
    Err(Problem::new(Code::OutputTaken, message).at(Location::file("public")).hint(hint))
}

/// Whether the output folder is part of the shop's own folder, as `public` is.
pub fn is_inside(out: &Path, shop: &Path) -> bool {
    resolved(out).starts_with(resolved(shop))
}
