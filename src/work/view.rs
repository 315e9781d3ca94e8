//! The shop as it stood on a day: how each step of each piece stood. The one place where that is decided, for the page of
//! today and for the thousands of past days that an estimate looks at: by index, without a string.
//!
//! A reached step implies every step that it needs, and theirs, on its own branch and on no other; so does an away step that was
//! sent, short of itself. `collected` implies all. What is dated later is not known. Whether the record contradicts itself is
//! `truth`'s question and is settled before.

use crate::base::day::Day;
use crate::model::{Facts, PieceFacts, RoutePlan, StepState};

/// The shop as it stood.
#[derive(Clone, Debug)]
pub struct DayView {
    pub day: Day,
    /// One for each piece of the facts that was there already, in their order.
    pub pieces: Vec<PieceOnDay>,
}

/// A piece as it stood.
#[derive(Clone, Debug)]
pub struct PieceOnDay {
    /// Its place in `Facts::pieces`.
    pub piece: usize,
    pub steps: Vec<StepState>,
    /// The day on which it was ready, if it was.
    pub ready: Option<Day>,
    /// The day that its place in line counts from, if it had one.
    pub in_line: Option<Day>,
    /// The last day on which anything was written down about it.
    pub moved: Day,
}

impl DayView {
    /// What was known at the end of `day`.
    pub fn on(facts: &Facts, day: Day) -> DayView {
        let there = facts.pieces.iter().enumerate().filter(|(_, piece)| piece.taken_in <= day);
        let pieces = there.filter_map(|(at, piece)| {
            let route = facts.routes.get(piece.route)?;
            (piece.steps.len() == route.steps.len()).then(|| piece_on(at, piece, route, day))
        });
        DayView { day, pieces: pieces.collect() }
    }

    /// A piece by its place in the facts.
    pub fn piece(&self, piece: usize) -> Option<&PieceOnDay> {
        self.pieces.binary_search_by_key(&piece, |p| p.piece).ok().and_then(|at| self.pieces.get(at))
    }

    /// The pieces that were not ready yet.
    pub fn open(&self) -> impl Iterator<Item = &PieceOnDay> {
        self.pieces.iter().filter(|piece| piece.ready.is_none())
    }
}

/// A piece as it stood at the end of `day`; `at` is its place in the facts.
pub(super) fn piece_on(at: usize, piece: &PieceFacts, route: &RoutePlan, day: Day) -> PieceOnDay {
    let known = |fact: Option<Day>| fact.filter(|d| *d <= day);
    let over = over_days(piece, route, &known);
    let mut steps = Vec::with_capacity(over.len());
    let mut moved = piece.taken_in;
    for ((plan, own), ended) in route.steps.iter().zip(&piece.steps).zip(&over) {
        let mut needed = plan.after.iter().map(|n| over.get(*n).copied().flatten());
        let behind = needed.try_fold(piece.taken_in, |since, d| Some(since.max(d?)));
        let gates = known(own.gates_met);
        let sent = known(own.sent).filter(|_| plan.work.kind().is_away());
        moved = [known(own.reached), sent, gates].into_iter().flatten().fold(moved, Day::max);
        steps.push(match (*ended, sent, behind) {
            (Some(day), _, _) => {
                let began = sent.or(behind.map(|b| gates.map_or(b, |g| g.max(b)))).unwrap_or(day);
                StepState::Reached { day, exact: known(own.reached).is_some(), began: began.min(day) }
            }
            (None, Some(since), _) => StepState::Sent { since },
            (None, None, Some(since)) => match gates {
                Some(met) => StepState::Open { since: since.max(met) },
                None => StepState::Held { since },
            },
            (None, None, None) => StepState::Ahead,
        });
    }
    let in_line = known(piece.in_line);
    let collected = known(piece.collected);
    // A route without steps is over at once.
    let ready = over.iter().try_fold(piece.taken_in, |last, d| d.map(|d| last.max(d)));
    PieceOnDay { piece: at, steps, ready, in_line, moved: moved.max(in_line.max(collected).unwrap_or(moved)) }
}

/// The day on which each step was over, written down or implied by a later one.
fn over_days(
    piece: &PieceFacts,
    route: &RoutePlan,
    known: &dyn Fn(Option<Day>) -> Option<Day>,
) -> Vec<Option<Day>> {
    let mut over: Vec<Option<Day>> = vec![known(piece.collected); route.steps.len()];
    let earliest = |a: Option<Day>, b: Option<Day>| a.into_iter().chain(b).min();
    for (at, (plan, own)) in route.steps.iter().zip(&piece.steps).enumerate().rev() {
        let implied = over.get(at).copied().flatten();
        let reached = known(own.reached);
        let tells = earliest(earliest(reached, implied), known(own.sent));
        for needed in &plan.after {
            if let Some(day) = over.get_mut(*needed) {
                *day = earliest(*day, tells);
            }
        }
        if let Some(day) = over.get_mut(at) {
            *day = reached.or(implied);
        }
    }
    over
}
