//! How often a shown likely day jumps by more than ten days from one week to the next though the piece itself
//! did not move.

use crate::truth;
use benchlight::door::base::day::Day;
use benchlight::door::work::calendar::bench::monday_of;
use benchlight::door::work::estimate::past::Estimator;
use benchlight::door::work::view::DayView;
use rayon::prelude::*;
use std::collections::BTreeMap;

const WEEKS: u32 = 26;

pub fn report(kinds: &[truth::Kind], seeds: std::ops::Range<u64>) {
    let (mut all_jumps, mut all_weeks) = (0, 0);
    for kind in kinds {
        let counts: Vec<(usize, usize)> =
            seeds.clone().into_par_iter().map(|seed| jumps(kind, seed)).collect();
        let (jumps, weeks) = counts.iter().fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
        println!("{:<20} {:>5.1} % of {weeks} weeks", kind.name, 100.0 * jumps as f64 / weeks as f64);
        (all_jumps, all_weeks) = (all_jumps + jumps, all_weeks + weeks);
    }
    println!("{:<20} {:>5.1} % of {all_weeks} weeks", "all", 100.0 * all_jumps as f64 / all_weeks as f64);
}

/// Weeks in which it jumped, and weeks looked at.
fn jumps(kind: &truth::Kind, seed: u64) -> (usize, usize) {
    let shop = truth::shop(kind, seed);
    let mut estimator = Estimator::new(&shop.facts, 600);
    let first = monday_of(shop.first_asked.plus(97));
    let mut last: BTreeMap<usize, Day> = BTreeMap::new();
    let (mut jumps, mut weeks) = (0, 0);
    for monday in (0..WEEKS).map(|n| first.plus(7 * n)) {
        let view = DayView::on(&shop.facts, monday);
        let mut now = BTreeMap::new();
        for (open, window) in view.open().zip(estimator.windows(&view)) {
            let likely = monday.plus(u32::from(window.days[1]));
            if let Some(before) = last.get(&open.piece).filter(|_| monday.since(open.moved) >= 7) {
                weeks += 1;
                jumps += usize::from(likely.since(*before).abs() > 10);
            }
            now.insert(open.piece, likely);
        }
        last = now;
    }
    (jumps, weeks)
}
