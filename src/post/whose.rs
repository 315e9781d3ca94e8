//! Whose the files at a host are, where no record says it. Told by what they carry, and only as far as that really goes.
//!
//! **What vouches.** A page carries its shop's own mark, a keyed hash of its path (`base::identity`): it is this shop's and
//! nobody else's. The `index.html` of a folder, or of the nearest one above, vouches for what has no room for a mark beside it:
//! a photo or a style sheet named by its bytes, a feed, `robots.txt` with the plain mark. A private address that is in
//! `public/` comes from the shop's key and is ours by itself; one that is not needs its own page's mark. So the site of another
//! shop, in the same place or below ours, is never taken for ours, and never taken away.
//!
//! **Why a mark in each page.** A small file with a keyed mark at the host was weighed: it would be one request and tell as
//! little. But it says only that a place is ours, not which files there are; in a place that two shops share, or where one lies
//! below the other, each file would still have to be told by itself, and whoever tidies up at the host could take the one file
//! away. A mark in each page goes where the page goes. It gives away that pages with the same site are of the same shop, which
//! their looks say too.

use super::host::{Host, HostFile, Listing};
use super::local::{File, Local};
use super::ours;
use super::record::{PutFile, Record};
use crate::base::digest::Digest;
use crate::base::identity::Identity;
use crate::base::ours::{BEGINNING, has_mark, has_plain_mark_alone, has_shop_mark};
use crate::base::site_path::{address_in, folder_of, private_folder};
use crate::model::Role;
use crate::model::role::KnownBy;
use crate::problem::Problem;
use futures::{StreamExt, TryStreamExt};
use md5::{Digest as _, Md5};
use std::collections::{BTreeMap, BTreeSet};

/// What a look into a file said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// It holds what is here.
    Same,
    Ours,
    Theirs,
}

/// What was found out.
#[derive(Debug, Default)]
pub(super) struct Whose {
    /// Files that had to be looked into.
    pub verdicts: BTreeMap<String, Verdict>,
    /// Whether a page of this very site lies at the host where it should, by its mark or by its bytes.
    pub vouched: bool,
}

/// What is compared.
pub(super) struct Sides<'a> {
    pub host: &'a Host,
    pub local: &'a Local,
    pub listing: &'a Listing,
    pub record: &'a Record,
    pub identity: &'a Identity,
}

/// Looks into files that only their content can tell whose they are: those where one of ours has to go and that the record
/// does not know as they are, and those that nobody needs and that look like ours.
pub(super) async fn look(sides: &Sides<'_>) -> Result<Whose, Problem> {
    let open: Vec<&String> =
        sides.listing.files.iter().filter(|(path, seen)| sides.is_open(path, seen)).map(|(p, _)| p).collect();
    let (pages, others): (Vec<&String>, Vec<&String>) = open.into_iter().partition(|path| is_page(path));
    let nearest = others.iter().filter_map(|path| sides.nearest_page(path));
    let asked: BTreeSet<&String> = pages.iter().copied().chain(nearest).collect();
    let looks = asked.into_iter().map(|path| async move { Ok((path.clone(), sides.page(path).await?)) });
    let of_pages: BTreeMap<String, Verdict> = side_by_side(sides.host, looks).await?;
    let of_pages = &of_pages;
    let looks = others.into_iter().map(|path| async move {
        let page = sides.nearest_page(path).and_then(|page| of_pages.get(page));
        let vouched = page.is_some_and(|verdict| *verdict != Verdict::Theirs);
        Ok((path.clone(), sides.other(path, vouched).await?))
    });
    let mut verdicts = side_by_side(sides.host, looks).await?;
    let ours_here =
        |(path, verdict): (&String, &Verdict)| *verdict != Verdict::Theirs && sides.carries_what(path);
    let vouched = of_pages.iter().any(ours_here) || sides.has_a_page_by_its_tag();
    verdicts.extend(pages.into_iter().filter_map(|path| Some((path.clone(), *of_pages.get(path)?))));
    Ok(Whose { verdicts, vouched })
}

async fn side_by_side(
    host: &Host,
    looks: impl Iterator<Item = impl Future<Output = Result<(String, Verdict), Problem>>>,
) -> Result<BTreeMap<String, Verdict>, Problem> {
    futures::stream::iter(looks).buffer_unordered(host.side_by_side()).try_collect().await
}

fn is_page(path: &str) -> bool {
    Role::of(path).is_page()
}

/// Whether the path alone leaves it open that a file is ours.
fn is_like_ours(path: &str) -> bool {
    Role::of(path).known_by() != KnownBy::Nothing || address_in(path).is_some()
}

/// Whether the host says another thing of a file than when it was seen last.
pub(super) fn is_another(entry: &PutFile, seen: &HostFile) -> bool {
    entry.tag.as_ref().is_some_and(|tag| !entry.is_announced() && *tag != seen.tag)
}

/// Whether object storage says itself that it holds these bytes: its entity tag is often their MD5.
pub(super) fn is_same_by_tag(seen: &HostFile, path: &str, local: &Local) -> bool {
    let shaped = seen.tag.len() == 32 && seen.tag.bytes().all(|b| b.is_ascii_hexdigit());
    shaped
        && local.bytes(path).is_ok_and(|bytes| {
            data_encoding::HEXLOWER.encode(&Md5::digest(&bytes)) == seen.tag.to_ascii_lowercase()
        })
}

/// Whether a file that no record knows is named by what it has to hold.
pub(super) fn is_named_alike(path: &str, file: &File, known: Option<&PutFile>) -> bool {
    known.is_none() && ours::is_named_by(path, &file.digest)
}

