//! What has to be put, what stays and what goes, decided in full before the first request that changes anything.

use super::host::{Host, Kind, Listing, Seen};
use super::local::{File, Local};
use super::ours::{self, COVER, Shape, folder_of, is_page, is_private};
use super::record::{Entry, Record};
use crate::base::digest::Digest;
use crate::base::ours::{BEGINNING, has_mark};
use crate::problem::{Code, Problem};
use futures::{StreamExt, TryStreamExt};
use md5::{Digest as _, Md5};
use std::collections::{BTreeMap, BTreeSet};

/// The decided posting. Paths are from the root of the site.
#[derive(Debug)]
pub struct Plan {
    /// Files to put, in steps: each is over before the next begins.
    pub puts: Vec<Vec<String>>,
    /// Files to take away after that, in steps.
    pub removals: Vec<Vec<String>>,
    /// Files that are as they should be.
    pub same: usize,
    /// Files that were ours and should go, but that somebody has put their own over.
    pub left: Vec<String>,
    /// Folders that have to be made first, where a host wants that.
    pub(super) folders: Vec<String>,
    /// What the host holds now, as far as it is ours.
    pub(super) record: Record,
    /// How many requests one look at everything takes, about.
    pub(super) pages: usize,
    kind: Kind,
}

/// So many names are told or taken away in one request of object storage.
const NAMES_AT_ONCE: usize = 1000;

impl Plan {
    /// How many files are to be put.
    pub fn to_put(&self) -> usize {
        self.puts.iter().map(Vec::len).sum()
    }

    /// How many files are to go.
    pub fn to_remove(&self) -> usize {
        self.removals.iter().map(Vec::len).sum()
    }

    /// Whether the host is as it should be.
    pub fn is_idle(&self) -> bool {
        self.to_put() == 0 && self.to_remove() == 0
    }

    /// How many more requests it will take, about: what is put and taken away, and the look at it afterwards.
    pub fn requests(&self) -> usize {
        let removing = match self.kind {
            Kind::Storage => self.removals.iter().map(|step| step.len().div_ceil(NAMES_AT_ONCE)).sum(),
            _ => self.to_remove(),
        };
        // Making a folder takes a look at it and at the one above.
        let folders = if self.kind == Kind::Webdav { 3 * self.folders.len() } else { 0 };
        self.to_put() + removing + folders + self.looks_afterwards()
    }

    /// Folders in which something changes.
    pub(super) fn touched(&self) -> BTreeSet<String> {
        let changed = self.puts.iter().chain(&self.removals).flatten();
        changed.map(|path| folder_of(path).to_owned()).collect()
    }

    fn looks_afterwards(&self) -> usize {
        match self.kind {
            Kind::Storage => self.touched().len().min(self.pages),
            _ => self.touched().len(),
        }
    }
}

/// Compares `public/`, the host and the record.
///
/// # Errors
/// The host cannot be asked, or somebody else's file is where one of ours has to go; nothing was changed.
pub(super) async fn make(host: &Host, local: &Local, mut record: Record) -> Result<Plan, Problem> {
    let listing = host.list().await?;
    let disputed = looked_into(host, local, &listing, &record).await?;
    let mut puts: Vec<(String, bool)> = Vec::new();
    let mut taken = Vec::new();
    let mut files = BTreeMap::new();
    let mut same = 0;
    for (path, file) in &local.files {
        let Some(seen) = listing.files.get(path) else {
            match host.has_folders() && listing.blocks(path) {
                true => taken.push(path.clone()),
                false => puts.push((path.clone(), true)),
            }
            continue;
        };
        match standing(seen, path, file, record.files.get(path), disputed.get(path), local) {
            Standing::Same => {
                same += 1;
                let entry =
                    Entry { digest: file.digest.hex(), bytes: file.bytes, mark: Some(seen.mark.clone()) };
                files.insert(path.clone(), entry);
            }
            Standing::Ours => {
                puts.push((path.clone(), false));
                files.insert(path.clone(), record.files.get(path).cloned().unwrap_or_default());
            }
            Standing::Theirs => taken.push(path.clone()),
        }
    }
    if let Some(first) = taken.first() {
        return Err(in_the_way(first, taken.len(), &record.place));
    }
    let (removals, left) = leaving(local, &listing, &record, &disputed, &mut files);
    let strangers = disputed.iter().filter(|(_, verdict)| **verdict == Verdict::Theirs);
    let strangers =
        strangers.filter_map(|(path, _)| Some((path.clone(), listing.files.get(path)?.mark.clone())));
    record.strangers.retain(|path, mark| listing.files.get(path).is_some_and(|seen| seen.mark == *mark));
    record.strangers.extend(strangers);
    record.files = files;
    let folders = missing_folders(host, &listing, &puts);
    let pages = match host.kind {
        Kind::Storage => listing.files.len().div_ceil(NAMES_AT_ONCE).max(1),
        _ => listing.folders.len() + 1,
    };
    let (puts, removals) = (in_steps(puts), away_in_steps(removals));
    Ok(Plan { puts, removals, same, left, folders, record, pages, kind: host.kind })
}

