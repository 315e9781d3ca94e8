//! Routes, their steps, and the partners that steps go away to.

use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::base::money::Money;
use chrono::Weekday;

use super::DepositRule;

/// Least, likely and most of a figure, in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Likely<T> {
    pub least: T,
    pub likely: T,
    pub most: T,
}

impl<T> Likely<T> {
    /// The same three in another unit.
    pub fn map<U>(self, unit: impl Fn(T) -> U) -> Likely<U> {
        Likely { least: unit(self.least), likely: unit(self.likely), most: unit(self.most) }
    }
}

/// The plan of steps that a kind of work goes through: an acyclic graph in an order in which every
/// step stands behind all that it needs.
#[derive(Clone, Debug, Hash)]
pub struct Route {
    /// The file's name without `.toml`; how jobs name it.
    pub key: String,
    pub name: String,
    /// The showroom folder that its poses are in, if it has any.
    pub animal: Option<String>,
    /// Gates of the first bench step.
    pub needs: Vec<String>,
    /// Deposit asked for this kind of work, where it differs from the shop's.
    pub deposit: Option<DepositRule>,
    pub price_from: Option<Money>,
    /// What else can be chosen for it at the counter, each with its price.
    pub prices: Vec<Price>,
    /// In an order that respects `after`.
    pub steps: Vec<Step>,
}

/// A line of a route's price list: `[[price]]`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Price {
    pub what: String,
    pub amount: PriceOf,
    /// As in a job's charge.
    pub kind: String,
}

/// A price for the whole, or for one of several (an inch, a foot).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PriceOf {
    Flat(Money),
    Each(Money),
}

/// One piece of a route, named by what is true when it is over.
#[derive(Clone, Debug, Hash)]
pub struct Step {
    pub name: String,
    /// The steps it needs, as places in `Route::steps`, all smaller than its own.
    pub after: Vec<usize>,
    pub work: StepWork,
    /// All its gates, those of the route included where it is the first bench step.
    pub needs: Vec<String>,
    /// What the customer reads while it is going on (plain text).
    pub tells: Option<String>,
    /// Whether its photos are shown without being asked for.
    pub photos: bool,
    /// For an away step, the name under which its leaving is recorded (`head-sent`).
    pub sent: Option<String>,
}

/// What a step is made of. `P` is how a partner is named: by key as the owner does, or by place where trials need it fast.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StepWork<P = String> {
    /// Hands-on time.
    Bench(Likely<Minutes>),
    /// Days in which nobody touches it.
    Rest(Likely<u32>),
    /// At an outside partner; by its key in `partners.toml`.
    Away { partner: P },
}

impl<P> StepWork<P> {
    pub fn kind(&self) -> WorkKind {
        match self {
            StepWork::Bench(_) => WorkKind::Bench,
            StepWork::Rest(_) => WorkKind::Rest,
            StepWork::Away { .. } => WorkKind::Away,
        }
    }
}

/// The three kinds of step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorkKind {
    Bench,
    Rest,
    Away,
}

impl WorkKind {
    /// The stable word, as in the owner's routes and the theme's keys.
    pub fn word(self) -> &'static str {
        match self {
            WorkKind::Bench => "bench",
            WorkKind::Rest => "rest",
            WorkKind::Away => "away",
        }
    }
}

/// Somebody pieces are sent to.
#[derive(Clone, Debug)]
pub struct Partner {
    pub key: String,
    /// What customers read, such as `the freeze-dryer`.
    pub name: String,
    /// Days from the parcel's leaving to its return.
    pub days: Likely<u32>,
    pub parcels: Parcels,
}

/// On which days a parcel leaves.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Parcels {
    /// Any day.
    Any,
    /// `first Monday` of each month (1 to 4), or the last one (5).
    OfMonth { nth: u8, weekday: Weekday },
    /// Every so many weeks on a weekday, counted from a day.
    Weekly { weeks: u8, weekday: Weekday, from: Option<Day> },
    /// These days alone, in order.
    On(Vec<Day>),
    /// When so many pieces wait.
    Pieces(u32),
}
