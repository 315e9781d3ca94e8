//! What moved since the last pass, in words: `26-041 Fenn gobbler: mounted, 4 May`.

use super::snapshot::{JobSnapshot, PhotoSnapshot, Snapshot};
use crate::base::day::Day;
use crate::base::words::count;
use crate::model::Role;
use crate::model::role::Side;
use crate::write::Changes;
use std::collections::{BTreeMap, BTreeSet};

/// More jobs than this are summed up.
const LINES: usize = 12;
/// Addresses are given for so many jobs.
const ADDRESSES: usize = 5;
/// More pages than this that changed along are counted.
const NAMES: usize = 4;

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "June", "July", "Aug", "Sept", "Oct", "Nov", "Dec"];

/// The lines that tell what moved. `address` makes the whole address of a private page.
pub(super) fn lines(
    before: &Snapshot,
    now: &Snapshot,
    changes: &Changes,
    today: Day,
    address: &dyn Fn(&str) -> String,
) -> Vec<String> {
    let touched = touched(changes);
    let mut lines = Vec::new();
    let (mut told, mut along) = (0, 0);
    for (number, job) in &now.jobs {
        let news = match before.jobs.get(number) {
            None => vec![format!("new, taken in {}", spoken(job.taken_in, today))],
            Some(old) => news_of(old, job, today, was_broken(before, number)),
        };
        let page = touched.contains(job.folder.as_str());
        if news.is_empty() {
            along += usize::from(page);
            continue;
        }
        told += 1;
        if told <= LINES {
            lines.push(format!("{}: {}", job.name, news.join("; ")));
            lines.extend((page && told <= ADDRESSES).then(|| format!("    {}", address(&job.page_address))));
        }
    }
    for (number, old) in &before.jobs {
        if !now.jobs.contains_key(number) && !now.spoilt.contains(number) {
            told += 1;
            lines.extend((told <= LINES).then(|| format!("{}: gone, and its page with it", old.name)));
        }
    }
    if told > LINES {
        lines.push(format!("and {} more", count(told - LINES, "job")));
    }
    lines.extend(rest(changes, along));
    lines
}

/// Whether a job needed mending, and did not only wait for a file.
fn was_broken(before: &Snapshot, number: &str) -> bool {
    before.spoilt.contains(number) && !before.waiting.contains(number)
}

/// The addresses of the private pages whose folder changed.
fn touched(changes: &Changes) -> BTreeSet<&str> {
    let paths = changes.added.iter().chain(&changes.changed).chain(&changes.removed);
    paths.filter_map(|path| path.strip_prefix("see/")?.split_once('/').map(|(address, _)| address)).collect()
}

/// What else changed: private pages that only moved along, and pages for everybody.
fn rest(changes: &Changes, along: usize) -> Option<String> {
    let mut parts = Vec::new();
    if along > 0 {
        parts.push(count(along, "private page"));
    }
    let paths = changes.added.iter().chain(&changes.changed).chain(&changes.removed);
    let pages: Vec<&str> = paths
        .filter(|path| matches!(Role::of(path), Role::FrontPage | Role::Page(Side::Public)))
        .map(|path| path.trim_end_matches("index.html"))
        .map(|path| if path.is_empty() { "the front page" } else { path.trim_end_matches('/') })
        .collect();
    if pages.len() > NAMES {
        parts.push(count(pages.len(), "page for everybody|pages for everybody"));
    } else {
        parts.extend(pages.iter().map(|page| (*page).to_owned()));
    }
    (!parts.is_empty()).then(|| format!("changed along with it: {}", parts.join(", ")))
}

/// What is new about one job.
fn news_of(old: &JobSnapshot, now: &JobSnapshot, today: Day, was_spoilt: bool) -> Vec<String> {
    let mut news = Vec::new();
    if was_spoilt {
        news.push("mended".to_owned());
    }
    if old.name != now.name {
        news.push(format!("renamed, it was {}", old.name));
    }
    let mut reached: Vec<(&String, &Day)> =
        now.reached.iter().filter(|(word, day)| old.reached.get(*word) != Some(*day)).collect();
    reached.sort_by_key(|(_, day)| **day);
    news.extend(reached.iter().map(|(word, day)| match old.reached.get(*word) {
        None => format!("{word}, {}", spoken(**day, today)),
        Some(was) => format!("{word}, {} instead of {}", spoken(**day, today), spoken(*was, today)),
    }));
    news.extend(
        old.reached.keys().filter(|w| !now.reached.contains_key(*w)).map(|w| format!("no longer {w}")),
    );
    if now.ready && !old.ready {
        news.push("ready".to_owned());
    }
    if old.due != now.due {
        news.push(format!("{} due, it was {}", now.due, old.due));
    }
    if old.folder != now.folder {
        news.push("a new address, the old one is retired".to_owned());
    }
    news.extend(photo_news(&old.photos, &now.photos));
    news
}

/// What became of the photos: by their place first, then by what they show.
fn photo_news(old: &BTreeMap<String, PhotoSnapshot>, now: &BTreeMap<String, PhotoSnapshot>) -> Vec<String> {
    // A renamed job folder moves every path; within it they are the same.
    let inside = |path: &str| path.splitn(4, '/').nth(3).unwrap_or(path).to_owned();
    let old: BTreeMap<String, &PhotoSnapshot> = old.iter().map(|(path, p)| (inside(path), p)).collect();
    let now: BTreeMap<String, &PhotoSnapshot> = now.iter().map(|(path, p)| (inside(path), p)).collect();
    let mut gone: Vec<&PhotoSnapshot> =
        old.iter().filter(|(path, _)| !now.contains_key(*path)).map(|(_, p)| *p).collect();
    let (mut news, mut added, mut hidden) = (Vec::new(), 0, 0);
    for (path, picture) in &now {
        match old.get(path) {
            Some(was) if was.digest != picture.digest => news.push("a photo replaced".to_owned()),
            Some(_) => {}
            None => match gone.iter().position(|was| was.digest == picture.digest) {
                Some(at) => news.extend(change(gone.swap_remove(at), picture)),
                None if picture.shown => added += 1,
                None => hidden += 1,
            },
        }
    }
    let more = |n: usize, how: &str| (n > 0).then(|| format!("{} {how}", count(n, "photo")));
    news.extend(more(added, "added"));
    news.extend(more(hidden, "added, not shown"));
    news.extend(more(gone.len(), "taken away"));
    news
}

/// What is other about a photo that moved or was renamed.
fn change(was: &PhotoSnapshot, now: &PhotoSnapshot) -> Vec<String> {
    let mut news = Vec::new();
    if was.step != now.step {
        let place = now.step.as_deref().unwrap_or("the others");
        news.push(format!("a photo moved to {place}"));
    }
    if was.caption != now.caption {
        news.push(match &now.caption {
            Some(words) => format!("a photo now says \"{words}\""),
            None => "a photo lost its words".to_owned(),
        });
    }
    if was.shown != now.shown {
        news.push(
            if now.shown { "a photo is shown now" } else { "a photo is not shown any more" }.to_owned(),
        );
    }
    news
}

/// `4 May`, with the year where it is another one.
fn spoken(day: Day, today: Day) -> String {
    let month = MONTHS.get(day.month() as usize - 1).copied().unwrap_or_default();
    match day.year() == today.year() {
        true => format!("{} {month}", day.day()),
        false => format!("{} {month} {}", day.day(), day.year()),
    }
}

#[cfg(test)]
mod tests;
