//! `jobs/`: one folder a job. Its number is the first word of the folder's name.
//!
//! Jobs are read side by side; the result stands in the order of their numbers all the same. `job_toml` reads the file (`lines`
//! and `sums` its ledger, `measures` its lengths), `photos` the folder's photos, `texts` keeps back what would give something
//! away, `link` finds what must not be lost of a damaged file, `memory` knows jobs again that did not change.

pub(in crate::read) mod job_toml;
mod lines;
pub(in crate::read) mod link;
mod measures;
pub(in crate::read) mod memory;
pub(in crate::read) mod photos;
mod sums;
pub(in crate::read) mod texts;

use self::job_toml::Written;
use self::memory::{Memory, ReadJob};
use self::texts::{Leaks, RouteTexts};
use crate::base::money::Currency;
use crate::base::person::first_name_and_initial;
use crate::base::private::Private;
use crate::base::telltale::Public;
use crate::base::words::ticked;
use crate::model::{Job, PageLink, Remains, Route};
use crate::problem::{Code, Problem, Severity, Source};
use crate::read::disk::content::{self, Content};
use crate::read::disk::folder::{self, FolderEntry, by_name};
use crate::read::photo::remains;
use crate::read::route::Routes;
use crate::read::showroom::Showroom;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a job may name.
pub(in crate::read) struct JobContext<'a> {
    pub routes: &'a Routes,
    pub showroom: &'a Showroom,
    pub currency: Currency,
    /// What the shop says of itself, which is nobody's secret.
    pub public: &'a Public,
    pub route_texts: &'a RouteTexts,
}

/// A folder with a usable number.
pub(in crate::read) struct Numbered<'a> {
    number: &'a str,
    label: &'a str,
    pub entry: &'a FolderEntry,
}

/// What is known of a job that needs mending.
#[derive(Debug, Default)]
pub(in crate::read) struct SpoiltJob {
    /// What can still be read of its `link`.
    pub link: Option<PageLink>,
    /// The photos in its folder, where that could be looked through.
    pub remains: Option<Remains>,
}

/// The jobs that need mending, by number.
pub(in crate::read) type SpoiltJobs = BTreeMap<String, SpoiltJob>;

/// Reads every job. Those that need mending are named in the second list; the third is what routes tell of jobs.
pub(in crate::read) fn jobs(
    content: &Content<'_>,
    entries: &[FolderEntry],
    known: &JobContext<'_>,
    memory: &Memory,
    problems: &mut Vec<Problem>,
) -> (Vec<Job>, SpoiltJobs, Leaks) {
    let mut leaks = Leaks::new();
    let mut spoilt = SpoiltJobs::new();
    let numbered = numbered(entries, problems);
    let single = single(content, numbered, known, &mut spoilt, problems);
    let digest = memory::digest_of(known);
    let read: Vec<Arc<ReadJob>> = single
        .par_iter()
        .map(|folder| memory.job(folder, digest, || read_job(content, folder, known)))
        .collect();
    let mut jobs = Vec::with_capacity(read.len());
    for (folder, read) in single.iter().zip(read) {
        let read = Arc::unwrap_or_clone(read);
        leaks.extend(read.leaks);
        problems.extend(read.problems);
        match read.job {
            Some(job) => jobs.push(job),
            None => {
                let spoilt_job = SpoiltJob { link: read.link, remains: read.remains };
                spoilt.insert(folder.number.to_owned(), spoilt_job);
            }
        }
    }
    jobs.sort_by(|a, b| by_name(&a.number, &b.number));
    (jobs, spoilt, leaks)
}

fn read_job(content: &Content<'_>, folder: &Numbered<'_>, known: &JobContext<'_>) -> ReadJob {
    let mut problems = Vec::new();
    let (job, leaks) = job(content, folder, known, &mut problems).unzip();
    let (link, remains) = match job {
        Some(_) => (None, None),
        None => {
            (link::of_folder(content, folder.entry), remains::of_job(content, folder.entry, known.routes))
        }
    };
    let problems = problems.into_iter().map(|p| p.of_job(folder.number)).collect();
    ReadJob { job, problems, leaks: leaks.unwrap_or_default(), link, remains }
}

