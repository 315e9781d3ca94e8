//! Rank 3: the content folder becomes a checked `Shop`.
//!
//! Two forms of input: as written (`table`, `value`: keys and values with their places) and as checked
//! (the types of `model`). Everything that is wrong is gathered; a broken job, pose or page leaves the
//! others alone, and only what the whole shop hangs on stops the pass. Nothing here knows what day it
//! is: what follows from dates is `work`'s.

mod folder;
mod graph;
mod job_file;
mod job_lines;
mod job_photos;
mod jobs;
mod key_file;
mod money_rules;
mod pages;
mod parcels;
mod partners;
mod photo_name;
mod photos;
mod routes;
mod shop_file;
mod showroom;
mod syntax;
mod table;
mod text;
mod value;

use crate::base::day::Day;
use crate::base::words::ticked;
use crate::model::{Look as Header, PhotoFault, Shop, Studio};
use crate::problem::{Code, Problem, Problems, Severity, Source};
use folder::{Entry, Kind};
use partners::Partners;
use std::fs;
use std::path::{Path, PathBuf};

/// How a photo file is looked at; the photo room's business, handed in by whoever joins the rooms.
pub type Look<'a> = &'a (dyn Fn(&Path) -> Result<Header, PhotoFault> + Sync);

/// The content folder, for whoever lists what is in it.
struct Content<'a> {
    /// Its real path, out of which no link may lead.
    home: PathBuf,
    look: Look<'a>,
}

/// What may lie in the content folder itself.
const NAMES: [&str; 7] = ["shop.toml", "shop.key", "partners.toml", "routes", "jobs", "showroom", "pages"];

/// Reads the shop whose folder is `root` (it holds `content/`). The error is what stops the pass.
pub fn shop(root: &Path, look: Look<'_>) -> Result<(Shop, Problems), Problems> {
    let mut problems = Vec::new();
    let content = Content::open(root, look).map_err(|problem| Problems::from_iter([problem]))?;
    let top =
        content.list(&content.home, "content", &mut problems).map_err(|p| Problems::from_iter([stop(p)]))?;
    folder::tell_twins(&top, &mut problems);
    tell_strangers(&top, &mut problems);

    let page_entries = content.top_folder(&top, "pages", &mut problems);
    let studio = studio(&top, &page_entries, &mut problems);
    let key = match file(&top, "shop.key") {
        Some(entry) => key_file::key(&entry.path),
        None => Err(key_file::missing()),
    };
    let key = key.map_err(|problem| problems.push(problem)).ok();
    let (Some(studio), Some(key), false) = (studio, key, stops(&problems)) else {
        return Err(Problems::from_iter(problems).sorted());
    };
    let shop = rest(&content, &top, &page_entries, studio, key, &mut problems);
    let problems = Problems::from_iter(problems).sorted();
    if problems.worst() == Some(Severity::Stop) { Err(problems) } else { Ok((shop, problems)) }
}

/// The pinned day of an invented shop (`[made-up]` of `shop.toml`), for whoever sets the clock.
pub fn made_up_day(root: &Path) -> Option<Day> {
    shop_file::made_up_day(&root.join("content/shop.toml"))
}

/// Everything that is not needed to know whether there is a shop at all.
fn rest(
    content: &Content<'_>,
    top: &[Entry],
    page_entries: &[Entry],
    studio: Studio,
    key: crate::model::ShopKey,
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
    let showroom =
        showroom::showroom(content, &content.top_folder(top, "showroom", problems), currency, problems);
    let known = routes::Known { partners: &partners, animals: &showroom.animals(), currency };
    let routes = routes::routes(&content.top_folder(top, "routes", problems), &known, problems);
    let (pages, spoilt_pages) = pages::pages(content, page_entries, problems);
    let job_entries = content.top_folder_of_jobs(top, problems);
    let (jobs, spoilt_jobs) = jobs::jobs(
        content,
        &job_entries,
        &jobs::Known { routes: &routes, showroom: &showroom, currency },
        problems,
    );
    let spoilt = [spoilt_jobs, showroom.spoilt, spoilt_pages].concat();
    Shop {
        studio,
        key,
        partners: partners.sound,
        routes: routes.sound,
        jobs,
        spoilt,
        poses: showroom.poses,
        pages,
    }
}

fn studio(top: &[Entry], page_entries: &[Entry], problems: &mut Vec<Problem>) -> Option<Studio> {
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
    if entry.kind == Kind::Lost {
        problems.iter_mut().filter(|p| at_file(p, &entry.file)).for_each(|p| p.severity = Severity::Stop);
        return None;
    }
    if entry.is_folder() {
        let problem = Problem::new(Code::Unreadable, "`shop.toml` is a folder and must be a file");
        problems.push(stop(folder::at(problem.hint("rename the folder"), &entry.file)));
        return None;
    }
    let source = text::read(&entry.path, &entry.file).map_err(|p| problems.push(stop(p))).ok()?;
    let (studio, told) = shop_file::studio(&source, &pages::keys(page_entries));
    problems.extend(told);
    studio
}