impl Sides<'_> {
    fn is_open(&self, path: &str, seen: &HostFile) -> bool {
        if !seen.plain || self.record.is_stranger(path, seen) || ours::is_draft(path) {
            return false;
        }
        let same = |file: &File| seen.bytes == file.bytes && is_same_by_tag(seen, path, self.local);
        match (self.local.files.get(path), self.record.files.get(path)) {
            (Some(file), Some(known)) => is_another(known, seen) && !same(file),
            (Some(file), None) => {
                !(same(file) || seen.bytes == file.bytes && is_named_alike(path, file, None))
            }
            (None, Some(known)) => known.digest.is_some() && is_another(known, seen),
            (None, None) => is_like_ours(path),
        }
    }

    /// The page that vouches for a file, as far as the host has one: that of its private address, else of its folder or the
    /// nearest one above.
    fn nearest_page(&self, path: &str) -> Option<&String> {
        let page = |folder: &str| Some(self.listing.files.get_key_value(&format!("{folder}index.html"))?.0);
        if let Some(address) = address_in(path) {
            return page(&private_folder(address));
        }
        let mut folder = folder_of(path);
        loop {
            match page(folder) {
                None if !folder.is_empty() => folder = folder_of(folder),
                found => return found,
            }
        }
    }

    /// Whose a page is.
    async fn page(&self, path: &str) -> Result<Verdict, Problem> {
        let (Some(seen), known) = (self.listing.files.get(path), self.record.files.get(path)) else {
            return Ok(Verdict::Theirs);
        };
        if !seen.plain || self.record.is_stranger(path, seen) {
            return Ok(Verdict::Theirs);
        }
        let here = self.local.files.get(path).filter(|file| file.bytes == seen.bytes);
        if here.is_some() && is_same_by_tag(seen, path, self.local) {
            return Ok(Verdict::Same);
        }
        if known.is_some_and(|known| !is_another(known, seen)) || self.is_at_our_address(path) {
            return Ok(Verdict::Ours);
        }
        let most =
            if known.is_none() && here.is_none() { Some(seen.bytes.min(BEGINNING as u64)) } else { None };
        let bytes = self.host.read(path, most).await?;
        let digest = Digest::of(&bytes);
        if here.is_some_and(|file| file.digest == digest) {
            return Ok(Verdict::Same);
        }
        // A page of before there were shops' marks is ours where the record knows one: a host may bring back an older one.
        let noted = known.is_some_and(|known| known.digest == Some(digest) || has_plain_mark_alone(&bytes));
        Ok(ours_if(noted || has_shop_mark(&bytes, &self.identity.mark(path))))
    }

    /// Whose another file is, of which the page beside or above it says whether it may be ours.
    async fn other(&self, path: &str, vouched: bool) -> Result<Verdict, Problem> {
        let Some(seen) = self.listing.files.get(path) else { return Ok(Verdict::Theirs) };
        if self.is_at_our_address(path) {
            return Ok(Verdict::Ours);
        }
        let known = self.record.files.get(path);
        let here = self.local.files.get(path).filter(|file| file.bytes == seen.bytes);
        let address = address_in(path);
        let by_key = address.is_some_and(|address| self.knows_address(address));
        if address.is_some() && !by_key && known.is_none() {
            return Ok(ours_if(vouched));
        }
        if known.is_none() && here.is_none() && !vouched && !by_key {
            return Ok(Verdict::Theirs);
        }
        let known_by = Role::of(path).known_by();
        if known.is_none() && here.is_none() && known_by != KnownBy::Name {
            let sealed = by_key && known_by == KnownBy::Seal;
            let beginning = Some(seen.bytes.min(BEGINNING as u64));
            let marked = known_by == KnownBy::Mark && has_mark(&self.host.read(path, beginning).await?);
            return Ok(ours_if(sealed || marked));
        }
        let bytes = self.host.read(path, None).await?;
        let digest = Digest::of(&bytes);
        if here.is_some_and(|file| file.digest == digest) {
            return Ok(Verdict::Same);
        }
        let noted = known.is_some_and(|known| known.digest == Some(digest));
        let shaped = known_by == KnownBy::Mark && has_mark(&bytes)
            || known_by == KnownBy::Name && ours::is_named_by(path, &digest);
        Ok(ours_if(noted || shaped && (vouched || by_key)))
    }

    /// Whether the path is one of `public/` under a private address, to which nobody comes without the shop's key.
    fn is_at_our_address(&self, path: &str) -> bool {
        address_in(path).is_some() && self.local.files.contains_key(path)
    }

    fn knows_address(&self, address: &str) -> bool {
        let folder = private_folder(address);
        let is_in = |path: Option<&String>| path.is_some_and(|path| path.starts_with(&folder));
        self.record.addresses.contains(address)
            || is_in(self.local.files.range(folder.clone()..).next().map(|(path, _)| path))
            || is_in(self.record.files.range(folder.clone()..).next().map(|(path, _)| path))
    }

    /// Whether a page of this site that is ours by its mark or bytes, and by nothing else, stands at the path.
    fn carries_what(&self, path: &str) -> bool {
        self.local.files.contains_key(path) && !self.is_at_our_address(path)
    }

    fn has_a_page_by_its_tag(&self) -> bool {
        let mut pages = self.local.files.iter().filter(|(path, _)| is_page(path) && self.carries_what(path));
        !self.record.is_known()
            && pages.any(|(path, file)| {
                let seen = self.listing.files.get(path);
                seen.is_some_and(|seen| seen.bytes == file.bytes && is_same_by_tag(seen, path, self.local))
            })
    }
}

fn ours_if(ours: bool) -> Verdict {
    if ours { Verdict::Ours } else { Verdict::Theirs }
}
