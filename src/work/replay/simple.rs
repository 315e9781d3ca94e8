//! What a shop would do instead: three simple ways to give a window.

use crate::model::{Facts, StepState, StepWork};
use crate::work::view::{DayView, PieceOnDay};
/// What the simple ways know on a day.
pub(super) struct Simple<'a> {
    view: &'a DayView,
    /// Days from day in to ready of the last 50 finished pieces, by route, and of all routes last.
    took: Vec<Vec<f64>>,
    /// Pieces finished per day over the last 90 days.
    rate: f64,
}

const LAST: usize = 50;

impl<'a> Simple<'a> {
    pub fn on(facts: &Facts, view: &'a DayView) -> Simple<'a> {
        let mut finished: Vec<_> =
            view.pieces.iter().filter_map(|p| p.ready.map(|ready| (ready, p))).collect();
        finished.sort_by_key(|(ready, p)| (*ready, p.piece));
        let mut took = vec![Vec::new(); facts.routes.len() + 1];
        for (ready, own) in finished.iter().rev() {
            let Some(piece) = facts.pieces.get(own.piece) else { continue };
            let days = ready.since(piece.taken_in) as f64;
            for at in [piece.route, facts.routes.len()] {
                if let Some(list) = took.get_mut(at).filter(|list| list.len() < LAST) {
                    list.push(days);
                }
            }
        }
        took.iter_mut().for_each(|list| list.sort_by(f64::total_cmp));
        let recent = finished.iter().filter(|(ready, _)| view.day.since(*ready) < 90).count();
        Simple { view, took, rate: recent as f64 / 90.0 }
    }

    /// (a) Day in and quantiles of the last 50 of that route; of all routes while there are fewer than five.
    pub fn turnaround(&self, facts: &Facts, open: &PieceOnDay) -> [f64; 3] {
        let Some(piece) = facts.pieces.get(open.piece) else { return [0.0; 3] };
        let own = self.took.get(piece.route).filter(|list| list.len() >= 5).or(self.took.last());
        let Some(list) = own.filter(|list| list.len() >= 5) else { return self.path(facts, open) };
        let age = self.view.day.since(piece.taken_in) as f64;
        [0.1, 0.5, 0.9].map(|p| {
            let at = ((list.len() - 1) as f64 * p).round() as usize;
            (list.get(at).copied().unwrap_or(0.0) - age).max(0.0)
        })
    }

    /// (b) Pieces ahead divided by the recent rate, 25 % to either side.
    pub fn rate(&self, facts: &Facts, open: &PieceOnDay) -> [f64; 3] {
        if self.rate <= 0.0 {
            return self.path(facts, open);
        }
        let place = |p: &PieceOnDay| {
            let rush = facts.pieces.get(p.piece).is_some_and(|f| f.rush);
            (!rush, p.in_line.unwrap_or(self.view.day), p.piece)
        };
        let own = place(open);
        let ahead = self.view.open().filter(|p| place(p) <= own).count();
        let days = ahead as f64 / self.rate;
        [0.75 * days, days, 1.25 * days]
    }

    /// (c) The longest way through the steps that are left, by the owner's figures, without any queue; bench
    /// hours at the shop's hours a week.
    pub fn path(&self, facts: &Facts, open: &PieceOnDay) -> [f64; 3] {
        let Some(route) = facts.pieces.get(open.piece).and_then(|p| facts.routes.get(p.route)) else {
            return [0.0; 3];
        };
        let week: u32 = facts.hours.iter().map(|m| m.0).sum();
        let per_minute = 7.0 / f64::from(week.max(1));
        let mut longest: Vec<[f64; 3]> = Vec::with_capacity(route.steps.len());
        for (step, stand) in route.steps.iter().zip(&open.steps) {
            let before = step
                .after
                .iter()
                .filter_map(|at| longest.get(*at))
                .fold([0.0f64; 3], |a, b| [a[0].max(b[0]), a[1].max(b[1]), a[2].max(b[2])]);
            let (figures, unit) = match step.work {
                StepWork::Bench(time) => (Some(time.map(u32::from)), per_minute),
                StepWork::Rest(days) => (Some(days), 1.0),
                StepWork::Away { partner } => (facts.partners.get(partner).map(|p| p.days), 1.0),
            };
            let gone = match stand {
                StepState::Reached { .. } => None,
                StepState::Sent { since } => Some(self.view.day.since(*since) as f64),
                StepState::Open { since } if step.work.kind().is_rest() => {
                    Some(self.view.day.since(*since) as f64)
                }
                _ => Some(0.0),
            };
            let own = match (gone, figures) {
                (Some(gone), Some(f)) => {
                    [f.least, f.likely, f.most].map(|x| (f64::from(x) * unit - gone).max(0.0))
                }
                _ => [0.0; 3],
            };
            longest.push([before[0] + own[0], before[1] + own[1], before[2] + own[2]]);
        }
        longest.iter().fold([0.0; 3], |a, b| [a[0].max(b[0]), a[1].max(b[1]), a[2].max(b[2])])
    }
}
