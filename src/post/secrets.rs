//! What the host wants to be shown: from the environment, or from a file that nobody else on this computer can read
//! and that no sync carries off. No message shows any of it.
//!
//! They are of type `Secret`, go to the library alone, and the library's words go to nobody: `trouble` searches them for what is known and says it in
//! ours. `read::secrets` takes what looks like a secret, by the name of its key, out of the text of `shop.toml` before that is parsed, so that no message
//! that shows a line can show one. Other programs' environment variables and key files are not looked for.

use crate::base::files;
use crate::base::secret::Secret;
use crate::model::{Post, PostTo};
use crate::problem::{Code, Location, Problem, Severity};
use std::path::{Path, PathBuf};
use toml::de::DeTable;
use zeroize::Zeroizing;

/// The file where nothing else is said, beside `content/`.
const FILE: &str = "post.key";
/// More than any such file holds.
const LIMIT: u64 = 1 << 16;

/// The secrets of a place, by the words they have in the file.
#[derive(Debug)]
pub(super) struct Secrets(Vec<(&'static str, Secret<String>)>);

impl Secrets {
    /// All that the place needs.
    ///
    /// # Errors
    /// One is missing, or the file may not be used as it lies there.
    pub fn read(shop: &Path, post: &Post) -> Result<Secrets, Problem> {
        let wanted: &[&'static str] = match &post.to {
            PostTo::Folder { .. } => &[],
            PostTo::Storage { .. } => &["access-key", "secret-key"],
            PostTo::Webdav { user: Some(_), .. } => &["password"],
            PostTo::Webdav { user: None, .. } => &[],
            PostTo::Sftp { .. } => {
                if let Some(file) = key_file(shop, post) {
                    fit(&file, shop)?;
                }
                &[]
            }
        };
        let mut found = Vec::new();
        let mut lines: Option<Zeroizing<String>> = None;
        for word in wanted {
            let from_environment = std::env::var(variable(word)).ok().filter(|value| !value.is_empty());
            let value = match from_environment {
                Some(value) => value,
                None => {
                    let file = shop_file(shop, post);
                    if lines.is_none() {
                        lines = Some(text(&file, shop, wanted)?);
                    }
                    line(lines.as_ref().map_or("", |lines| lines), word)
                        .ok_or_else(|| missing(&file, word))?
                }
            };
            found.push((*word, Secret::new(value)));
        }
        Ok(Secrets(found))
    }

    /// One of them, for the library that shows it to the host.
    pub fn get(&self, word: &str) -> &str {
        self.0.iter().find(|(name, _)| *name == word).map_or("", |(_, value)| value.reveal())
    }
}

/// The file of the place's secrets: where `key-file` says, else `post.key` if it is there; none for a place that needs
/// none.
pub fn key_file(shop: &Path, post: &Post) -> Option<PathBuf> {
    match (&post.to, &post.key_file) {
        (PostTo::Folder { .. }, _) | (PostTo::Sftp { .. }, None) => None,
        (_, Some(_)) => Some(shop_file(shop, post)),
        (_, None) => Some(shop_file(shop, post)).filter(|file| file.exists()),
    }
}

fn shop_file(shop: &Path, post: &Post) -> PathBuf {
    let written = post.key_file.as_deref().unwrap_or(FILE);
    at_home(written).unwrap_or_else(|| shop.join(written))
}

/// A path that begins with `~/` is one in the owner's own folder.
pub(super) fn at_home(written: &str) -> Option<PathBuf> {
    let rest = written.strip_prefix("~/")?;
    Some(PathBuf::from(std::env::var_os("HOME")?).join(rest))
}

/// Whether others on this computer may read a file.
#[cfg(unix)]
pub fn is_open(file: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    file.metadata().is_ok_and(|facts| facts.permissions().mode() & 0o077 != 0)
}

/// Whether others on this computer may read a file; not known here.
#[cfg(not(unix))]
pub fn is_open(_: &Path) -> bool {
    false
}

/// Whether the file may be used as it lies there.
fn fit(file: &Path, shop: &Path) -> Result<(), Problem> {
    let shown = || Location::file(file.display().to_string());
    let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let inside = |folder: &str| real(file).starts_with(real(&shop.join(folder)));
    if inside("content") || inside("public") {
        let problem = Problem::new(
            Code::OpenKeyFile,
            "the file with the host's secrets is where it gets synced or published",
        );
        let hint = "move it out of `content` and `public`, for example beside `content`";
        return Err(problem.with_severity(Severity::Stop).at(shown()).hint(hint));
    }
    if is_open(file) {
        let problem = Problem::new(
            Code::OpenKeyFile,
            "the file with the host's secrets can be read by others on this computer",
        );
        let hint = format!("close it: chmod 600 '{}'", file.display());
        return Err(problem.with_severity(Severity::Stop).at(shown()).hint(hint));
    }
    Ok(())
}

fn text(file: &Path, shop: &Path, wanted: &[&str]) -> Result<Zeroizing<String>, Problem> {
    fit(file, shop)?;
    let bytes = files::read_up_to(file, LIMIT).map_err(|error| match error.is_missing() {
        true => missing(file, wanted.first().unwrap_or(&"password")),
        false => Problem::new(Code::NoSecret, error.to_string()).hint("look whether the file can be read"),
    })?;
    let bytes = Zeroizing::new(bytes);
    std::str::from_utf8(&bytes).map(|text| Zeroizing::new(text.to_owned())).map_err(|_| {
        Problem::new(Code::NoSecret, "the file with the host's secrets is no plain text")
            .at(Location::file(file.display().to_string()))
            .hint("write it again, with lines such as `password = \"…\"`")
    })
}

/// The value of a line such as `password = "…"`.
pub(super) fn line(text: &str, word: &str) -> Option<String> {
    let table = DeTable::parse(text).ok()?;
    let value = table.get_ref().get(word)?.get_ref().as_str()?.trim().to_owned();
    (!value.is_empty()).then_some(value)
}

fn missing(file: &Path, word: &str) -> Problem {
    let message = format!("the host's `{word}` is not there");
    let hint = format!(
        "put a line `{word} = \"…\"` into that file and close it with chmod 600, or set {} in the environment",
        variable(word)
    );
    Problem::new(Code::NoSecret, message).at(Location::file(file.display().to_string())).hint(hint)
}

fn variable(word: &str) -> String {
    format!("BENCHLIGHT_{}", word.to_ascii_uppercase().replace('-', "_"))
}