/// What lies in the content folder and nothing reads.
fn tell_strangers(top: &[Entry], problems: &mut Vec<Problem>) {
    for entry in top {
        if !NAMES.contains(&entry.name.as_str()) && entry.kind != Kind::Lost {
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

fn at_file(problem: &Problem, file: &str) -> bool {
    problem.place.as_ref().is_some_and(|place| &*place.file == file)
}

fn stops(problems: &[Problem]) -> bool {
    problems.iter().any(|p| p.severity == Severity::Stop)
}

fn stop(problem: Problem) -> Problem {
    problem.with_severity(Severity::Stop)
}

impl<'a> Content<'a> {
    fn open(root: &Path, look: Look<'a>) -> Result<Content<'a>, Problem> {
        let home = fs::canonicalize(root.join("content")).ok().filter(|home| home.is_dir());
        let home = home.ok_or_else(|| {
            Problem::new(Code::NotAShop, "there is no folder `content` here")
                .hint("name the folder that holds `content`, or lay out a new shop with `benchlight open`")
        })?;
        Ok(Content { home, look })
    }

    fn list(&self, path: &Path, file: &str, problems: &mut Vec<Problem>) -> Result<Vec<Entry>, Problem> {
        folder::list(&self.home, path, file, problems)
    }

    /// What lies in a job's or a pose's folder; nothing if that cannot be told.
    fn entries(&self, folder: &Entry, problems: &mut Vec<Problem>) -> Option<Vec<Entry>> {
        match self.list(&folder.path, &folder.file, problems) {
            Ok(entries) => {
                folder::tell_twins(&entries, problems);
                Some(entries)
            }
            Err(problem) => {
                problems.push(problem);
                None
            }
        }
    }

    /// What lies in `content/routes` and the like; nothing if there is no such folder. One that is there
    /// and cannot be listed stops the pass, or all that is made of it would vanish from the site.
    fn top_folder(&self, top: &[Entry], name: &str, problems: &mut Vec<Problem>) -> Vec<Entry> {
        let entries = self.top_folder_of_jobs_named(top, name, problems);
        folder::tell_twins(&entries, problems);
        entries
    }

    /// `content/jobs`, where equal names are told as equal numbers.
    fn top_folder_of_jobs(&self, top: &[Entry], problems: &mut Vec<Problem>) -> Vec<Entry> {
        self.top_folder_of_jobs_named(top, "jobs", problems)
    }

    fn top_folder_of_jobs_named(&self, top: &[Entry], name: &str, problems: &mut Vec<Problem>) -> Vec<Entry> {
        let Some(entry) = top.iter().find(|e| e.name == name) else { return Vec::new() };
        match entry.kind {
            Kind::Folder => match self.list(&entry.path, &entry.file, problems) {
                Ok(entries) => return entries,
                Err(problem) => problems.push(stop(problem)),
            },
            Kind::File => {
                let problem = Problem::new(
                    Code::Unreadable,
                    format!("{} is a file and must be a folder", ticked(name)),
                );
                problems.push(stop(folder::at(problem.hint("rename the file"), &entry.file)));
            }
            Kind::Lost => {
                problems
                    .iter_mut()
                    .filter(|p| at_file(p, &entry.file))
                    .for_each(|p| p.severity = Severity::Stop);
            }
        }
        Vec::new()
    }

    /// The entries of a folder that the owner named, such as an animal of the showroom; nothing if it
    /// is none, which is told. What cannot be followed stops the pass, as with [`Content::top_folder`].
    fn named_folder(&self, entry: &Entry, what: &str, problems: &mut Vec<Problem>) -> Option<Vec<Entry>> {
        match entry.kind {
            Kind::File => {
                problems.push(folder::unexpected(entry, format!("what belongs here is {what}")));
                None
            }
            Kind::Lost => {
                problems
                    .iter_mut()
                    .filter(|p| at_file(p, &entry.file))
                    .for_each(|p| p.severity = Severity::Stop);
                None
            }
            Kind::Folder if !crate::base::names::is_address_word(&entry.name) => {
                let word = crate::base::names::address_word(&entry.name);
                problems.extend(entry.twin.is_none().then(|| Content::bad_name(entry, &word, "")));
                None
            }
            Kind::Folder => match self.list(&entry.path, &entry.file, problems) {
                Ok(entries) => {
                    folder::tell_twins(&entries, problems);
                    Some(entries)
                }
                Err(problem) => {
                    problems.push(stop(problem));
                    None
                }
            },
        }
    }

    /// The text of a file that a folder must have.
    fn needed_file(
        &self,
        folder: &Entry,
        entries: &[Entry],
        name: &str,
        problems: &mut Vec<Problem>,
    ) -> Option<Source> {
        let entry = entries.iter().find(|e| e.name == name);
        match entry {
            Some(entry) if entry.twin.is_some() || entry.kind == Kind::Lost => None,
            Some(entry) if entry.is_file() => {
                text::read(&entry.path, &entry.file).map_err(|problem| problems.push(problem)).ok()
            }
            _ => {
                let problem = Problem::new(Code::Unreadable, format!("the folder has no {}", ticked(name)));
                let files = entries.iter().filter(|e| e.is_file()).map(|e| e.name.as_str());
                let hint = match crate::problem::nearest(name, files.filter(|file| file.ends_with("toml"))) {
                    Some(near) => format!("is it `{near}`? rename it to `{name}`"),
                    None => format!("put a `{name}` into it, or move the folder away"),
                };
                problems.push(folder::at(problem.hint(hint), &folder.file));
                None
            }
        }
    }

    /// A name that cannot stand in an address, with one that could.
    fn bad_name(entry: &Entry, word: &str, ending: &str) -> Problem {
        let problem =
            Problem::new(Code::BadName, format!("{} cannot be part of an address", ticked(&entry.name)));
        let hint = match word {
            "" => "rename it with small letters, digits and hyphens".to_owned(),
            _ => format!("rename it with small letters, digits and hyphens, such as `{word}{ending}`"),
        };
        folder::at(problem.hint(hint), &entry.file)
    }
}
