//! What has to be put, what stays and what goes, decided in full before the first request that changes anything. Whose a
//! file is that no record knows is told by `whose`.

use super::host::{Host, HostFile, HostKind, Listing};
use super::local::{File, Local};
use super::ours;
use super::record::{PutFile, Record};
use super::target;
use super::whose::{self, Sides, Verdict, Whose, is_named_alike, is_same_by_tag};
use crate::base::identity::Identity;
use crate::base::site_path::{address_in, folder_of};
use crate::base::words::count;
use crate::model::Role;
use crate::problem::{Code, Problem};
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
    kind: HostKind,
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
            HostKind::Storage => self.removals.iter().map(|step| step.len().div_ceil(NAMES_AT_ONCE)).sum(),
            _ => self.to_remove(),
        };
        // Making a folder takes a look at it and at the one above.
        let folders = if self.kind == HostKind::Webdav { 3 * self.folders.len() } else { 0 };
        self.to_put() + removing + folders + self.looks_afterwards()
    }

    /// Folders in which something changes.
    pub(super) fn touched(&self) -> BTreeSet<String> {
        let changed = self.puts.iter().chain(&self.removals).flatten();
        changed.map(|path| folder_of(path).to_owned()).collect()
    }

    fn looks_afterwards(&self) -> usize {
        match self.kind {
            HostKind::Storage => self.touched().len().min(self.pages),
            _ => self.touched().len(),
        }
    }
}

/// What stands where a file has to go and is not known to be ours.
#[derive(Debug, Default)]
struct Taken {
    /// Somebody else's files.
    files: Vec<String>,
    /// Links, and folders where a file has to be: nothing is ever written over these.
    blocked: Vec<String>,
}

/// Compares `public/`, the host and the record. With `even_so` the owner has said that what is in the way may be written
/// over, and that the place is the right one; what nothing vouches for is not taken away even then.
///
/// # Errors
/// The host cannot be asked, somebody else's file is where one of ours has to go, or the place is not known to be this
/// shop's; nothing was changed.
pub(super) async fn make(
    host: &Host,
    local: &Local,
    mut record: Record,
    identity: &Identity,
    even_so: bool,
) -> Result<Plan, Problem> {
    let listing = host.list().await?;
    target::holds_no_shop(&listing, &record.place)?;
    let sides = Sides { host, local, listing: &listing, record: &record, identity };
    let Whose { verdicts, vouched } = whose::look(&sides).await?;
    let settled = record.is_known() || vouched || listing.files.is_empty();
    let mut compared = Compared::default();
    compared.compare(&sides, &verdicts, settled);
    let (removals, left) = leaving(local, &listing, &record, &verdicts, &mut compared.files);
    let Compared { mut puts, taken, mut files, shared, same } = compared;
    let ours = same + removals.len() + puts.iter().filter(|(_, new)| !new).count();
    let left_there = listing.files.len().saturating_sub(ours + taken.files.len());
    let counts = [taken.files.len(), removals.len(), left_there];
    if let Some(problem) = objection(&taken, settled, even_so, counts, &record.place) {
        return Err(problem);
    }
    for path in taken.files {
        files.insert(path.clone(), PutFile::default());
        puts.push((path, false));
    }
    note_strangers(&mut record, &listing, &verdicts, shared, &files);
    let addresses = record.files.keys().chain(local.files.keys()).filter_map(|path| address_in(path));
    let addresses: Vec<String> = addresses.map(str::to_owned).collect();
    record.addresses.extend(addresses);
    record.files = files;
    let folders = missing_folders(host, &listing, &puts);
    let pages = match host.kind {
        HostKind::Storage => listing.files.len().div_ceil(NAMES_AT_ONCE).max(1),
        _ => listing.folders.len() + 1,
    };
    let (puts, removals) = (in_steps(puts), away_in_steps(removals));
    Ok(Plan { puts, removals, same, left, folders, record, pages, kind: host.kind })
}

/// What comes of holding each file of `public/` against what the host has at its path.
#[derive(Debug, Default)]
struct Compared {
    /// Files to put, each with whether nothing stands there yet.
    puts: Vec<(String, bool)>,
    taken: Taken,
    /// What the host holds of ours.
    files: BTreeMap<String, PutFile>,
    /// Files that are as they should be and may be another shop's as well, with the host's tag.
    shared: Vec<(String, String)>,
    same: usize,
}

