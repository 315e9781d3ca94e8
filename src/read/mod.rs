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
mod pages;
mod photo;
mod route;
mod shop;
mod showroom;
mod toml;

use crate::base::day::Day;
use crate::base::identity::Identity;
use crate::model::{Job, Look as Header, PhotoFault, Shop, ShopKey, Spoilt, Studio};
use crate::problem::{Code, Place, Problem, Problems, Severity};
use disk::content::{Content, stop_at, stopping};
use disk::folder::{self, Entry};
use disk::text;
pub use job::memory::Memory;
use photo::remains;
use route::partners::Partners;
pub use shop::numbers::{LIMIT as GIVEN_LIMIT, path as given_path};
use shop::{key_file, numbers, secrets, shop_toml};
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

/// What may lie in the content folder itself.
const NAMES: [&str; 9] = [
    "shop.toml",
    "shop.key",
    "shop.id",
    numbers::FILE,
    "partners.toml",
    "routes",
    "jobs",
    "showroom",
    "pages",
];

/// Reads the shop whose folder is `root` (it holds `content/`). The error is what stops the pass.
pub fn shop(root: &Path, look: Look<'_>) -> Result<(Shop, Problems), Problems> {
    shop_with(root, look, &Memory::default())
}

/// The same with a memory of what was read before; what it gives does not depend on it.
///
/// # Errors
/// As `shop`.
pub fn shop_with(root: &Path, look: Look<'_>, memory: &Memory) -> Result<(Shop, Problems), Problems> {
    read_with(root, look, (&[], true), memory)
}

/// The shop as it would be with these job files in it.
///
/// # Errors
/// As `shop`.
pub fn shop_with_drafts(root: &Path, look: Look<'_>, drafts: &[Draft]) -> Result<(Shop, Problems), Problems> {
    read_with(root, look, (drafts, true), &Memory::default())
}

/// What would be wrong with one job file, by itself: no other job is read.
///
/// # Errors
/// As `shop`.
pub fn draft(root: &Path, look: Look<'_>, draft: &Draft) -> Result<Problems, Problems> {
    let (_, problems) = read_with(root, look, (std::slice::from_ref(draft), false), &Memory::default())?;
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
    root: &Path,
    look: Look<'_>,
    (drafts, all_jobs): (&[Draft], bool),
    memory: &Memory,
) -> Result<(Shop, Problems), Problems> {
    let mut problems = Vec::new();
    let content = Content::open(root, look, drafts).map_err(|problem| Problems::from_iter([problem]))?;
    let top = content.top(&mut problems).map_err(|problem| Problems::from_iter([problem]))?;
    tell_strangers(&top, &mut problems);

    let page_entries = content.folder(&top, "pages", &mut problems);
    let studio = studio(&top, &page_entries, &mut problems);
    let key = key(&top, &mut problems);
    let (Some((studio, first)), Some(key), false) = (studio, key, stops(&problems)) else {
        return Err(Problems::from_iter(problems).sorted());
    };
    problems.extend(guessable(&studio, &key));
    let on_disk = if all_jobs { content.folder_with_twins(&top, "jobs", &mut problems) } else { Vec::new() };
    let job_entries = content.with_drafts(on_disk);
    let entries = (page_entries.as_slice(), job_entries.as_slice());
    let shop = rest(&content, &top, entries, (studio, &first), (key, memory), &mut problems);
    let problems = Problems::from_iter(problems).sorted();
    if problems.worst() == Some(Severity::Stop) { Err(problems) } else { Ok((shop, problems)) }
}

