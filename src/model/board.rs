//! The owner's view of all open jobs, and of those that went home with a balance: what can be done, what waits,
//! what is away, what is owed. Places and figures only; whom a piece belongs to is found by its place. Never part of a `Site`.

use super::Likely;
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::base::money::Money;

/// The board. Each `at` is a place in `Worked::jobs`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Board {
    /// Every job that was not collected, by number.
    pub open: Vec<usize>,
    /// What can be done now, by kind of bench work; the kind whose first piece is first in line stands first.
    pub bench: Vec<StepQueue>,
    /// What stands still, or soon will, for something that is not in hand.
    pub waits: Vec<Wait>,
    /// What waits here for a parcel.
    pub parcels: Vec<ParcelWait>,
    pub away: Vec<Out>,
    pub rests: Vec<Resting>,
    /// Ready and not collected, the longest first.
    pub ready: Vec<ReadyPiece>,
    /// Collected, and the bill is not even: until it is paid, paid back or written off. The longest first.
    pub owed: Vec<OwedPiece>,
    pub sums: Sums,
    /// The bench by week, from this week on; empty where the shop has no bench hours.
    pub load: Vec<LoadWeek>,
    /// Likely hands-on time of all that is left to do on what is here.
    pub left: Minutes,
}

/// One kind of bench work that can be done now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepQueue {
    /// The step's name.
    pub step: String,
    pub time: Likely<Minutes>,
    /// First in line first.
    pub turns: Vec<Turn>,
}

/// A piece on which the bench can go on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Turn {
    pub at: usize,
    pub since: Day,
    pub time: Likely<Minutes>,
    pub rush: bool,
}

/// A piece that waits for somebody.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wait {
    pub at: usize,
    /// Whether the customer is waited on, else the shop itself.
    pub customer: bool,
    /// Names of the gates, and of the first step that waits.
    pub gates: Vec<String>,
    pub step: String,
    /// Whether a step stands still today.
    pub blocking: bool,
    /// Until that day it costs nothing.
    pub by: Option<Day>,
}

/// A part that could leave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParcelWait {
    pub at: usize,
    pub step: String,
    pub partner: String,
    pub since: Day,
    /// The day on which the next parcel leaves; none where pieces are counted.
    pub leaves: Option<Day>,
}

/// A part that is at a partner.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Out {
    pub at: usize,
    pub step: String,
    pub partner: String,
    pub since: Day,
    pub likely_back: Day,
    pub latest_back: Day,
    /// Days beyond the partner's latest day.
    pub late: Option<u32>,
}

/// A piece that dries, salts or the like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Resting {
    pub at: usize,
    pub step: String,
    pub since: Day,
    /// Soonest, likely and latest day on which it is over.
    pub due: Likely<Day>,
}

/// A finished piece that is still here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadyPiece {
    pub at: usize,
    pub since: Day,
    /// Days since then.
    pub days: u32,
    /// The day on which the customer was told, if that is written down.
    pub told: Option<Day>,
    pub grace_ends: Option<Day>,
    /// Days of storage so far, and what they come to.
    pub stored: u32,
    pub storage: Money,
    pub due: Money,
}

/// A piece that went home before its bill was even.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwedPiece {
    pub at: usize,
    /// The day on which it was collected.
    pub since: Day,
    /// Days since then.
    pub days: u32,
    /// The day on which the customer was told that it is ready, if that is written down.
    pub told: Option<Day>,
    /// What the storage came to, up to the day it was collected.
    pub storage: Money,
    /// Never nothing; below zero where the shop owes the customer.
    pub due: Money,
}

/// The money of all open jobs, and of what is owed on pieces that went home.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sums {
    /// Due on what is ready.
    pub due_now: Money,
    /// Due on what is not ready yet.
    pub due_later: Money,
    /// Due on what was collected.
    pub owed: Money,
    /// Paid on what is not ready yet: held until the work is done.
    pub held: Money,
    /// Deposits asked and not fully paid: how much is missing, and on how many pieces.
    pub deposits_missing: Money,
    pub without_deposit: usize,
    /// Storage charged so far, and on how many pieces.
    pub storage: Money,
    pub past_grace: usize,
    /// What the shop owes to customers.
    pub owed_back: Money,
}

/// A week of the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LoadWeek {
    pub monday: Day,
    /// Hours of the calendar, all hands together; of the first week what is left of it.
    pub hours: Minutes,
    /// How much of that is likely taken by what is here today, on the average of the trials.
    pub taken: Minutes,
}
