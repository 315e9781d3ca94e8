//! The facts as they were known on a day: for each piece, how each of its steps stood.
//!
//! The rules are those of the private page (`work::state`): a reached step implies every step that it needs,
//! a sent one too, and `collected` implies all; what is dated later is not known.

use super::facts::{Facts, Piece, RoutePlan, WorkPlan};
use crate::base::day::Day;

/// The shop as it stood.
#[derive(Clone, Debug)]
pub struct View {
    pub day: Day,
    /// One for each piece of the facts that was there already, in their order.
    pub pieces: Vec<PieceView>,
}

/// A piece as it stood.
#[derive(Clone, Debug)]
pub struct PieceView {
    /// Its place in `Facts::pieces`.
    pub piece: usize,
    pub steps: Vec<Stand>,
    /// The day on which it was ready, if it was.
    pub ready: Option<Day>,
    /// The day that its place in line counts from, if it had one.
    pub in_line: Option<Day>,
    /// Steps still to be done that wait for more than other steps, met or not.
    pub gated: Vec<usize>,
    /// The last day on which anything was written down about it.
    pub moved: Day,
}

/// How a step stood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    /// Over; `exact` where its own day was written down.
    Over {
        day: Day,
        exact: bool,
        began: Day,
    },
    /// At the partner since then.
    Sent {
        since: Day,
    },
    /// All that it needs is there since then.
    Open {
        since: Day,
    },
    /// All steps before it are over and a gate is not met; since when it could have been open otherwise.
    Held {
        since: Day,
    },
    Ahead,
}

impl View {
    /// What was known at the end of `day`.
    pub fn on(facts: &Facts, day: Day) -> View {
        let there = facts.pieces.iter().enumerate().filter(|(_, piece)| piece.taken_in <= day);
        let pieces = there.filter_map(|(at, piece)| {
            let route = facts.routes.get(piece.route)?;
            (piece.steps.len() == route.steps.len()).then(|| piece_view(at, piece, route, day))
        });
        View { day, pieces: pieces.collect() }
    }

    /// A piece by its place in the facts.
    pub fn piece(&self, piece: usize) -> Option<&PieceView> {
        self.pieces.binary_search_by_key(&piece, |p| p.piece).ok().and_then(|at| self.pieces.get(at))
    }

    /// The pieces that were not ready yet.
    pub fn open(&self) -> impl Iterator<Item = &PieceView> {
        self.pieces.iter().filter(|piece| piece.ready.is_none())
    }
}

fn piece_view(at: usize, piece: &Piece, route: &RoutePlan, day: Day) -> PieceView {
    let known = |fact: Option<Day>| fact.filter(|d| *d <= day);
    let over = over_days(piece, route, &known);
    let mut steps = Vec::with_capacity(over.len());
    let mut moved = piece.taken_in;
    for ((plan, own), ended) in route.steps.iter().zip(&piece.steps).zip(&over) {
        let mut needed = plan.after.iter().map(|n| over.get(*n).copied().flatten());
        let behind = needed.try_fold(piece.taken_in, |since, d| Some(since.max(d?)));
        let gates = known(own.gates_met);
        let sent = known(own.sent).filter(|_| matches!(plan.work, WorkPlan::Away(_)));
        moved = [known(own.reached), sent, gates].into_iter().flatten().fold(moved, Day::max);
        steps.push(match (*ended, sent, behind) {
            (Some(day), _, _) => {
                let began = sent.or(behind.map(|b| gates.map_or(b, |g| g.max(b)))).unwrap_or(day);
                Stand::Over { day, exact: known(own.reached).is_some(), began: began.min(day) }
            }
            (None, Some(since), _) => Stand::Sent { since },
            (None, None, Some(since)) => match gates {
                Some(met) => Stand::Open { since: since.max(met) },
                None => Stand::Held { since },
            },
            (None, None, None) => Stand::Ahead,
        });
    }
    let in_line = known(piece.in_line);
    let collected = known(piece.collected);
    let ready = over.iter().try_fold(piece.taken_in, |last, d| d.map(|d| last.max(d)));
    let is_done = |stand: &Stand| matches!(stand, Stand::Over { .. } | Stand::Sent { .. });
    let each = steps.iter().zip(&route.steps).enumerate();
    let gated = each.filter(|(_, (s, plan))| plan.gated && !is_done(s)).map(|(at, _)| at).collect();
    PieceView {
        piece: at,
        steps,
        gated,
        ready,
        in_line,
        moved: moved.max(in_line.max(collected).unwrap_or(moved)),
    }
}

/// The day on which each step was over, written down or implied by a later one.
fn over_days(
    piece: &Piece,
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
