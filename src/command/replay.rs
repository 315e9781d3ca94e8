//! `replay`: makes yesterday's estimates again and says how well they held.

use super::Outcome;
use super::pass::{self, PassMode, ReadShop};
use super::terminal::{say, say_json, tell_problems};
use crate::base::day::Day;
use crate::base::words::count;
use crate::problem::Problems;
use crate::work;
use crate::work::replay::Summary;
use crate::work::replay::report::{Report, Way, report};
use std::path::Path;

/// Replays the shop and prints a table, or everything as JSON.
pub fn run(shop: &Path, as_of: Option<Day>, json: bool) -> Outcome {
    match replayed(shop, as_of) {
        Ok((report, problems)) => {
            if json {
                say_json(&report);
            } else {
                table(&report);
            }
            Outcome::of(&problems)
        }
        Err(problems) => {
            tell_problems(&problems);
            Outcome::CouldNot
        }
    }
}

fn replayed(folder: &Path, as_of: Option<Day>) -> Result<(Report, Problems), Problems> {
    super::is_shop(folder)?;
    let ReadShop { today, shop, mut problems } = pass::read_shop(folder, as_of, PassMode::LookOnly)?;
    let (facts, found) = work::facts(&shop, today);
    problems.extend(found);
    Ok((report(&facts, today.day), problems))
}

fn table(report: &Report) {
    let (Some(first), Some(last)) = (report.days.first(), report.days.last()) else {
        return say(
            "There is not enough past yet to replay: it needs pieces that came in more than eight weeks ago.",
        );
    };
    say(&format!("Estimates made again for {} from {first} to {last}:", count(report.days.len(), "day")));
    say(&format!("{:<40}{:>10}{:>10}{:>10}{:>10}", "", "windows", "held", "score", "days off"));
    for way in &report.ways {
        way_lines(way);
    }
    if let Some(told) = report.sentence {
        say(&format!(
            "Of our last {}, {} were ready inside the window we gave three months before.",
            count(told.pieces, "piece"),
            told.held
        ));
    }
    say("A window is meant to hold 8 times in 10. The score is its width in days, and ten days for each day");
    say("by which it was missed: less is better. Days off: the median distance from the likely day.");
}

fn way_lines(way: &Way) {
    let line = |name: &str, sum: &Summary| {
        say(&format!(
            "{name:<40}{:>10}{:>9.0}%{:>10.0}{:>10.0}",
            sum.estimates,
            100.0 * sum.held,
            sum.score,
            sum.off
        ));
    };
    if let Some(all) = &way.all {
        line(way.way, all);
    }
    let names = ["    under 30 days ahead", "    30 to 120 days ahead", "    over 120 days ahead"];
    for (name, sum) in names.iter().zip(&way.horizons) {
        if let Some(sum) = sum {
            line(name, sum);
        }
    }
}
