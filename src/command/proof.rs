//! `proof`: reads and checks everything, and writes nothing. Photos are looked at but not decoded, so
//! that it stays quick: one that is cut off in the middle is found by `make`.

use super::Outcome;
use super::make::as_it_was;
use super::pass::{self, Drafted};
use super::terminal::{say, say_json, tally, tell_problems};
use crate::base::day::Day;
use crate::base::words::count;
use crate::model::Spoilt;
use crate::problem::{Problems, print};
use crate::write;
use std::collections::BTreeMap;
use std::path::Path;

/// Checks the shop and tells what was found, in words or as JSON.
pub fn run(shop: &Path, as_of: Option<Day>, json: bool) -> Outcome {
    let checked = super::is_shop(shop)
        .and_then(|()| pass::begin(shop, as_of))
        .and_then(|begun| pass::looked(shop, begun));
    let (found, problems) = match checked {
        Ok(mut pass) => {
            let found = std::mem::take(&mut pass.problems);
            let posting = super::post::proof(&pass.shop.studio);
            (Some(pass), found.into_iter().chain(posting).collect::<Problems>().sorted())
        }
        Err(problems) => (None, problems),
    };
    let outcome = Outcome::of(&problems);
    let (kept, since) = found.as_ref().map(|pass| still_shown(shop, pass)).unwrap_or_default();
    if json {
        say_json(&as_json(outcome, &problems, &kept, &since));
        return outcome;
    }
    tell_problems(&problems);
    if let Some(pass) = found {
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
    if !kept.is_empty() {
        say(&format!("On the site as it was, until it is mended: {}.", as_it_was(&kept, &since)));
    }
    say(&tally(&problems).map_or("Nothing needs mending.".to_owned(), |tally| format!("Found: {tally}.")));
    outcome
}

/// What of the broken parts has a last good page on the site, and since when each stays, by its words.
fn still_shown(shop: &Path, pass: &Drafted) -> (Vec<Spoilt>, BTreeMap<Spoilt, Day>) {
    let since = write::kept_since(&shop.join("public"), shop);
    let mut kept = pass.site.kept.clone();
    kept.retain(|part| since.contains_key(&part.folded()));
    (kept, since)
}

fn as_json(
    outcome: Outcome,
    problems: &Problems,
    kept: &[Spoilt],
    since: &BTreeMap<Spoilt, Day>,
) -> serde_json::Value {
    let last_good = |part: &Spoilt| {
        let part = part.folded();
        serde_json::json!({ "part": part.words(), "since": since.get(&part) })
    };
    let last_good: Vec<serde_json::Value> = kept.iter().map(last_good).collect();
    serde_json::json!({
        "exit": outcome as u8, "problems": print::json(problems), "last_good": last_good
    })
}
