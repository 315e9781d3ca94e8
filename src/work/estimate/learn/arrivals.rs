//! Pieces that will come in while the open ones are worked on: those of a year ago once more, or as many as of
//! late where the record is shorter. They matter where they can get before a piece that is there:
//! where the line is not kept strictly, by rush, and to fill parcels. For the last a piece counts up to that parcel
//! alone: at a strict bench all else of it comes behind whatever is there.

use super::Learned;
use crate::model::{Facts, Parcels, RoutePlan, StepWork};
use crate::work::estimate::chance;
use crate::work::estimate::plan::Newcomer;
use crate::work::view::DayView;

/// Pieces are expected for so many days ahead.
const AHEAD: u32 = 540;

/// The pieces to expect, in the order of their coming.
pub fn expected(facts: &Facts, view: &DayView, learned: &Learned) -> Vec<Newcomer> {
    let fill: Vec<bool> = facts.routes.iter().map(|route| fills_parcels(facts, route)).collect();
    let strict = learned.loose == 0 && facts.hands == 1 && !facts.batches;
    let all = learned.loose > 0 || (!strict && fill.contains(&true));
    let mut ages: Vec<(u32, usize)> = Vec::new();
    for own in &view.pieces {
        let Some(piece) = facts.pieces.get(own.piece) else { continue };
        let age = u32::try_from(view.day.since(piece.taken_in)).unwrap_or(0);
        if all || piece.rush || fill.get(piece.route) == Some(&true) {
            ages.push((age, own.piece));
        }
    }
    let record = view.pieces.iter().filter_map(|p| facts.pieces.get(p.piece)).map(|p| p.taken_in).min();
    let span = record.map_or(0, |first| u32::try_from(view.day.since(first)).unwrap_or(0)).min(364);
    if span < 28 {
        return Vec::new();
    }
    let mut coming = Vec::new();
    for round in 0..AHEAD.div_ceil(span) {
        for (age, piece) in ages.iter().filter(|(age, _)| (1..=span).contains(age)) {
            let Some(like) = facts.pieces.get(*piece) else { continue };
            let arrives = round * span + (span - age) + 1;
            if arrives <= AHEAD {
                let key = chance::pair(like.key, 77 + u64::from(round));
                coming.push(Newcomer {
                    key,
                    route: like.route,
                    rush: like.rush,
                    arrives,
                    brief: !all && !like.rush,
                });
            }
        }
    }
    coming.sort_by_key(|new| (new.arrives, new.key));
    coming
}

/// Whether a piece of the route goes into a parcel that waits for others.
fn fills_parcels(facts: &Facts, route: &RoutePlan) -> bool {
    route.steps.iter().any(|step| waits_for_others(facts, &step.work))
}

/// Whether a step leaves in such a parcel.
pub fn waits_for_others(facts: &Facts, work: &StepWork<usize>) -> bool {
    let partner = work.partner().and_then(|partner| facts.partners.get(*partner));
    partner.is_some_and(|p| matches!(p.parcels, Parcels::Pieces(_)))
}
