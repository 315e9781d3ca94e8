//! How windows hold on invented shops: coverage, interval score against the best of the three simple ways, by
//! horizon, by kind of shop.

use crate::truth;
use benchlight::door::work::calendar::bench::monday_of;
use benchlight::door::work::replay::{Case, HORIZONS, Replay, replay, summary};
use rayon::prelude::*;

/// Replays shops of these kinds, with these seeds each.
pub fn report(kinds: &[truth::Kind], seeds: std::ops::Range<u64>) {
    println!(
        "{:<20} {:>6} {:>5} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6} {:>5}   held <30 days, 30-120, >120",
        "kind of shop", "n", "held", "before", "score", "(a)", "(b)", "(c)", "ratio", "off"
    );
    let mut all = Replay::default();
    let mut ratios: Vec<f64> = Vec::new();
    for kind in kinds {
        let runs: Vec<Replay> = seeds.clone().into_par_iter().map(|seed| one(kind, seed)).collect();
        let mut of_kind = Replay::default();
        ratios.extend(runs.iter().filter_map(ratio));
        runs.into_iter().for_each(|run| add(&mut of_kind, run));
        line(kind.name, &of_kind);
        add(&mut all, of_kind);
    }
    line("all", &all);
    ratios.sort_by(f64::total_cmp);
    let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
    let at = |p: f64| ratios[((ratios.len() - 1) as f64 * p) as usize];
    println!(
        "score against the best simple way of the same shop: mean {mean:.2}, median {:.2}, worst {:.2}, {} shops",
        at(0.5),
        at(1.0),
        ratios.len()
    );
}

fn one(kind: &truth::Kind, seed: u64) -> Replay {
    let shop = truth::shop(kind, seed);
    let first = monday_of(shop.first_asked.plus(6));
    let days: Vec<_> = (0..).map(|n| first.plus(28 * n)).take_while(|day| *day <= shop.last_asked).collect();
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
    let best =
        [&all.turnaround, &all.rate, &all.path].into_iter().filter_map(|c| score(c)).reduce(f64::min)?;
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
        "{:<20} {:>6} {:>5.2} {:>6.2} {:>6.0} {:>6.0} {:>6.0} {:>6.0} {:>6.2} {:>5.0}   {}",
        name,
        ours.estimates,
        ours.held,
        below,
        ours.score,
        a.score,
        b.score,
        c.score,
        ours.score / best,
        ours.off,
        horizons.join("   ")
    );
}
