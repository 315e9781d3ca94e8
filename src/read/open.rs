//! What is read of a shop first: who the studio is, its key, and what lies in the content folder.
//!
//! `shop.toml` is opened and parsed here, once a pass: the day of a pass may stand in it, and the day is fixed before
//! anything hangs on it. The rest is read by the room's other entries, from what was opened.

use super::disk::content::{Content, stop_at, stopping};
use super::disk::folder::{self, FolderEntry};
use super::disk::home::{Home, NAMES};
use super::disk::text;
use super::pages;
use super::shop::{key_file, numbers, secrets, shop_toml};
use super::showroom::Mention;
use crate::base::identity::Identity;
use crate::model::{PhotoFault, ShopKey, Studio};
use crate::problem::{Code, Problem, Problems, Severity};
use std::path::Path;

/// A shop of which is known who the studio is and that it has a key; nothing else of it was read.
#[derive(Debug)]
pub struct Opened {
    pub(super) home: Home,
    pub(super) top: Vec<FolderEntry>,
    pub(super) page_entries: Vec<FolderEntry>,
    pub(super) studio: Studio,
    /// What of the showroom is to stand first.
    pub(super) first: Vec<Mention>,
    pub(super) key: ShopKey,
    /// What was found so far.
    pub(super) problems: Vec<Problem>,
}

impl Opened {
    pub fn studio(&self) -> &Studio {
        &self.studio
    }
}

/// Opens the shop whose folder is `root` (it holds `content/`).
///
/// # Errors
/// There is no shop, or what the whole of it hangs on needs mending.
pub fn open(root: &Path) -> Result<Opened, Problems> {
    opened(root, tell_strangers)
}

/// Who the studio is and its key, for whoever needs nothing else of the shop.
///
/// # Errors
/// As `open`; and the key could be guessed.
pub fn studio_and_key(root: &Path) -> Result<(Studio, ShopKey), Problems> {
    let Opened { studio, key, problems, .. } = opened(root, |_, _| {})?;
    if stops(&problems) { Err(Problems::from_iter(problems).sorted()) } else { Ok((studio, key)) }
}

fn opened(
    root: &Path,
    strangers: impl FnOnce(&[FolderEntry], &mut Vec<Problem>),
) -> Result<Opened, Problems> {
    let mut problems = Vec::new();
    let unlooked = |_: &Path| Err(PhotoFault::Empty);
    let content = Content::open(root, &unlooked).map_err(|problem| Problems::from_iter([problem]))?;
    let top = content.top(&mut problems).map_err(|problem| Problems::from_iter([problem]))?;
    strangers(&top, &mut problems);
    let page_entries = content.folder(&top, "pages", &mut problems);
    let studio = studio(&top, &page_entries, &mut problems);
    let key = key(&top, &mut problems);
    let stopped = stops(&problems);
    if let (Some((studio, _)), Some(key)) = (&studio, &key) {
        problems.extend(guessable(studio, key));
    }
    match (studio, key, stopped) {
        (Some((studio, first)), Some(key), false) => {
            Ok(Opened { home: content.home, top, page_entries, studio, first, key, problems })
        }
        _ => Err(Problems::from_iter(problems).sorted()),
    }
}

/// What tells this shop from every other where its files lie in the open: kept in `shop.id` since its key was changed, else
/// from its key.
///
/// # Errors
/// What is kept cannot be read: another identity would not know what the shop itself put up.
pub fn identity(root: &Path, key: &ShopKey) -> Result<Identity, Problem> {
    let kept = key_file::kept_identity(&root.join("content/shop.id"))?;
    Ok(kept.unwrap_or_else(|| Identity::of_key(key.reveal())))
}

/// The same for a shop whose key is to be changed: none if nothing is kept and the key is lost, or is known to others.
pub fn lasting_identity(root: &Path) -> Option<Identity> {
    let kept = key_file::kept_identity(&root.join("content/shop.id")).ok().flatten();
    let of_key = || {
        let key = key_file::key(&root.join("content/shop.key")).ok()?;
        key_file::guessable(&key).is_none().then(|| Identity::of_key(key.reveal()))
    };
    kept.or_else(of_key)
}

/// A real shop with a key that anybody could come by.
fn guessable(studio: &Studio, key: &ShopKey) -> Option<Problem> {
    if studio.made_up.is_some() { None } else { key_file::guessable(key) }
}

/// The studio, and what of the showroom is to stand first.
fn studio(
    top: &[FolderEntry],
    page_entries: &[FolderEntry],
    problems: &mut Vec<Problem>,
) -> Option<(Studio, Vec<Mention>)> {
    let Some(entry) = top.iter().find(|e| e.name == "shop.toml") else {
        let names = top.iter().map(|e| e.name.as_str()).filter(|name| !NAMES.contains(name));
        let near = crate::problem::nearest("shop.toml", names);
        let problem = Problem::new(Code::NotAShop, "there is no `content/shop.toml` here");
        problems.push(match near {
            Some(near) => problem.hint(format!("is it `content/{near}`? rename it to `shop.toml`")),
            None => problem
                .hint("name the folder that holds `content`, or start a new shop with `benchlight open`"),
        });
        return None;
    };
    // A link that leads out has been told already; here it stops the pass.
    if entry.is_lost() {
        stop_at(&entry.file, problems);
        return None;
    }
    if entry.is_folder() {
        let problem = Problem::new(Code::Unreadable, "`shop.toml` is a folder and must be a file");
        problems.push(stopping(folder::at(problem.hint("rename the folder"), &entry.file)));
        return None;
    }
    let source = text::read(&entry.path, &entry.file);
    let source = source.map_err(|p| problems.push(stopping(secrets::without_line(p)))).ok()?;
    let (studio, found) = shop_toml::studio(&source, &pages::keys(page_entries));
    problems.extend(found);
    studio
}

fn key(top: &[FolderEntry], problems: &mut Vec<Problem>) -> Option<ShopKey> {
    let key = match top.iter().find(|e| e.name == "shop.key") {
        Some(entry) if entry.is_lost() => {
            stop_at(&entry.file, problems);
            return None;
        }
        Some(entry) => key_file::key(&entry.path),
        None => Err(key_file::missing()),
    };
    key.map_err(|problem| problems.push(problem)).ok()
}

/// What lies in the content folder and nothing reads.
fn tell_strangers(top: &[FolderEntry], problems: &mut Vec<Problem>) {
    for entry in top {
        if entry.name.starts_with("shop.key.old") {
            // What `open --new-key` kept.
            let hint = "delete it once every customer has a new hang tag";
            problems.push(folder::unexpected(entry, hint));
        } else if numbers::is_read(entry) {
            // Its own reader tells what is wrong in it.
        } else if !NAMES.contains(&entry.name.as_str()) && !entry.is_lost() {
            let near = crate::problem::nearest(&entry.name, NAMES);
            let hint = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => "move it out of `content`".to_owned(),
            };
            problems.push(folder::unexpected(entry, hint));
        }
    }
}

fn stops(problems: &[Problem]) -> bool {
    problems.iter().any(|p| p.severity == Severity::Stop)
}
