//! Many trials of the open queue, and what they say of each piece.

use super::facts::Facts;
use super::learn::{Figures, Learned, arrivals};
use super::plan::{Newcomer, Plan};
use super::trial::Scratch;
use super::view::View;
use rayon::prelude::*;

/// What the trials say of one open piece, before anything is corrected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Raw {
    /// Its place in `Facts::pieces`.
    pub piece: usize,
    /// Days from the view's day: 10, 50 and 90 percent.
    pub days: [u16; 3],
}

/// Windows of all open pieces, in the view's order.
pub fn simulate(facts: &Facts, figures: &Figures, view: &View, trials: usize) -> Vec<Raw> {
    let learned = Learned::from(facts, figures, view);
    let coming = arrivals::expected(facts, view, &learned);
    let plan = Plan::new(facts, view, &learned, &coming);
    let finished = finished(&plan, trials);
    view.open().zip(finished).map(|(open, days)| Raw { piece: open.piece, days: quantiles(days) }).collect()
}

/// For each real piece of a plan the day on which it was ready in each trial.
pub fn finished(plan: &Plan<'_>, trials: usize) -> Vec<Vec<u16>> {
    // Chunks of a fixed size: what a trial gives does not depend on who plays it.
    let chunks: Vec<Vec<u16>> = (0..trials.div_ceil(CHUNK))
        .into_par_iter()
        .map_init(
            || Scratch::new(plan),
            |scratch, chunk| {
                let mut days = Vec::with_capacity(plan.real * CHUNK);
                for trial in chunk * CHUNK..((chunk + 1) * CHUNK).min(trials) {
                    scratch.play(plan, trial as u64);
                    days.extend_from_slice(&scratch.finished[..plan.real]);
                }
                days
            },
        )
        .collect();
    let column = |piece: usize| {
        chunks.iter().flat_map(move |days| days.iter().skip(piece).step_by(plan.real)).copied().collect()
    };
    (0..plan.real).into_par_iter().map(column).collect()
}

const CHUNK: usize = 16;

/// The 10, 50 and 90 percent quantiles.
fn quantiles(mut days: Vec<u16>) -> [u16; 3] {
    days.sort_unstable();
    let at = |percent: usize| days.get(days.len() * percent / 100).copied().unwrap_or(0);
    [at(10), at(50), at(90)]
}

/// Windows for a piece of each route that is brought in today, ready for the bench at once.
pub fn brought_in_today(facts: &Facts, figures: &Figures, view: &View, trials: usize) -> Vec<[u16; 3]> {
    let learned = Learned::from(facts, figures, view);
    let coming = arrivals::expected(facts, view, &learned);
    let each = (0..facts.routes.len()).map(|route| {
        let one = Newcomer { key: route as u64 + 1, route, rush: false, arrives: 0, brief: false };
        let mut extra = vec![one];
        extra.extend(coming.iter().copied());
        let mut plan = Plan::new(facts, view, &learned, &extra);
        // The newcomer counts as real: its place is the first behind the open ones.
        plan.real += 1;
        finished(&plan, trials).pop().map_or([0; 3], quantiles)
    });
    each.collect()
}
