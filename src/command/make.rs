//! `make`: one full pass, content to `public/`, and a short account of it.

use super::Outcome;
use super::last_pass::Account;
use super::pass::Pass;
use super::publish::{self, Callbacks, Made};
use super::terminal::{Progress, say, tally, tell, tell_problems, tell_text};
use crate::base::day::Day;
use crate::base::words::count;
use crate::model::seal::ENDING;
use crate::model::{Owner, Site, Spoilt};
use crate::problem::{Problems, print};
use crate::write;
use crate::write::{Changes, Unpublished};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// More lines than this about what changed are summed up.
const LINES: usize = 12;

/// Makes the site of the shop in `shop` into `out`, or into its `public`.
pub fn run(shop: &Path, as_of: Option<Day>, out: Option<&Path>) -> Outcome {
    let usual = shop.join("public");
    if let (None, Err(problem)) = (out, write::check_usual(&usual)) {
        tell_problems(&Problems::from_iter([problem]));
        return Outcome::CouldNot;
    }
    let out = out.map_or(usual, PathBuf::from);
    let progress = Progress::new("photos");
    let callbacks = Callbacks {
        waiting: &|| tell("Another Benchlight is at work on this shop; waiting for it."),
        progress: &|done, all| progress.at(done, all),
    };
    match publish::run_unless_it_stands(shop, as_of, &out, &callbacks, &account) {
        Ok(Made::Stands(account)) => {
            tell_text(&account.notes);
            head(&account, &Changes { unchanged: account.files, ..Changes::default() });
            foot(&account, &out);
            Outcome::Done
        }
        Ok(Made::New(pass, changes)) => {
            tell_problems(&pass.problems);
            let account = account(&pass);
            head(&account, &changes);
            news_and_kept(&pass, &changes);
            foot(&account, &out);
            Outcome::of(&pass.problems)
        }
        Err(Unpublished { problems, begun }) => {
            tell_problems(&problems);
            tell(&match begun {
                false => format!("Nothing was changed in {}.", shown(&out)),
                true => {
                    format!("Some pages in {} may be new already; the next make does the rest.", shown(&out))
                }
            });
            Outcome::CouldNot
        }
    }
}

/// The account of a pass, as far as it stays the same while nothing changes.
fn account(pass: &Pass) -> Account {
    let files = &pass.site.files;
    Account {
        title: format!("The site of {} as of {}:", pass.shop.studio.name, pass.today.day),
        pages: files.keys().filter(|path| path.ends_with(".html")).count(),
        pictures: files.keys().filter(|path| is_picture(path)).count(),
        sealed: files.keys().filter(|path| path.ends_with(ENDING)).count(),
        files: files.len(),
        notes: print::text(&pass.problems),
        tally: tally(&pass.problems),
    }
}

fn head(account: &Account, changes: &Changes) {
    say(&account.title);
    let (pages, pictures) = (count(account.pages, "page"), count(account.pictures, "picture"));
    say(&match account.sealed {
        0 => format!("  {pages} and {pictures}"),
        sealed => format!("  {pages}, {pictures} and {}", count(sealed, "sealed file")),
    });
    say(&format!(
        "  {} new, {} changed, {} gone, {} as before",
        changes.added.len(),
        changes.changed.len(),
        changes.removed.len(),
        changes.unchanged
    ));
}

fn foot(account: &Account, out: &Path) {
    if let Some(tally) = &account.tally {
        say(&format!("  {tally}, listed above"));
    }
    say(&format!("Look at it: {}", shown(&out.join("index.html"))));
}

fn news_and_kept(pass: &Pass, changes: &Changes) {
    for line in news(&pass.site, changes) {
        say(&format!("    {line}"));
    }
    let held = |part: &&Spoilt| pass.site.held.values().any(|held| held == *part);
    let kept: Vec<Spoilt> = pass.site.kept.iter().filter(|part| !held(part)).cloned().collect();
    if !changes.kept.is_empty() && !kept.is_empty() {
        say(&format!("  left as it was, until it is mended: {}", as_it_was(&kept, &changes.kept_since)));
        let photos = changes.kept.iter().filter(|path| is_picture(path)).count();
        if photos > 0 {
            say(&format!(
                "    (with {} from the last good pass, still to be seen)",
                count(photos, "picture")
            ));
        }
    }
}

/// What is new, changed or gone, by what it belongs to; nothing on the first pass, when all is new.
fn news(site: &Site, changes: &Changes) -> Vec<String> {
    if changes.unchanged == 0 && changes.changed.is_empty() {
        return Vec::new();
    }
    let mut by_part: BTreeMap<(String, &str), usize> = BTreeMap::new();
    let mut add = |paths: &[String], how: &'static str| {
        for path in paths {
            let owner = site.files.get(path).map(|piece| &piece.owner);
            let whose = match owner {
                Some(Owner::Part(of)) => of.words(),
                Some(Owner::Shop) => path.clone(),
                None => path.rsplit_once('/').map_or(path.as_str(), |(folder, _)| folder).to_owned(),
            };
            *by_part.entry((whose, how)).or_default() += 1;
        }
    };
    add(&changes.added, "new");
    add(&changes.changed, "changed");
    add(&changes.removed, "gone");
    let mut lines: Vec<String> = by_part
        .into_iter()
        .map(|((whose, how), n)| format!("{how}: {whose} ({})", count(n, "file")))
        .collect();
    if lines.len() > LINES {
        let more = lines.len() - LINES;
        lines.truncate(LINES);
        lines.push(format!("and {more} more"));
    }
    lines
}

/// `job 26-041 (since 2026-05-20), page prices`.
pub fn as_it_was(kept: &[Spoilt], since: &BTreeMap<Spoilt, Day>) -> String {
    let one = |part: &Spoilt| match since.get(&part.folded()) {
        Some(day) => format!("{} (since {day})", part.words()),
        None => part.words(),
    };
    kept.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn is_picture(path: &str) -> bool {
    [".jpg", ".webp", ".avif", ".png"].iter().any(|ending| path.ends_with(ending))
}

/// The path as the owner can open it from anywhere.
fn shown(path: &Path) -> String {
    std::fs::canonicalize(path)
        .or_else(|_| std::path::absolute(path))
        .unwrap_or_else(|_| path.to_owned())
        .display()
        .to_string()
}
