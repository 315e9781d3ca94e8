//! The dated facts of a shop, plain and by index: what steps, gates and estimates are all decided from. `work::dated`
//! alone builds them; nothing here knows of files, money or names.
//!
//! Every fact carries its day, so the shop as it stood on any past day is the same facts with the later ones
//! left out: that is what `work::view` does.

use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::{Closure, Likely, Parcels, StepWork};

/// The shop's record.
#[derive(Clone, Debug, Default, Hash)]
pub struct Facts {
    /// Hands-on time by weekday, Monday first, for each pair of hands.
    pub hours: [Minutes; 7],
    pub closures: Vec<Closure>,
    /// How many work at the bench side by side.
    pub hands: u32,
    /// Whether the shop stays with one kind of work as long as there is some.
    pub batches: bool,
    pub routes: Vec<RoutePlan>,
    pub partners: Vec<PartnerPlan>,
    /// Open and finished ones alike; of a shop in the order of `Worked::jobs`.
    pub pieces: Vec<PieceFacts>,
}

/// What of a route decides how its steps stand and what they take: steps in an order that respects `after`.
#[derive(Clone, Debug, Hash)]
pub struct RoutePlan {
    pub steps: Vec<StepPlan>,
}

/// A step of a route.
#[derive(Clone, Debug, Hash)]
pub struct StepPlan {
    /// Places of the steps it needs, all smaller than its own.
    pub after: Vec<usize>,
    /// The partner by place in `Facts::partners`.
    pub work: StepWork<usize>,
    /// Whether it waits for anything besides other steps.
    pub gated: bool,
}

/// A partner.
#[derive(Clone, Debug, Hash)]
pub struct PartnerPlan {
    /// Stays the same from pass to pass.
    pub key: u64,
    /// Days from leaving to return.
    pub days: Likely<u32>,
    pub parcels: Parcels,
}

/// A piece and its dated steps.
#[derive(Clone, Debug, Hash)]
pub struct PieceFacts {
    /// Stays the same from pass to pass; random numbers hang on it.
    pub key: u64,
    pub route: usize,
    pub taken_in: Day,
    /// The day that its place in line counts from, if it has one.
    pub in_line: Option<Day>,
    pub rush: bool,
    pub collected: Option<Day>,
    /// One for each step of its route.
    pub steps: Vec<StepFacts>,
}

/// What was written down about a step of a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct StepFacts {
    pub reached: Option<Day>,
    pub sent: Option<Day>,
    /// The day since which all that it waits on besides other steps is there; the day it was taken in
    /// where it waits on nothing.
    pub gates_met: Option<Day>,
}