/// What stands at the host where a file has to be.
enum Standing {
    Same,
    Ours,
    Theirs,
}

/// What a look into a file said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Verdict {
    /// It holds what is here.
    Same,
    Ours,
    Theirs,
}

fn standing(
    seen: &Seen,
    path: &str,
    file: &File,
    known: Option<&Entry>,
    verdict: Option<&Verdict>,
    local: &Local,
) -> Standing {
    if !seen.plain {
        return Standing::Theirs;
    }
    let long = seen.bytes == file.bytes;
    let vouched = known
        .is_some_and(|k| k.digest == file.digest.hex() && k.mark.as_ref().is_none_or(|m| *m == seen.mark));
    let told = told_by_tag(seen, path, local) || named(path, file, known);
    if long && (vouched || told) || verdict == Some(&Verdict::Same) {
        return Standing::Same;
    }
    match known.is_some() || verdict == Some(&Verdict::Ours) {
        true => Standing::Ours,
        false => Standing::Theirs,
    }
}

/// Whether object storage says itself that it holds these bytes: its entity tag is often their MD5.
fn told_by_tag(seen: &Seen, path: &str, local: &Local) -> bool {
    let shaped = seen.mark.len() == 32 && seen.mark.bytes().all(|b| b.is_ascii_hexdigit());
    shaped
        && local.bytes(path).is_ok_and(|bytes| {
            data_encoding::HEXLOWER.encode(&Md5::digest(&bytes)) == seen.mark.to_ascii_lowercase()
        })
}

/// Whether a file that no record knows is named by what it has to hold; nobody else gives such names.
fn named(path: &str, file: &File, known: Option<&Entry>) -> bool {
    known.is_none() && ours::is_named_by(path, &file.digest)
}

/// Looks into files that only their content can tell whose they are: those where one of ours has to go and that no record
/// knows, and those that nobody needs and that look like ours.
async fn looked_into(
    host: &Host,
    local: &Local,
    listing: &Listing,
    record: &Record,
) -> Result<BTreeMap<String, Verdict>, Problem> {
    let open = listing.files.iter().filter(|(path, seen)| {
        let stranger = record.strangers.get(*path).is_some_and(|mark| *mark == seen.mark);
        let known = record.files.get(*path);
        let drafted = ours::is_draft(path.rsplit('/').next().unwrap_or(path));
        if !seen.plain || stranger || drafted {
            return false;
        }
        match (local.files.get(*path), known) {
            (Some(_), Some(_)) => false,
            (Some(file), None) => {
                !(seen.bytes == file.bytes && (told_by_tag(seen, path, local) || named(path, file, None)))
            }
            (None, Some(entry)) => {
                !entry.digest.is_empty() && entry.mark.as_ref().is_some_and(|mark| *mark != seen.mark)
            }
            (None, None) => ours::shape(path) != Shape::Foreign || ours::address_in(path).is_some(),
        }
    });
    let addresses: BTreeSet<&str> =
        local.files.keys().chain(record.files.keys()).filter_map(|path| ours::address_in(path)).collect();
    let addresses = &addresses;
    let looks = open.map(|(path, seen)| async move {
        // Nobody but us comes to an address that only the shop's key gives.
        let address = ours::address_in(path);
        if address.is_some_and(|address| local.files.contains_key(path) || !addresses.contains(address)) {
            return Ok((path.clone(), Verdict::Ours));
        }
        let known = record.files.get(path).map(|entry| entry.digest.clone());
        let here = local.files.get(path).filter(|file| file.bytes == seen.bytes);
        Ok::<_, Problem>((path.clone(), verdict(host, path, seen.bytes, (known, here)).await?))
    });
    futures::stream::iter(looks).buffer_unordered(host.side_by_side()).try_collect().await
}

async fn verdict(
    host: &Host,
    path: &str,
    bytes: u64,
    (known, here): (Option<String>, Option<&File>),
) -> Result<Verdict, Problem> {
    let shape = ours::shape(path);
    if known.is_none() && here.is_none() {
        let beginning = Some(bytes.min(BEGINNING as u64));
        let marked = shape == Shape::Marked && has_mark(&host.read(path, beginning).await?);
        if marked || shape != Shape::Named {
            return Ok(if marked { Verdict::Ours } else { Verdict::Theirs });
        }
    }
    let bytes = host.read(path, None).await?;
    let digest = Digest::of(&bytes);
    if here.is_some_and(|file| file.digest == digest) {
        return Ok(Verdict::Same);
    }
    let ours = known.is_some_and(|known| known == digest.hex())
        || shape == Shape::Marked && has_mark(&bytes)
        || shape == Shape::Named && ours::is_named_by(path, &digest);
    Ok(if ours { Verdict::Ours } else { Verdict::Theirs })
}