/// The folders whose names begin with a number; what is none is told.
fn numbered<'a>(entries: &'a [FolderEntry], problems: &mut Vec<Problem>) -> Vec<Numbered<'a>> {
    let mut numbered = Vec::new();
    for entry in entries {
        let name = entry.name.trim();
        let (number, label) = name.split_once(char::is_whitespace).unwrap_or((name, ""));
        if entry.is_file() {
            let hint =
                "a job is a folder, named by its number and a few words, such as `26-041 Fenn gobbler`";
            problems.push(folder::unexpected(entry, hint));
        } else if is_blank(name) {
            problems.extend(copied_blank(entry));
        } else if !is_number(number) {
            // What is lost for another reason has been told.
            problems.extend(entry.is_folder().then(|| bad_number(entry, number)));
        } else {
            numbered.push(Numbered { number, label: label.trim(), entry });
        }
    }
    numbered
}

/// The first word of a folder that is there to be copied for a new job: `blank turkey-full`. It may be a copy that
/// has no number yet: `Copy of blank turkey-full`, `blank turkey-full (1)`.
fn is_blank(name: &str) -> bool {
    let mut words = name.split_whitespace();
    let first = words.next().unwrap_or_default();
    first.eq_ignore_ascii_case("blank")
        || (first.eq_ignore_ascii_case("copy") && words.any(|word| word.eq_ignore_ascii_case("blank")))
}

/// A copy of a blank folder waits for its number.
fn copied_blank(entry: &FolderEntry) -> Option<Problem> {
    let name = entry.name.to_lowercase();
    let copied = name.ends_with(')') || name.split(|c: char| !c.is_alphanumeric()).any(|word| word == "copy");
    let message = format!("{} is no job yet, as it has no number", ticked(&entry.name));
    let hint = "rename it to the job's number and a few words, such as `26-041 Fenn gobbler`";
    let problem = Problem::new(Code::BadName, message).with_severity(Severity::Note).hint(hint);
    copied.then(|| folder::at(problem, &entry.file))
}

/// A number is 1 to 20 ASCII letters, digits and hyphens, and does not begin with a hyphen.
fn is_number(word: &str) -> bool {
    (1..=20).contains(&word.len())
        && !word.starts_with('-')
        // `Copy of 26-041 …`: what a phone calls a copy is no job of its own.
        && !word.eq_ignore_ascii_case("copy")
        && word.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
}

fn bad_number(entry: &FolderEntry, number: &str) -> Problem {
    let message = format!("the folder's first word {} is no job number", ticked(number));
    let problem = Problem::new(Code::BadName, message)
        .hint("begin its name with up to 20 letters, digits and hyphens, such as `26-041 Fenn gobbler`");
    folder::at(problem, &entry.file)
}

/// The folders whose number is theirs alone, capitals or not.
fn single<'a>(
    content: &Content<'_>,
    numbered: Vec<Numbered<'a>>,
    known: &JobContext<'_>,
    spoilt: &mut SpoiltJobs,
    problems: &mut Vec<Problem>,
) -> Vec<Numbered<'a>> {
    let mut alike: BTreeMap<String, Vec<Numbered<'a>>> = BTreeMap::new();
    for folder in numbered {
        alike.entry(folder.number.to_ascii_lowercase()).or_default().push(folder);
    }
    let mut single = Vec::with_capacity(alike.len());
    for mut folders in alike.into_values() {
        if let [folder] = folders.as_slice() {
            match folder.entry.is_folder() {
                true => single.append(&mut folders),
                // A link that leads out has been told; the job is still nobody else's.
                false => drop(spoilt.insert(folder.number.to_owned(), SpoiltJob::default())),
            }
            continue;
        }
        // Whichever of them is meant: an address that one of them retired is not brought back.
        let link = link::strictest(folders.iter().map(|folder| link::of_folder(content, folder.entry)));
        let remains = folders.iter().map(|folder| remains::of_job(content, folder.entry, known.routes));
        let remains = remains::of_twins(remains);
        for (at, folder) in folders.iter().enumerate() {
            let other = folders.get(if at == 0 { 1 } else { 0 }).map_or("", |other| &other.entry.name);
            let message =
                format!("{} has the same job number as {}", ticked(&folder.entry.name), ticked(other));
            let problem = Problem::new(Code::SameNumber, message).hint("give one of them another number");
            problems.push(folder::at(problem, &folder.entry.file).of_job(folder.number));
            spoilt.insert(folder.number.to_owned(), SpoiltJob { link, remains: remains.clone() });
        }
    }
    single
}

