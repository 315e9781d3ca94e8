//! Makes yesterday's estimates again and scores them: how often windows held, how wide they had to be for
//! it, how far off the likely day was; beside the three simple ways that a shop would use instead.
//!
//! The score of a window is that of Gneiting and Raftery, "Strictly Proper Scoring Rules, Prediction, and
//! Estimation", JASA 102, 2007: its width, and ten days for each day by which it was missed (80 % windows).

use super::estimate::past::Estimator;
use super::view::DayView;
use crate::base::day::Day;
use crate::model::Facts;

pub mod report;
mod simple;

/// One estimate and what came of it, in days from the day it was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Case {
    pub made: Day,
    pub piece: usize,
    pub soonest: f64,
    pub likely: f64,
    pub latest: f64,
    pub came: f64,
}

impl Case {
    pub fn held(&self) -> bool {
        self.soonest <= self.came && self.came <= self.latest
    }

    /// The interval score for an 80 % window.
    pub fn score(&self) -> f64 {
        let factor = 2.0 / 0.2;
        self.latest - self.soonest
            + factor * (self.soonest - self.came).max(0.0)
            + factor * (self.came - self.latest).max(0.0)
    }
}

/// The four ways, on the same pieces and days.
#[derive(Clone, Debug, Default)]
pub struct Replay {
    /// Ours.
    pub ours: Vec<Case>,
    /// Day in and how long the last 50 of that route took.
    pub turnaround: Vec<Case>,
    /// Pieces ahead and the recent rate.
    pub rate: Vec<Case>,
    /// The route's likely figures alone.
    pub path: Vec<Case>,
}

/// Horizons by the likely day: under 30 days, 30 to 120, over 120.
pub const HORIZONS: [(f64, f64); 3] = [(0.0, 30.0), (30.0, 120.0), (120.0, f64::INFINITY)];

/// What a set of cases comes to.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Summary {
    pub estimates: usize,
    /// Share of windows that held.
    pub held: f64,
    /// Mean interval score.
    pub score: f64,
    /// Median of how many days the likely day was off.
    pub off: f64,
}

/// Sums up; none where there is nothing.
pub fn summary<'a>(cases: impl Iterator<Item = &'a Case>) -> Option<Summary> {
    let cases: Vec<&Case> = cases.collect();
    let count = cases.len();
    let mut off: Vec<f64> = cases.iter().map(|c| (c.came - c.likely).abs()).collect();
    off.sort_by(f64::total_cmp);
    Some(Summary {
        estimates: count,
        held: cases.iter().filter(|c| c.held()).count() as f64 / count as f64,
        score: cases.iter().map(|c| c.score()).sum::<f64>() / count as f64,
        off: *off.get(count / 2)?,
    })
}

/// Makes the estimates of these days again, each from what was known by then. Pieces that are not ready yet
/// by `until` are left out: nobody knows.
pub fn replay(facts: &Facts, days: &[Day], until: Day, trials: usize) -> Replay {
    let mut estimator = Estimator::new(facts, trials);
    let now = DayView::on(facts, until);
    let mut replay = Replay::default();
    for day in days {
        let view = DayView::on(facts, *day);
        let windows = estimator.windows(&view);
        let simple = simple::Simple::on(facts, &view);
        for (open, window) in view.open().zip(windows) {
            let at = now.pieces.binary_search_by_key(&open.piece, |p| p.piece);
            let Some(ready) = at.ok().and_then(|at| now.pieces.get(at)).and_then(|p| p.ready) else {
                continue;
            };
            let came = ready.since(*day) as f64;
            let case = |days: [f64; 3]| Case {
                made: *day,
                piece: open.piece,
                soonest: days[0],
                likely: days[1],
                latest: days[2],
                came,
            };
            replay.ours.push(case(window.days.map(f64::from)));
            replay.turnaround.push(case(simple.turnaround(facts, open)));
            replay.rate.push(case(simple.rate(facts, open)));
            replay.path.push(case(simple.path(facts, open)));
        }
    }
    replay
}