impl Compared {
    fn compare(&mut self, sides: &Sides<'_>, verdicts: &BTreeMap<String, Verdict>, settled: bool) {
        let Sides { host, local, listing, record, .. } = sides;
        for (path, file) in &local.files {
            let Some(seen) = listing.files.get(path) else {
                match host.has_folders() && listing.blocks(path) {
                    true => self.taken.blocked.push(path.clone()),
                    false => self.puts.push((path.clone(), true)),
                }
                continue;
            };
            let known = record.files.get(path);
            match at_host(seen, path, file, known, verdicts.get(path), local) {
                // What another shop may have put there under the same name made of the same bytes is left when we go.
                AtHost::Same
                    if known.is_none()
                        && ours::is_named_by(path, &file.digest)
                        && (!settled || record.is_stranger(path, seen)) =>
                {
                    self.same += 1;
                    self.shared.push((path.clone(), seen.tag.clone()));
                }
                AtHost::Same => {
                    self.same += 1;
                    let tag = Some(seen.tag.clone());
                    let put = PutFile { digest: Some(file.digest), bytes: file.bytes, tag };
                    self.files.insert(path.clone(), put);
                }
                AtHost::Ours => {
                    self.puts.push((path.clone(), false));
                    self.files.insert(path.clone(), known.cloned().unwrap_or_default());
                }
                AtHost::Theirs if seen.plain => self.taken.files.push(path.clone()),
                AtHost::Theirs => self.taken.blocked.push(path.clone()),
            }
        }
    }
}

/// Notes whose files need not be looked into again: somebody else's, as they are now.
fn note_strangers(
    record: &mut Record,
    listing: &Listing,
    verdicts: &BTreeMap<String, Verdict>,
    shared: Vec<(String, String)>,
    ours: &BTreeMap<String, PutFile>,
) {
    let theirs = verdicts.iter().filter(|(_, verdict)| **verdict == Verdict::Theirs);
    let theirs = theirs.filter_map(|(path, _)| Some((path.clone(), listing.files.get(path)?.tag.clone())));
    record.strangers.retain(|path, tag| listing.files.get(path).is_some_and(|seen| seen.tag == *tag));
    record.strangers.extend(theirs.chain(shared));
    record.strangers.retain(|path, _| !ours.contains_key(path));
}

/// Why nothing may be touched, if so; with how many files would be written over, taken away and left.
fn objection(
    taken: &Taken,
    settled: bool,
    even_so: bool,
    [over, away, left]: [usize; 3],
    place: &str,
) -> Option<Problem> {
    if !taken.blocked.is_empty() {
        return Some(in_the_way(&taken.blocked, false, place));
    }
    if even_so || settled && taken.files.is_empty() {
        return None;
    }
    if settled {
        return Some(in_the_way(&taken.files, true, place));
    }
    let message = format!(
        "the place is not empty, and nothing says that this shop's site is there: {} would be written over, {away} taken \
         away, {left} left ({place})",
        count(over, "file")
    );
    Some(Problem::new(Code::PlaceTaken, message).hint(
        "look at `[post]` in shop.toml, or choose an empty folder; if it is to go there all the same, run \
         `benchlight post --even-so` once. Nothing was changed",
    ))
}

/// What stands at the host where a file has to be.
enum AtHost {
    Same,
    Ours,
    Theirs,
}

fn at_host(
    seen: &HostFile,
    path: &str,
    file: &File,
    known: Option<&PutFile>,
    verdict: Option<&Verdict>,
    local: &Local,
) -> AtHost {
    if !seen.plain {
        return AtHost::Theirs;
    }
    let long = seen.bytes == file.bytes;
    let vouched =
        known.is_some_and(|k| k.digest == Some(file.digest) && k.tag.as_ref().is_none_or(|m| *m == seen.tag));
    let told = is_same_by_tag(seen, path, local) || is_named_alike(path, file, known);
    if long && (vouched || told) || verdict == Some(&Verdict::Same) {
        return AtHost::Same;
    }
    // What the record knows may have been laid over by somebody since.
    match verdict {
        Some(Verdict::Theirs) => AtHost::Theirs,
        Some(_) => AtHost::Ours,
        None if known.is_some() => AtHost::Ours,
        None => AtHost::Theirs,
    }
}

