//! Rank 3: the content folder becomes a checked `Shop`.
//!
//! One folder a kind of thing that is read (`shop`, `route`, `job`, `photo`; `showroom` and `pages` are one file each), upon
//! what lies on the disk (`disk`) and what its text says (`toml`). Two forms of input: as written (`toml`: keys and values with
//! their places) and as checked (the types of `model`). Everything that is wrong is gathered; a broken job, pose or page leaves the
//! others alone, and only what the whole shop hangs on stops the pass. Nothing here knows what day it
//! is: what follows from dates is `work`'s.

mod disk;
#[cfg(any(test, fuzzing))]
pub mod door;
mod job;
mod open;
mod pages;
mod photo;
mod route;
mod shop;
mod showroom;
mod toml;

use crate::model::{Job, Look as Header, PhotoFault, Shop, ShopKey, Spoilt, Studio};
use crate::problem::{Code, Location, Problem, Problems, Severity};
use disk::content::Content;
use disk::folder::FolderEntry;
pub use job::memory::Memory;
pub use open::{Opened, identity, lasting_identity, open, studio_and_key};
use photo::remains;
use route::partners::Partners;
use shop::numbers;
pub use shop::numbers::{LIMIT as ISSUED_LIMIT, path as issued_path};
use showroom::Mention;
use std::collections::BTreeMap;
use std::path::Path;

/// How a photo file is looked at; the photo room's business, handed in by whoever joins the rooms.
pub type Look<'a> = &'a (dyn Fn(&Path) -> Result<Header, PhotoFault> + Sync);

/// A job file as it is to be, before it is written: so that whatever would be wrong with it is told first.
#[derive(Clone, Debug)]
pub struct Draft {
    /// The job's folder: its name under `content/jobs/`, there already or not.
    pub folder: String,
    pub text: String,
}

/// Reads the shop whose folder is `root` (it holds `content/`). The error is what stops the pass.
///
/// # Errors
/// As `open` and `shop_with`.
pub fn shop(root: &Path, look: Look<'_>) -> Result<(Shop, Problems), Problems> {
    shop_with(open(root)?, look, &Memory::default())
}

/// Reads the rest of a shop that was opened, with a memory of what was read before; what it gives does not depend on it.
///
/// # Errors
/// What stops the pass.
pub fn shop_with(opened: Opened, look: Look<'_>, memory: &Memory) -> Result<(Shop, Problems), Problems> {
    read_with(opened, look, (&[], true), memory)
}

/// The shop as it would be with these job files in it.
///
/// # Errors
/// As `shop`.
pub fn shop_with_drafts(root: &Path, look: Look<'_>, drafts: &[Draft]) -> Result<(Shop, Problems), Problems> {
    read_with(open(root)?, look, (drafts, true), &Memory::default())
}

/// What would be wrong with one job file, by itself: no other job is read.
///
/// # Errors
/// As `shop`.
pub fn draft(root: &Path, look: Look<'_>, draft: &Draft) -> Result<Problems, Problems> {
    let (_, problems) =
        read_with(open(root)?, look, (std::slice::from_ref(draft), false), &Memory::default())?;
    let file = format!("content/jobs/{}", draft.folder);
    let of_draft = |problem: &Problem| {
        problem.place.as_ref().is_some_and(|place| {
            place.file.strip_prefix(&*file).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        })
    };
    Ok(problems.into_iter().filter(of_draft).collect())
}

/// Reads with drafts, and with all other jobs or without.
fn read_with(
    opened: Opened,
    look: Look<'_>,
    (drafts, all_jobs): (&[Draft], bool),
    memory: &Memory,
) -> Result<(Shop, Problems), Problems> {
    let Opened { home, top, page_entries, studio, first, key, mut problems } = opened;
    let content = Content { home, look, drafts };
    let on_disk = if all_jobs { content.folder_with_twins(&top, "jobs", &mut problems) } else { Vec::new() };
    let job_entries = content.with_drafts(on_disk);
    let entries = (page_entries.as_slice(), job_entries.as_slice());
    let shop = rest(&content, &top, entries, (studio, &first), (key, memory), &mut problems);
    let problems = Problems::from_iter(problems).sorted();
    if problems.worst() == Some(Severity::Stop) { Err(problems) } else { Ok((shop, problems)) }
}

