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

    /// The hands-on time, of what takes any.
    pub fn bench_time(&self) -> Option<Likely<Minutes>> {
        match self {
            StepWork::Bench(time) => Some(*time),
            StepWork::Rest(_) | StepWork::Away { .. } => None,
        }
    }

    /// The days for which it lies untouched, of what only waits.
    pub fn rest_days(&self) -> Option<Likely<u32>> {
        match self {
            StepWork::Rest(days) => Some(*days),
            StepWork::Bench(_) | StepWork::Away { .. } => None,
        }
    }

    /// Who the piece is sent to, if it leaves the shop.
    pub fn partner(&self) -> Option<&P> {
        match self {
            StepWork::Away { partner } => Some(partner),
            StepWork::Bench(_) | StepWork::Rest(_) => None,
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
    /// In the order in which messages name them.
    pub const ALL: [WorkKind; 3] = [WorkKind::Bench, WorkKind::Rest, WorkKind::Away];

    /// Whether somebody's hands are on it.
    pub fn is_bench(self) -> bool {
        match self {
            WorkKind::Bench => true,
            WorkKind::Rest | WorkKind::Away => false,
        }
    }

    /// Whether it only takes days, and nobody touches the piece.
    pub fn is_rest(self) -> bool {
        match self {
            WorkKind::Rest => true,
            WorkKind::Bench | WorkKind::Away => false,
        }
    }

    /// Whether the piece leaves the shop for it.
    pub fn is_away(self) -> bool {
        match self {
            WorkKind::Away => true,
            WorkKind::Bench | WorkKind::Rest => false,
        }
    }

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
