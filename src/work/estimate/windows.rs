//! Many trials of the open queue, and what they say of each piece.

use super::choose::{Answer, Asked, Asking};
use super::learn::{Figures, Learned, arrivals};
use super::plan::{Newcomer, Plan};
use super::trial::Scratch;
use crate::model::Facts;
use crate::work::view::DayView;
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
pub fn simulate(facts: &Facts, figures: &Figures, view: &DayView, trials: usize) -> Vec<Raw> {
    simulate_with(facts, view, &Learned::from(facts, figures, view), trials)
}

/// Windows from so many trials, and from the first few of them the answers to what is asked of some pieces.
pub(super) fn simulate_and_answer(
    facts: &Facts,
    view: &DayView,
    learned: &Learned,
    asked: &[Asked],
    (trials, few): (usize, usize),
) -> (Vec<Raw>, Vec<Answer>) {
    let coming = arrivals::expected(facts, view, learned);
    let plan = Plan::new(facts, view, learned, &coming);
    let asking = Asking::of(&plan, asked);
    let look = |played: &Scratch, trial: usize| (trial < few).then(|| asking.look(played));
    let (finished, seen) = finished_seen(&plan, trials, look);
    let answers = asking.answers(seen.into_iter().flatten().collect());
    let raw = view.open().zip(finished).map(|(open, days)| Raw { piece: open.piece, days: quantiles(days) });
    (raw.collect(), answers)
}

/// The same as `simulate` with what was learned on the view's day.
pub(super) fn simulate_with(facts: &Facts, view: &DayView, learned: &Learned, trials: usize) -> Vec<Raw> {
    simulate_and_answer(facts, view, learned, &[], (trials, 0)).0
}

/// For each real piece of a plan the day on which it was ready in each trial.
pub fn finished(plan: &Plan<'_>, trials: usize) -> Vec<Vec<u16>> {
    finished_seen(plan, trials, |_, _| ()).0
}

/// The same, and what was seen of each trial when it was over.
pub(super) fn finished_seen<T: Send>(
    plan: &Plan<'_>,
    trials: usize,
    see: impl Fn(&Scratch, usize) -> T + Sync,
) -> (Vec<Vec<u16>>, Vec<T>) {
    // Chunks of a fixed size: what a trial gives does not depend on who plays it.
    let chunks: Vec<(Vec<u16>, Vec<T>)> = (0..trials.div_ceil(CHUNK))
        .into_par_iter()
        .map_init(
            || Scratch::new(plan),
            |scratch, chunk| {
                let (mut days, mut seen) = (Vec::with_capacity(plan.real * CHUNK), Vec::new());
                for trial in chunk * CHUNK..((chunk + 1) * CHUNK).min(trials) {
                    scratch.play(plan, trial as u64);
                    days.extend_from_slice(&scratch.finished[..plan.real]);
                    seen.push(see(scratch, trial));
                }
                (days, seen)
            },
        )
        .collect();
    let (chunks, seen): (Vec<Vec<u16>>, Vec<Vec<T>>) = chunks.into_iter().unzip();
    let column = |piece: usize| {
        chunks.iter().flat_map(move |days| days.iter().skip(piece).step_by(plan.real)).copied().collect()
    };
    let finished = (0..plan.real).into_par_iter().map(column).collect();
    (finished, seen.into_iter().flatten().collect())
}

const CHUNK: usize = 16;

/// The 10, 50 and 90 percent quantiles.
fn quantiles(mut days: Vec<u16>) -> [u16; 3] {
    days.sort_unstable();
    let at = |percent: usize| days.get(days.len() * percent / 100).copied().unwrap_or(0);
    [at(10), at(50), at(90)]
}

/// Windows for a piece of each route that is brought in today, ready for the bench at once.
pub fn brought_in_today(facts: &Facts, view: &DayView, learned: &Learned, trials: usize) -> Vec<[u16; 3]> {
    let coming = arrivals::expected(facts, view, learned);
    let each = (0..facts.routes.len()).map(|route| {
        let one = Newcomer { key: route as u64 + 1, route, rush: false, arrives: 0, brief: false };
        let mut extra = vec![one];
        extra.extend(coming.iter().copied());
        let mut plan = Plan::new(facts, view, learned, &extra);
        // The newcomer counts as real: its place is the first behind the open ones.
        plan.real += 1;
        finished(&plan, trials).pop().map_or([0; 3], quantiles)
    });
    each.collect()
}
