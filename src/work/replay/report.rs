//! The replay of a shop as a report: our way and the three simple ones, overall and by horizon, and the one
//! sentence that the owner may show.

use super::{Case, HORIZONS, Replay, Summary, replay, summary};
use crate::base::day::Day;
use crate::model::{Facts, PastHeld};
use crate::work::calendar::bench::monday_of;
use crate::work::estimate::held::held;
use crate::work::estimate::past::Estimator;
use serde::Serialize;

/// Estimates are made again every four weeks, for three years back at most.
const EVERY: u32 = 28;
const MOST: u32 = 39;
const TRIALS: usize = 300;

/// What the replay of a shop comes to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    pub as_of: Day,
    /// The days for which estimates were made again.
    pub days: Vec<Day>,
    /// Ours first.
    pub ways: Vec<Way>,
    /// Of the last so many pieces, how many were ready inside the window given three months before.
    pub sentence: Option<PastHeld>,
}

/// One way to estimate.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Way {
    pub way: &'static str,
    pub all: Option<Summary>,
    /// Under 30 days, 30 to 120, over 120, by the likely day that this program gave.
    pub horizons: [Option<Summary>; 3],
}

/// Replays a shop from its facts as known today.
pub fn report(facts: &Facts, today: Day) -> Report {
    let days = days(facts, today);
    let all = replay(facts, &days, today, TRIALS);
    let horizon_of: Vec<Option<usize>> = all
        .ours
        .iter()
        .map(|case| HORIZONS.iter().position(|(from, to)| (*from..*to).contains(&case.likely)))
        .collect();
    let way = |name, cases: &[Case]| Way {
        way: name,
        all: summary(cases.iter()),
        horizons: [0, 1, 2].map(|at| {
            let here = cases.iter().zip(&horizon_of).filter(|(_, h)| **h == Some(at));
            summary(here.map(|(case, _)| case))
        }),
    };
    let Replay { ours, turnaround, rate, path } = &all;
    let ways = vec![
        way("benchlight", ours),
        way("day in and how long the last 50 took", turnaround),
        way("pieces ahead by the recent rate", rate),
        way("likely figures without a queue", path),
    ];
    let sentence = held(&mut Estimator::new(facts, TRIALS), today);
    Report { as_of: today, sentence, days, ways }
}

/// Mondays from eight weeks after the first piece came in.
fn days(facts: &Facts, today: Day) -> Vec<Day> {
    let Some(first) = facts.pieces.iter().map(|p| p.taken_in).min() else { return Vec::new() };
    let monday = monday_of(today);
    let back = (1..=MOST).map(|n| monday.minus(n * EVERY)).take_while(|day| *day >= first.plus(56));
    let mut days: Vec<Day> = back.collect();
    days.reverse();
    days
}
