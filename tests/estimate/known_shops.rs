//! Invented shops whose truth is known, replayed: a small sample of what `cargo bench --bench calibration` reports
//! in full, with bounds wide enough for a sample of this size.

use crate::truth;
use benchlight::door::work::calendar::bench::monday_of;
use benchlight::door::work::replay::{Case, Replay, replay, summary};

fn replayed(kind: &truth::Kind, seed: u64) -> Replay {
    let shop = truth::shop(kind, seed);
    let first = monday_of(shop.first_asked.plus(6));
    let days: Vec<_> = (0..).map(|n| first.plus(56 * n)).take_while(|d| *d <= shop.last_asked).collect();
    replay(&shop.facts, &days, shop.end, 160)
}

#[test]
fn windows_hold_on_shops_that_are_not_as_the_engine_takes_them() {
    let mut ours: Vec<Case> = Vec::new();
    let mut simple: [Vec<Case>; 3] = Default::default();
    for (n, kind) in truth::TUNED.iter().enumerate() {
        let run = replayed(kind, 700 + n as u64);
        ours.extend(run.ours);
        for (all, more) in simple.iter_mut().zip([run.turnaround, run.rate, run.path]) {
            all.extend(more);
        }
    }
    let own = summary(ours.iter()).unwrap();
    assert!(own.estimates > 500, "{own:?}");
    assert!((0.68..=0.93).contains(&own.held), "{own:?}");
    let best = simple.iter().filter_map(|c| summary(c.iter())).map(|s| s.score).fold(f64::INFINITY, f64::min);
    assert!(own.score < 0.65 * best, "{own:?} against {best}");
}

#[test]
fn the_report_counts_its_sentence_from_its_own_windows() {
    let shop = truth::shop(&truth::TUNED[0], 701);
    let report = benchlight::door::work::replay::report::report(&shop.facts, shop.last_asked);
    let told = report.sentence.unwrap();
    assert!(told.held <= told.pieces && (30..=80).contains(&told.pieces), "{told:?}");
    assert_eq!(report.ways.len(), 4);
    let parts: usize = report.ways[0].horizons.iter().flatten().map(|s| s.estimates).sum();
    assert_eq!(parts, report.ways[0].all.unwrap().estimates);
    assert!(report.days.is_sorted() && report.days.last().unwrap() < &shop.last_asked);
}
