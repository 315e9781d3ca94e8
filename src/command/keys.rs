//! Files with secrets that others on this computer can read: told by every pass.
//!
//! A note where the site is made, as it is made all the same; something to mend for `proof` where the shop is put up. The key
//! of an invented shop is nobody's secret. What is done with a secret is the business of those who read it.

use crate::base::words::ticked;
use crate::model::Studio;
use crate::post;
use crate::problem::{Code, Location, Problem, Severity};
use std::fs;
use std::path::{Path, PathBuf};

/// A problem for each of them.
pub(super) fn open(shop: &Path, studio: &Studio, makes: bool) -> Vec<Problem> {
    if studio.made_up.is_some() {
        return Vec::new();
    }
    let severity = if studio.post.is_some() && !makes { Severity::Mend } else { Severity::Note };
    let found = of(shop, studio).into_iter().filter(|file| post::is_open(file));
    found.map(|file| told(shop, &file).with_severity(severity)).collect()
}

/// The files of a shop that hold secrets, as far as they are there.
fn of(shop: &Path, studio: &Studio) -> Vec<PathBuf> {
    let content = shop.join("content");
    let is_key = |path: &PathBuf| {
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        name == "shop.key" || name.starts_with("shop.key.old")
    };
    let entries = fs::read_dir(&content).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.path()).filter(is_key).collect();
    files.push(shop.join("post.key"));
    files.extend(studio.post.as_ref().and_then(|post| post::key_file(shop, post)));
    files.sort();
    files.dedup();
    files
}

fn told(shop: &Path, file: &Path) -> Problem {
    let shown = file.strip_prefix(shop).unwrap_or(file).display().to_string();
    let message = format!("{} can be read by others on this computer", ticked(&shown));
    Problem::new(Code::OpenKeyFile, message)
        .at(Location::file(shown))
        .hint(format!("close it: chmod 600 '{}'", file.display()))
}
