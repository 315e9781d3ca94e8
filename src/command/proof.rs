//! `proof`: reads and checks everything, and writes nothing. Photos are looked at but not decoded, so
//! that it stays quick: one that is cut off in the middle is found by `make`.

use super::Outcome;
use super::make::as_it_was;
use super::pass::{self, Memory, Photos};
use super::terminal::{say, tally, tell_problems};
use crate::base::day::Day;
use crate::base::words::count;
use crate::problem::{Problems, print};
use crate::write;
use std::path::Path;

/// Checks the shop and tells what was found, in words or as JSON.
pub fn run(shop: &Path, as_of: Option<Day>, json: bool) -> Outcome {
    let checked = super::is_shop(shop)
        .and_then(|()| pass::run(shop, as_of, Photos::LookOnly, &|_, _| {}, &mut Memory::default()));
    let (found, problems) = match checked {
        Ok(mut pass) => {
            let found = std::mem::take(&mut pass.problems);
            let posting = super::post::proof(shop, &pass.shop.studio, &pass.shop.key);
            (Some(pass), found.into_iter().chain(posting).collect::<Problems>().sorted())
        }
        Err(problems) => (None, problems),
    };
    let outcome = Outcome::of(&problems);
    if json {
        say(&as_json(outcome, &problems));
        return outcome;
    }
    tell_problems(&problems);
    let mut kept = None;
    if let Some(pass) = found {
        kept = still_shown(shop, &pass);
        say(&format!(
            "{} as of {}: {}, {}, {}, {} read.",
            pass.shop.studio.name,
            pass.today.day,
            count(pass.shop.jobs.len(), "job"),
            count(pass.shop.routes.len(), "route"),
            count(pass.shop.poses.len(), "pose"),
            count(pass.shop.pages.len(), "page"),
        ));
    }
    if let Some(kept) = kept {
        say(&format!("On the site as it was, until it is mended: {kept}."));
    }
    say(&tally(&problems).map_or("Nothing needs mending.".to_owned(), |tally| format!("Found: {tally}.")));
    outcome
}

/// What of the broken parts has a last good page on the site, and since when it stays.
fn still_shown(shop: &Path, pass: &pass::Pass) -> Option<String> {
    let since = write::kept_since(&shop.join("public"), shop);
    let mut kept = pass.site.kept.clone();
    kept.retain(|part| since.contains_key(&write::part_word(part)));
    (!kept.is_empty()).then(|| as_it_was(&kept, &since))
}

fn as_json(outcome: Outcome, problems: &Problems) -> String {
    let answer = serde_json::json!({ "exit": outcome as u8, "problems": print::json(problems) });
    serde_json::to_string_pretty(&answer).unwrap_or_default()
}