/// Who the studio is and its key, without anything else of the shop.
///
/// # Errors
/// As `shop`.
pub fn studio_and_key(root: &Path) -> Result<(Studio, ShopKey), Problems> {
    let mut problems = Vec::new();
    let unlooked = |_: &Path| Err(PhotoFault::Empty);
    let content = Content::open(root, &unlooked, &[]).map_err(|problem| Problems::from_iter([problem]))?;
    let top = content.top(&mut problems).map_err(|problem| Problems::from_iter([problem]))?;
    let page_entries = content.folder(&top, "pages", &mut problems);
    let studio = studio(&top, &page_entries, &mut problems);
    let key = key(&top, &mut problems);
    if let (Some((studio, _)), Some(key)) = (&studio, &key) {
        problems.extend(guessable(studio, key));
    }
    match (studio, key, stops(&problems)) {
        (Some((studio, _)), Some(key), false) => Ok((studio, key)),
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

/// The pinned day of an invented shop (`[made-up]` of `shop.toml`), for whoever sets the clock.
pub fn made_up_day(root: &Path) -> Option<Day> {
    shop_toml::made_up_day(&root.join("content/shop.toml"))
}

/// Everything that is not needed to know whether there is a shop at all.
fn rest(
    content: &Content<'_>,
    top: &[Entry],
    (page_entries, job_entries): (&[Entry], &[Entry]),
    (studio, first): (Studio, &[Mention]),
    (key, memory): (ShopKey, &Memory),
    problems: &mut Vec<Problem>,
) -> Shop {
    let currency = studio.money.currency;
    let partners = match file(top, "partners.toml") {
        Some(entry) => {
            let (partners, told) = Partners::read(&entry.path, &entry.file);
            problems.extend(told);
            partners
        }
        None => Partners { unread: top.iter().any(|e| e.name == "partners.toml"), ..Partners::default() },
    };
    let mut showroom =
        showroom::showroom(content, &content.folder(top, "showroom", problems), currency, problems);
    showroom.order(first, problems);
    let public = job::texts::public(&studio);
    job::texts::keep_back_in_poses(&mut showroom.poses, &public, problems);
    let known = route::Known { partners: &partners, animals: &showroom.animals(), currency };
    let mut routes = route::routes(&content.folder(top, "routes", problems), &known, problems);
    let (pages, spoilt_pages) = pages::pages(content, page_entries, problems);
    let page_photos =
        if spoilt_pages.is_empty() { None } else { Some(remains::of_entries(content, page_entries)) };
    let given = numbers::read(content.home(), problems);
    let tells = job::texts::Tells::of(&routes);
    let (jobs, spoilt_jobs, told) = job::jobs(
        content,
        job_entries,
        &job::Known { routes: &routes, showroom: &showroom, currency, public: &public, tells: &tells },
        memory,
        problems,
    );
    job::texts::keep_back_in_routes(&mut routes, &tells, &told, &public, problems);
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
        given,
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
            .at(Place::file("content/shop.toml"))
            .hint("let your host serve the site by https, and write `https://` under `web`")
    })
}

fn pages(n: usize) -> String {
    if n == 1 { "1 private page is".to_owned() } else { format!("{n} private pages are") }
}

/// The studio, and what of the showroom is to stand first.
fn studio(
    top: &[Entry],
    page_entries: &[Entry],
    problems: &mut Vec<Problem>,
) -> Option<(Studio, Vec<Mention>)> {
    let Some(entry) = top.iter().find(|e| e.name == "shop.toml") else {
        let names = top.iter().map(|e| e.name.as_str()).filter(|name| !NAMES.contains(name));
        let near = crate::problem::nearest("shop.toml", names);
        let problem = Problem::new(Code::NotAShop, "there is no `content/shop.toml` here");
        problems.push(match near {
            Some(near) => problem.hint(format!("is it `content/{near}`? rename it to `shop.toml`")),
            None => problem
                .hint("name the folder that holds `content`, or lay out a new shop with `benchlight open`"),
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
    let (studio, told) = shop_toml::studio(&source, &pages::keys(page_entries));
    problems.extend(told);
    studio
}

fn key(top: &[Entry], problems: &mut Vec<Problem>) -> Option<ShopKey> {
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
fn tell_strangers(top: &[Entry], problems: &mut Vec<Problem>) {
    for entry in top {
        if entry.name.starts_with("shop.key.old") {
            // What `open --new-key` kept.
            let hint = "delete it once every customer has a new hang tag";
            problems.push(folder::unexpected(entry, hint));
        } else if numbers::is_read(entry) {
            // Told where it is read.
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

fn file<'e>(top: &'e [Entry], name: &str) -> Option<&'e Entry> {
    top.iter().find(|e| e.name == name && e.is_file())
}

fn stops(problems: &[Problem]) -> bool {
    problems.iter().any(|p| p.severity == Severity::Stop)
}