/// What is at the host, is ours and is no longer wanted; and what was ours and is somebody else's by now.
fn leaving(
    local: &Local,
    listing: &Listing,
    record: &Record,
    disputed: &BTreeMap<String, Verdict>,
    files: &mut BTreeMap<String, Entry>,
) -> (Vec<String>, Vec<String>) {
    let (mut going, mut left) = (Vec::new(), Vec::new());
    for (path, seen) in listing.files.iter().filter(|(path, _)| !local.files.contains_key(*path)) {
        let drafted = ours::is_draft(path.rsplit('/').next().unwrap_or(path));
        match (record.files.get(path), disputed.get(path)) {
            (Some(_), Some(Verdict::Theirs)) => left.push(path.clone()),
            (Some(_), _) if !seen.plain => left.push(path.clone()),
            (Some(entry), _) => {
                files.insert(path.clone(), entry.clone());
                going.push(path.clone());
            }
            (None, Some(Verdict::Ours)) => going.push(path.clone()),
            (None, _) if drafted && seen.plain => going.push(path.clone()),
            (None, _) => {}
        }
    }
    (going, left)
}

fn missing_folders(host: &Host, listing: &Listing, puts: &[(String, bool)]) -> Vec<String> {
    if host.kind != Kind::Webdav {
        return Vec::new();
    }
    let above =
        puts.iter().flat_map(|(path, _)| path.match_indices('/').map(|(at, _)| path[..=at].to_owned()));
    let missing: BTreeSet<String> = above.filter(|folder| !listing.folders.contains(folder)).collect();
    // The folder above another stands before it in the order of letters.
    missing.into_iter().collect()
}

/// The order in which nobody is led to what is not there: the cover of the private addresses before all, what pages
/// show before them, new pages before those that lead to them (the front page after the others, then the private pages,
/// to which nothing leads), then pages that change.
fn in_steps(puts: Vec<(String, bool)>) -> Vec<Vec<String>> {
    let mut steps = vec![Vec::new(); 6];
    for (path, new) in puts {
        let step = match path.ends_with(".html") {
            _ if path == COVER => 0,
            // What keeps its name under a private address leads to what comes new there: a sealed page to its photos.
            _ if !is_page(&path) && !new && is_private(&path) => 5,
            _ if !is_page(&path) => 1,
            true if new && is_private(&path) => 4,
            true if new && path == "index.html" => 3,
            true if new => 2,
            _ => 5,
        };
        if let Some(step) = steps.get_mut(step) {
            step.push(path);
        }
    }
    steps.retain(|step: &Vec<String>| !step.is_empty());
    steps
}

/// Private addresses first, pages before what they show, the cover of the private addresses after all.
fn away_in_steps(removals: Vec<String>) -> Vec<Vec<String>> {
    let mut steps = vec![Vec::new(); 5];
    for path in removals {
        let step = match (is_private(&path), is_page(&path)) {
            _ if path == COVER => 4,
            (true, true) => 0,
            (true, false) => 1,
            (false, true) => 2,
            (false, false) => 3,
        };
        if let Some(step) = steps.get_mut(step) {
            step.push(path);
        }
    }
    steps.retain(|step: &Vec<String>| !step.is_empty());
    steps
}

fn in_the_way(first: &str, all: usize, place: &str) -> Problem {
    let others = match all {
        1 => String::new(),
        _ => format!(", and so are {} more", all - 1),
    };
    let message =
        format!("`{first}` at the host is in the way, as Benchlight did not put it there{others} ({place})");
    Problem::new(Code::HostTaken, message)
        .hint("move it away there, or choose an empty folder; nothing was changed")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cover_comes_first_and_goes_last() {
        let new = |path: &str| (path.to_owned(), true);
        let puts = vec![
            new("index.html"),
            new("look-0123456789abcdef.css"),
            new("see/a/index.html"),
            new("see/index.html"),
            new("prices/index.html"),
            ("about/index.html".to_owned(), false),
            ("see/a/page.sealed".to_owned(), false),
            new("see/a/photo.sealed"),
        ];
        let steps = in_steps(puts);
        let order: Vec<&str> = steps.iter().flatten().map(String::as_str).collect();
        assert_eq!(
            order,
            [
                "see/index.html",
                "look-0123456789abcdef.css",
                "see/a/photo.sealed",
                "prices/index.html",
                "index.html",
                "see/a/index.html",
                "about/index.html",
                "see/a/page.sealed"
            ]
        );
        let away =
            ["index.html", "see/a/1.jpg", "see/a/index.html", "see/index.html", "x.css"].map(String::from);
        let steps = away_in_steps(away.to_vec());
        let order: Vec<&str> = steps.iter().flatten().map(String::as_str).collect();
        assert_eq!(order, ["see/a/index.html", "see/a/1.jpg", "index.html", "x.css", "see/index.html"]);
    }
}
