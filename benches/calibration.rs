//! How estimates hold on invented shops: coverage, interval score against the three simple ways, by horizon.
//!
//! `cargo bench --bench calibration -- tuned 6` looks at the kinds that were looked at while building, with six
//! seeds each; `held-out` at the others.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a report")]

#[path = "../tests/truth/mod.rs"]
mod truth;

use benchlight::work::calendar::bench::monday_of;
use benchlight::work::replay::{Case, HORIZONS, Replay, replay, summary};
use rayon::prelude::*;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let which = args.first().map_or("tuned", String::as_str);
    let seeds: u64 = args.get(1).and_then(|a| a.parse().ok()).unwrap_or(4);
    let first: u64 = args.get(2).and_then(|a| a.parse().ok()).unwrap_or(1);
    let kinds = if which == "held-out" { &truth::HELD_OUT } else { &truth::TUNED };
    let mut all = Replay::default();
    let mut helds: Vec<f64> = Vec::new();
    let mut all_ratios: Vec<f64> = Vec::new();
    println!("{:<20} {:>6} {:>5} {:>5} {:>6} {:>6} {:>6} {:>6} {:>6} {:>5} {:>5}   <30   30-120   >120", "kind", "n", "held", "below", "ours", "a", "b", "c", "ratio", "off", "off-a");
    for kind in kinds {
        let runs: Vec<Replay> = (first..first + seeds).into_par_iter().map(|seed| one(kind, seed)).collect();
        let mut ratios: Vec<f64> = runs.iter().filter_map(ratio).collect();
        ratios.sort_by(f64::total_cmp);
        all_ratios.extend(&ratios);
        let shops: Vec<String> = ratios.iter().map(|r| format!("{r:.2}")).collect();
        let mut kind_all = Replay::default();
        runs.into_iter().for_each(|run| add(&mut kind_all, run));
        helds.push(summary(kind_all.ours.iter()).unwrap().held);
        line(kind.name, &kind_all);
        println!("    each shop: {}", shops.join(" "));
        add(&mut all, kind_all);
    }
    line("all", &all);
    print!("    held by kind:");
    for h in &helds { print!(" {h:.2}"); }
    println!();
    let mean = all_ratios.iter().sum::<f64>() / all_ratios.len() as f64;
    println!("    mean ratio of {} shops: {mean:.3}", all_ratios.len());
}

fn one(kind: &truth::Kind, seed: u64) -> Replay {
    let shop = truth::shop(kind, seed);
    let first = monday_of(shop.first_asked.plus(6));
    let days: Vec<_> =
        (0..).map(|n| first.plus(28 * n)).take_while(|day| *day <= shop.last_asked).collect();
    replay(&shop.facts, &days, shop.end, 300)
}

fn add(to: &mut Replay, from: Replay) {
    to.ours.extend(from.ours);
    to.turnaround.extend(from.turnaround);
    to.rate.extend(from.rate);
    to.path.extend(from.path);
}

/// Our score against the best of the simple ways on the same shop.
fn ratio(all: &Replay) -> Option<f64> {
    let score = |cases: &[Case]| summary(cases.iter()).map(|s| s.score);
    let best = [&all.turnaround, &all.rate, &all.path].into_iter().filter_map(|c| score(c)).reduce(f64::min)?;
    Some(score(&all.ours)? / best)
}

fn line(name: &str, all: &Replay) {
    let of = |cases: &[Case]| summary(cases.iter());
    let (Some(ours), Some(a), Some(b), Some(c)) =
        (of(&all.ours), of(&all.turnaround), of(&all.rate), of(&all.path))
    else {
        return println!("{name}: nothing");
    };
    let best = a.score.min(b.score).min(c.score);
    let below = all.ours.iter().filter(|c| c.came < c.soonest).count() as f64 / all.ours.len() as f64;
    let horizons: Vec<String> = HORIZONS
        .iter()
        .map(|(from, to)| {
            let some = summary(all.ours.iter().filter(|c| (*from..*to).contains(&c.likely)));
            some.map_or("-".to_owned(), |s| format!("{:.2} ({})", s.held, s.estimates))
        })
        .collect();
    println!(
        "{name:<20} {:>6} {:>5.2} {:>5.2} {:>6.0} {:>6.0} {:>6.0} {:>6.0} {:>6.2} {:>5.0} {:>5.0}   {}",
        ours.estimates, ours.held, below, ours.score, a.score, b.score, c.score, ours.score / best, ours.off, a.off,
        horizons.join("   ")
    );
}