fn job(
    content: &Content<'_>,
    folder: &Numbered<'_>,
    known: &JobContext<'_>,
    problems: &mut Vec<Problem>,
) -> Option<(Job, Leaks)> {
    let draft = content.draft(&folder.entry.name);
    // A folder that only a draft would make holds nothing yet.
    let entries = match draft.is_some() && !folder.entry.path.exists() {
        true => Vec::new(),
        false => content.entries(folder.entry, problems)?,
    };
    let source = match draft {
        Some(text) => Source::new(format!("{}/job.toml", folder.entry.file), text),
        None => content::needed_file(folder.entry, &entries, "job.toml", problems)?,
    };
    let (written, found) = job_toml::read(&source, known);
    // The route's own problems are told at the route; here one line for each job is enough.
    let broken = written.as_ref().is_some_and(|w| known.routes.broken.contains(&w.route));
    problems.extend(found);
    let written = written?;
    if broken {
        let message = format!("its route {} needs mending", ticked(&written.route));
        let hint = format!("mend `content/routes/{}.toml`, and the job is made again", written.route);
        let place = source.place(&written.route_at);
        problems.push(Problem::new(Code::BrokenRoute, message).hint(hint).at(place));
        return None;
    }
    let route = known.routes.sound.get(&written.route)?;
    let job = checked(folder, source, written);
    let mut job = with_photos(content, job, &entries, route, problems);
    let leaks = texts::keep_back(&mut job, route, known, problems);
    // Without a photo that is only elsewhere the page would lose what it shows.
    let whole = problems.iter().all(|problem| problem.code != Code::NotHere);
    whole.then_some((job, leaks))
}

fn with_photos(
    content: &Content<'_>,
    mut job: Job,
    entries: &[FolderEntry],
    route: &Route,
    problems: &mut Vec<Problem>,
) -> Job {
    let mut of_folder = Vec::new();
    let mut found = photos::gather(content, entries, route, &mut of_folder);
    let home = job.collected.is_some();
    // A route may change after a piece went home; then its old folders are no mistake.
    problems.extend(of_folder.into_iter().map(|problem| match problem.code {
        Code::UnknownStep if home => problem.with_severity(Severity::Note),
        _ => problem,
    }));
    found.keep_names_back(&job, problems);
    found.reach(&mut job, problems);
    found.tell_file_dates(&job, problems);
    job.photos = found.in_order();
    job
}

fn checked(folder: &Numbered<'_>, source: Source, written: Written) -> Job {
    Job {
        number: folder.number.to_owned(),
        label: Private::new(folder.label.to_owned()),
        folder: Private::new(folder.entry.file.clone()),
        source: Private::new(source),
        shown_name: first_name_and_initial(&written.private.customer),
        private: Private::new(written.private),
        piece: written.piece,
        route: written.route,
        taken_in: written.taken_in,
        taken_in_at: written.taken_in_at,
        pose: written.pose,
        note: written.note,
        rush: written.rush,
        link: written.link,
        sealed: written.sealed,
        draw: written.draw,
        reached: written.reached,
        collected: written.collected,
        told: written.told,
        have: written.have,
        tag_since: written.tag_since,
        signature_since: written.signature_since,
        charges: written.lines.charges,
        discounts: written.lines.discounts,
        payments: written.lines.payments,
        refunds: written.lines.refunds,
        write_offs: written.lines.write_offs,
        deposit: written.deposit,
        measures: written.measures,
        photos: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_plain() {
        for good in ["26-041", "a", "7", "A-1", "12345678901234567890"] {
            assert!(is_number(good), "{good}");
        }
        for bad in
            ["", "copy", "Copy", "-1", "26/41", "26_041", "№5", "123456789012345678901", "..", "26.041"]
        {
            assert!(!is_number(bad), "{bad}");
        }
    }
}
