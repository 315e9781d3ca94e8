//! `make`: one full pass, content to `public/`, and a short account of it.

use super::Outcome;
use super::pass::{self, Memory, Photos};
use super::publish::{self, Hands};
use super::terminal::{Progress, say, tally, tell, tell_problems};
use crate::base::day::Day;
use crate::base::words::count;
use crate::model::seal::ENDING;
use crate::model::{Owner, Site, Spoilt};
use crate::write::{self, Changes, Unpublished};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// More lines than this about what changed are summed up.
const LINES: usize = 12;

/// Makes the site of the shop in `shop` into `out`, or into its `public`.
pub fn run(shop: &Path, as_of: Option<Day>, out: Option<&Path>) -> Outcome {
    let out = out.map_or_else(|| shop.join("public"), PathBuf::from);
    let progress = Progress::new("photos");
    let made = publish::run(
        shop,
        as_of,
        &out,
        Photos::Make,
        &Hands {
            waiting: &|| tell("Another Benchlight is at work on this shop; waiting for it."),
            progress: &|done, all| progress.at(done, all),
        },
        &mut Memory::default(),
    );
    match made {
        Ok((pass, changes)) => {
            tell_problems(&pass.problems);
            account(&pass, &changes, &out);
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

fn account(pass: &pass::Pass, changes: &Changes, out: &Path) {
    let pages = pass.site.files.keys().filter(|path| path.ends_with(".html")).count();
    let pictures = pass.site.files.keys().filter(|path| is_picture(path)).count();
    say(&format!("The site of {} as of {}:", pass.shop.studio.name, pass.today.day));
    say(&match pass.site.files.keys().filter(|path| path.ends_with(ENDING)).count() {
        0 => format!("  {} and {}", count(pages, "page"), count(pictures, "picture")),
        sealed => {
            let sealed = count(sealed, "sealed file");
            format!("  {}, {} and {sealed}", count(pages, "page"), count(pictures, "picture"))
        }
    });
    say(&format!(
        "  {} new, {} changed, {} gone, {} as before",
        changes.added.len(),
        changes.changed.len(),
        changes.removed.len(),
        changes.unchanged
    ));
    for line in news(&pass.site, changes) {
        say(&format!("    {line}"));
    }
    if !changes.kept.is_empty() {
        say(&format!(
            "  left as it was, until it is mended: {}",
            as_it_was(&pass.site.kept, &changes.kept_since)
        ));
        let photos = changes.kept.iter().filter(|path| is_picture(path)).count();
        if photos > 0 {
            say(&format!(
                "    (with {} from the last good pass, still to be seen)",
                count(photos, "picture")
            ));
        }
    }
    if let Some(tally) = tally(&pass.problems) {
        say(&format!("  {tally}, told above"));
    }
    say(&format!("Look at it: {}", shown(&out.join("index.html"))));
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
pub fn as_it_was(kept: &[Spoilt], since: &BTreeMap<String, String>) -> String {
    let one = |part: &Spoilt| match since.get(&write::part_word(part)) {
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