/// What is at the host, is ours and is no longer wanted; and what was ours and is somebody else's by now.
fn leaving(
    local: &Local,
    listing: &Listing,
    record: &Record,
    disputed: &BTreeMap<String, Verdict>,
    files: &mut BTreeMap<String, PutFile>,
) -> (Vec<String>, Vec<String>) {
    let (mut going, mut left) = (Vec::new(), Vec::new());
    for (path, seen) in listing.files.iter().filter(|(path, _)| !local.files.contains_key(*path)) {
        match (record.files.get(path), disputed.get(path)) {
            (Some(_), Some(Verdict::Theirs)) => left.push(path.clone()),
            (Some(_), _) if !seen.plain => left.push(path.clone()),
            (Some(entry), _) => {
                files.insert(path.clone(), entry.clone());
                going.push(path.clone());
            }
            (None, Some(Verdict::Ours)) => going.push(path.clone()),
            (None, _) if ours::is_draft(path) && seen.plain => going.push(path.clone()),
            (None, _) => {}
        }
    }
    (going, left)
}

fn missing_folders(host: &Host, listing: &Listing, puts: &[(String, bool)]) -> Vec<String> {
    if host.kind != HostKind::Webdav {
        return Vec::new();
    }
    let above =
        puts.iter().flat_map(|(path, _)| path.match_indices('/').map(|(at, _)| path[..=at].to_owned()));
    let missing: BTreeSet<String> = above.filter(|folder| !listing.folders.contains(folder)).collect();
    // The folder above another stands before it in the order of letters.
    missing.into_iter().collect()
}

/// Steps in which nobody is led to what is not there.
fn in_steps(puts: Vec<(String, bool)>) -> Vec<Vec<String>> {
    stepwise(puts, |(path, new)| Role::of(path).landing(*new), |(path, _)| path)
}

/// Steps in which nobody is led to what has gone.
fn away_in_steps(removals: Vec<String>) -> Vec<Vec<String>> {
    stepwise(removals, |path| Role::of(path).going(), |path| path)
}

/// Paths by the step that each is of, in the order of the steps.
fn stepwise<T, S: Ord>(all: Vec<T>, step: impl Fn(&T) -> S, path: impl Fn(T) -> String) -> Vec<Vec<String>> {
    let mut steps: BTreeMap<S, Vec<String>> = BTreeMap::new();
    for one in all {
        steps.entry(step(&one)).or_default().push(path(one));
    }
    steps.into_values().collect()
}

fn in_the_way(paths: &[String], may_be_put_over: bool, place: &str) -> Problem {
    let others = match paths.len() {
        0 | 1 => String::new(),
        all => format!(", and so are {} more", all - 1),
    };
    let first = paths.first().map(String::as_str).unwrap_or_default();
    let message =
        format!("`{first}` at the host is in the way, as Benchlight did not put it there{others} ({place})");
    Problem::new(Code::HostTaken, message).hint(match may_be_put_over {
        true => {
            "move it away there, choose an empty folder, or write over it with `benchlight post --even-so`; nothing \
             was changed"
        }
        false => "move it away there, or choose an empty folder; nothing was changed",
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEALED: &str = "see/0123456789abcdef/";

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
            (format!("{SEALED}page.bin"), false),
            new(&format!("{SEALED}photo.bin")),
        ];
        let steps = in_steps(puts);
        let order: Vec<&str> = steps.iter().flatten().map(String::as_str).collect();
        assert_eq!(
            order,
            [
                "see/index.html",
                "look-0123456789abcdef.css",
                "see/0123456789abcdef/photo.bin",
                "prices/index.html",
                "index.html",
                "see/a/index.html",
                "about/index.html",
                "see/0123456789abcdef/page.bin"
            ]
        );
        let away =
            ["index.html", "see/a/1.jpg", "see/a/index.html", "see/index.html", "x.css"].map(String::from);
        let steps = away_in_steps(away.to_vec());
        let order: Vec<&str> = steps.iter().flatten().map(String::as_str).collect();
        assert_eq!(order, ["see/a/index.html", "see/a/1.jpg", "index.html", "x.css", "see/index.html"]);
    }
}