/// Everything that is not needed to know whether there is a shop at all.
fn rest(
    content: &Content<'_>,
    top: &[FolderEntry],
    (page_entries, job_entries): (&[FolderEntry], &[FolderEntry]),
    (studio, first): (Studio, &[Mention]),
    (key, memory): (ShopKey, &Memory),
    problems: &mut Vec<Problem>,
) -> Shop {
    let currency = studio.money.currency;
    let partners = match file(top, "partners.toml") {
        Some(entry) => {
            let (partners, found) = Partners::read(&entry.path, &entry.file);
            problems.extend(found);
            partners
        }
        None => Partners { unread: top.iter().any(|e| e.name == "partners.toml"), ..Partners::default() },
    };
    let mut showroom =
        showroom::showroom(content, &content.folder(top, "showroom", problems), currency, problems);
    showroom.order(first, problems);
    let public = job::texts::public(&studio);
    job::texts::keep_back_in_poses(&mut showroom.poses, &public, problems);
    let known = route::RouteContext { partners: &partners, animals: &showroom.animals(), currency };
    let mut routes = route::routes(&content.folder(top, "routes", problems), &known, problems);
    let (pages, spoilt_pages) = pages::pages(content, page_entries, problems);
    let page_photos =
        if spoilt_pages.is_empty() { None } else { Some(remains::of_entries(content, page_entries)) };
    let issued = numbers::read(&content.home.path, problems);
    let route_texts = job::texts::RouteTexts::of(&routes);
    let (jobs, spoilt_jobs, leaks) = job::jobs(
        content,
        job_entries,
        &job::JobContext {
            routes: &routes,
            showroom: &showroom,
            currency,
            public: &public,
            route_texts: &route_texts,
        },
        memory,
        problems,
    );
    job::texts::keep_back_in_routes(&mut routes, &route_texts, &leaks, &public, problems);
    problems.extend(sealed_without_https(&studio, &jobs));
    let mut remains = showroom.remains;
    remains.extend(spoilt_pages.iter().filter_map(|page| Some((page.clone(), page_photos.clone()?))));
    let mut spoilt_links = BTreeMap::new();
    for (number, job) in spoilt_jobs {
        remains.extend(job.remains.map(|photos| (Spoilt::Job(number.clone()), photos)));
        spoilt_links.insert(number, job.link);
    }
    let unmade = spoilt_links.keys().cloned().map(Spoilt::Job).collect();
    let spoilt = [unmade, showroom.spoilt, spoilt_pages].concat();
    Shop {
        studio,
        key,
        partners: partners.sound,
        routes: routes.sound,
        jobs,
        spoilt,
        spoilt_links,
        issued,
        remains,
        poses: showroom.poses,
        pages,
    }
}

/// Browsers open sealed pages only where nobody on the way can have changed them (W3C, Web Cryptography API: secure
/// contexts).
fn sealed_without_https(studio: &Studio, jobs: &[Job]) -> Option<Problem> {
    let seals = jobs.iter().filter(|job| job.sealed.unwrap_or(studio.sealed)).count();
    let bare = studio.web.as_ref().is_some_and(|web| web.starts_with("http://"));
    (bare && seals > 0).then(|| {
        let message =
            format!("{} sealed, and no browser opens one at an address without https", pages(seals));
        Problem::new(Code::SealedWithoutHttps, message)
            .at(Location::file("content/shop.toml"))
            .hint("let your host serve the site by https, and write `https://` under `web`")
    })
}

fn pages(n: usize) -> String {
    if n == 1 { "1 private page is".to_owned() } else { format!("{n} private pages are") }
}

fn file<'e>(top: &'e [FolderEntry], name: &str) -> Option<&'e FolderEntry> {
    top.iter().find(|e| e.name == name && e.is_file())
}
