//! The line at the bench as it stands on a day: who comes before whom, and how much is left to do on each.

use super::pert;
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::{Facts, StepState, StepWork};
use crate::work::view::{DayView, PieceOnDay};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Open pieces in the order in which the bench takes them.
#[derive(Debug)]
pub struct Line(Vec<InLine>);

#[derive(Debug)]
struct InLine {
    piece: usize,
    taken_in: Day,
    /// Minutes that the bench has left to do on it, by the owner's figures.
    left: f64,
}

/// How a piece stands in line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Place {
    /// What is left to do on the piece itself.
    pub own: Minutes,
    /// What is left to do on those before it.
    pub before: Minutes,
    /// Those before it with something left to do, by the month they were taken in, oldest first.
    pub months: Vec<(Day, usize)>,
}

impl Line {
    pub fn of(facts: &Facts, view: &DayView) -> Line {
        let mut order: Vec<_> = view.open().enumerate().collect();
        let rush = |open: &PieceOnDay| facts.pieces.get(open.piece).is_some_and(|p| p.rush);
        order.sort_by_key(|(place, open)| (!rush(open), open.in_line.unwrap_or(view.day), *place));
        let in_line = |(_, open): (usize, &PieceOnDay)| InLine {
            piece: open.piece,
            taken_in: facts.pieces.get(open.piece).map_or(view.day, |p| p.taken_in),
            left: minutes_left(facts, open),
        };
        Line(order.into_iter().map(in_line).collect())
    }

    /// Where a piece stands; nothing is before one that is not in line.
    pub fn place(&self, piece: usize) -> Place {
        let Some(at) = self.0.iter().position(|one| one.piece == piece) else { return Place::default() };
        let (ahead, behind) = self.0.split_at(at);
        let mut months: BTreeMap<Day, usize> = BTreeMap::new();
        for one in ahead.iter().filter(|one| one.left > 0.0) {
            *months.entry(one.taken_in.first_of_month()).or_default() += 1;
        }
        let minutes = |sum: f64| Minutes(sum.round() as u32);
        Place {
            own: minutes(behind.first().map_or(0.0, |one| one.left)),
            before: minutes(ahead.iter().map(|one| one.left).sum()),
            months: months.into_iter().collect(),
        }
    }
}

fn minutes_left(facts: &Facts, open: &PieceOnDay) -> f64 {
    let route = facts.pieces.get(open.piece).and_then(|p| facts.routes.get(p.route));
    let steps = route.map(|r| r.steps.as_slice()).unwrap_or_default();
    let left = steps.iter().zip(&open.steps).filter(|(_, stand)| !matches!(stand, StepState::Reached { .. }));
    left.map(|(step, _)| match step.work {
        StepWork::Bench(figures) => pert::mean(figures),
        StepWork::Rest(_) | StepWork::Away { .. } => 0.0,
    })
    .sum()
}
