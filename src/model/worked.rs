//! What follows from the shop on a day: pure results, no secrets, ready to be shown.

use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::base::money::Money;
use crate::base::private::Private;
use crate::model::measures::Score;
use crate::model::{Facts, PageKey};

/// The result of a pass's reckoning.
#[derive(Clone, Debug)]
pub struct Worked {
    pub today: Day,
    /// One for each job known today whose record makes sense, in the shop's order.
    pub jobs: Vec<WorkedJob>,
    /// The dated facts that all of it follows from; its pieces stand in the order of `jobs`.
    pub facts: Facts,
    /// Numbers of jobs whose record contradicts itself; their last good pages stay.
    pub spoilt: Vec<String>,
    /// Open jobs by the month they were taken in, oldest first.
    pub bench: Vec<BenchMonth>,
    /// "Bring one in today", for each route.
    pub windows: Vec<RouteWindow>,
    /// How the windows of the past held, where the owner shows it and there is enough past.
    pub past: Option<PastHeld>,
}

impl Worked {
    /// Takes out these jobs, and their facts with them.
    pub fn take_out(&mut self, goes: impl Fn(&WorkedJob) -> bool) -> Vec<WorkedJob> {
        let gone: Vec<bool> = self.jobs.iter().map(goes).collect();
        let mut stays = gone.iter().map(|gone| !gone);
        self.facts.pieces.retain(|_| stays.next().unwrap_or(true));
        let (out, rest): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.jobs).into_iter().zip(gone).partition(|(_, gone)| *gone);
        self.jobs = rest.into_iter().map(|(job, _)| job).collect();
        out.into_iter().map(|(job, _)| job).collect()
    }
}

/// What follows for one job.
#[derive(Clone, Debug)]
pub struct WorkedJob {
    /// Place in `Shop::jobs`.
    pub job: usize,
    /// The private address: 26 base32 characters, the folder under `see/`; of a sealed page 16.
    pub address: String,
    /// The key of its page, where that is sealed.
    pub seal: Option<PageKey>,
    pub stage: Stage,
    /// One for each step of its route, in the route's order.
    pub steps: Vec<WorkedStep>,
    /// Every gate of its route that is not behind it, in the order of the steps.
    pub gates: Vec<Gate>,
    pub away: Vec<Away>,
    /// The day on which the last step was reached.
    pub ready: Option<Day>,
    pub collected: Option<Day>,
    /// The last day of the grace before storage is charged, once it is ready and the customer was told.
    pub grace_ends: Option<Day>,
    pub ledger: Ledger,
    /// What follows from its measures.
    pub scores: Vec<Score>,
    /// When it will be ready, or why that cannot be said.
    pub outlook: Outlook,
    /// The day that its place in line counts from, if it has one yet.
    pub in_line_since: Option<Day>,
    pub page: PageLife,
}

impl WorkedJob {
    /// None where no day can be given, or it is ready.
    pub fn window(&self) -> Option<Window> {
        match &self.outlook {
            Outlook::Expected { window, .. } => Some(*window),
            Outlook::Over | Outlook::Unknown(_) => None,
        }
    }

    /// How the window came about; there where the window is.
    pub fn reason(&self) -> Option<&Reason> {
        match &self.outlook {
            Outlook::Expected { reason, .. } => Some(reason),
            Outlook::Over | Outlook::Unknown(_) => None,
        }
    }

    /// The last day on which a gate can be met without moving the likely day; none where that is not known.
    pub fn last_day_for(&self, gate: &str) -> Option<Day> {
        match &self.outlook {
            Outlook::Expected { last_days, .. } => {
                last_days.iter().find(|(name, _)| name == gate).map(|(_, day)| *day)
            }
            Outlook::Over | Outlook::Unknown(_) => None,
        }
    }

    /// The last day on which the customer can settle what is open without moving the likely day.
    pub fn choose_by(&self) -> Option<Day> {
        let open = self.gates.iter().filter(|gate| gate.customer && gate.met.is_none());
        open.filter_map(|gate| self.last_day_for(&gate.name)).min()
    }

    /// The way from the site's root to its page: the private folder, and for a sealed page the key behind a `#`. Whoever has
    /// it can read the page, so it is for the owner and the customer alone.
    pub fn way(&self) -> Private<String> {
        let key = self.seal.as_ref().map(|key| format!("#{}", key.reveal())).unwrap_or_default();
        Private::new(format!("see/{}/{key}", self.address))
    }
}

/// One plain word for how it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Nothing has been begun; it waits for its turn.
    InLine,
    /// All that could go on waits for something that is not in hand.
    Held,
    /// Work is under way at the bench.
    AtBench,
    /// At a partner, and nothing else goes on.
    Away,
    /// Drying, salting or the like, and nothing else goes on.
    Resting,
    Ready,
    Collected,
}

impl Stage {
    /// The stable word for files and machine-readable output.
    pub fn word(self) -> &'static str {
        match self {
            Stage::InLine => "in-line",
            Stage::Held => "held",
            Stage::AtBench => "at-bench",
            Stage::Away => "away",
            Stage::Resting => "resting",
            Stage::Ready => "ready",
            Stage::Collected => "collected",
        }
    }
}

/// How one step of a job stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorkedStep {
    pub name: String,
    pub state: StepState,
    /// The gates that it is held by; none unless it is.
    pub missing: Vec<String>,
}

/// How a step stands: decided in `work::view` alone, for the page and the estimate alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepState {
    /// Over. `exact` is false where it is only implied by a later step: then the day is the latest it can be. It could go on
    /// from `began` at the latest, as far as is known.
    Reached { day: Day, exact: bool, began: Day },
    /// All that it needs is there since this day; it goes on or waits for its turn.
    Open { since: Day },
    /// At the partner since this day.
    Sent { since: Day },
    /// All steps before it are reached, the last one on this day, and a gate is not met.
    Held { since: Day },
    /// Steps before it are not reached yet.
    Ahead,
}

impl StepState {
    /// Whether it is behind its gates: over, or on its way.
    pub fn is_begun(&self) -> bool {
        matches!(self, StepState::Reached { .. } | StepState::Sent { .. })
    }

    pub fn is_reached(&self) -> bool {
        matches!(self, StepState::Reached { .. })
    }
}

/// A gate on the way of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gate {
    pub name: String,
    /// The first step that waits for it.
    pub step: String,
    /// The day on which it was met.
    pub met: Option<Day>,
    /// Whether the customer is the one to meet it.
    pub customer: bool,
    /// Whether a step stands still for it today.
    pub blocking: bool,
}

/// A part of the piece that is at a partner.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Away {
    pub step: String,
    /// Its key in `partners.toml`.
    pub partner: String,
    pub since: Day,
    /// The partner's likely day and latest day of return.
    pub likely_back: Day,
    pub latest_back: Day,
}

/// When a piece will be ready, as far as it can be said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outlook {
    /// It is ready: nothing is left to estimate.
    Over,
    /// It is open, and no day can be given.
    Unknown(NoWindow),
    /// It is open, and this is expected.
    Expected {
        window: Window,
        reason: Reason,
        /// For gates on its way the last day on which each can be met (a settled pose: changed) without moving the likely day.
        last_days: Vec<(String, Day)>,
    },
}

/// Soonest, likely and latest day of being ready (10, 50 and 90 percent).
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Window {
    pub soonest: Day,
    pub likely: Day,
    pub latest: Day,
}

/// How a window came about, in parts that a sentence can be made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// The day whose knowledge it is made from: a Monday, or the day on which the piece itself moved.
    pub reckoned_on: Day,
    /// Hands-on time that is left on the piece itself, by the owner's figures.
    pub hours_own: Minutes,
    /// The same of the pieces that stand before it in line.
    pub hours_before: Minutes,
    /// The pieces before it on which the bench has something left to do, by the month they were taken in
    /// (its first day), oldest first; never by number or name.
    pub months_before: Vec<(Day, usize)>,
    /// How much of such time the bench gets through in a usual week, by the shop's own record.
    pub week: Minutes,
    /// What is at a partner.
    pub back: Vec<Back>,
    /// How the likely day moved over the last four weeks; none for a piece that had none then.
    pub moved: Option<Moved>,
}

impl Reason {
    /// How many pieces stand before it.
    pub fn pieces_before(&self) -> usize {
        self.months_before.iter().map(|(_, count)| count).sum()
    }
}

/// When what is at a partner is likely back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Back {
    pub step: String,
    /// Its key in `partners.toml`.
    pub partner: String,
    pub day: Day,
}

/// How a likely day moved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// Days; later is positive. None where it moved by so little that it stayed where it was.
    pub days: Option<i64>,
    pub since: Day,
    pub by: MovedBy,
}

/// What moved a likely day most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MovedBy {
    /// A step of the piece itself was reached, or something it waited for came.
    Piece,
    /// A partner keeps it longer than usual.
    Partner,
    /// The bench earned fewer hours, or more, than before.
    Bench,
    /// More came to stand before it in line than was done meanwhile, or less.
    Line,
    /// None of these by itself.
    Several,
}

/// Why there is no window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NoWindow {
    /// The shop has no bench hours written down.
    BenchHours,
    /// At this pace it would take longer than ten years.
    TooFar,
}

/// What was charged, what was paid, what is due: whole minor units.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Ledger {
    /// Charges, discounts and storage, in the order to be shown.
    pub lines: Vec<LedgerLine>,
    pub taxes: Vec<TaxLine>,
    /// Lines and added taxes together.
    pub total: Money,
    /// Payments and refunds by day.
    pub payments: Vec<LedgerLine>,
    /// Payments less refunds.
    pub paid: Money,
    /// What was written off, by day.
    pub write_offs: Vec<LedgerLine>,
    /// All that was written off together, as a positive amount. It is no payment: no deposit is met by it.
    pub written_off: Money,
    /// Total less paid, less written off; negative when the shop owes the customer.
    pub due: Money,
    pub deposit_asked: Money,
    /// The day on which the deposit was paid in full.
    pub deposit_met: Option<Day>,
}

/// A line of the ledger. Discounts and refunds are negative amounts, so that lines add up to their sum.
/// `what` is in the owner's words: how it was paid for a payment (empty where not told), `storage` for storage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LedgerLine {
    pub kind: LineKind,
    pub what: String,
    pub on: Option<Day>,
    /// Price of one and how many, where it was reckoned so.
    pub each: Option<(Money, String)>,
    pub amount: Money,
}

/// What a line of the ledger is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineKind {
    Charge,
    Discount,
    Storage,
    Payment,
    Refund,
    WrittenOff,
}

/// One tax on the whole job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TaxLine {
    pub name: String,
    /// Percent, as the owner wrote it.
    pub rate: String,
    /// What it was reckoned on.
    pub base: Money,
    pub amount: Money,
    /// Whether the prices already include it.
    pub included: bool,
}

/// How long a job's private page lives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PageLife {
    Open,
    /// Collected: thanks, care, and the record of what was paid, until this day.
    Closing {
        until: Day,
    },
    /// No page any more.
    Gone,
}

/// How the windows held that were given some time before: what `replay` counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct PastHeld {
    pub pieces: usize,
    pub held: usize,
    pub days_before: i64,
}

/// Open jobs of a month, by route.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BenchMonth {
    /// The first day of the month.
    pub month: Day,
    /// Route keys and how many pieces each.
    pub pieces: Vec<(String, usize)>,
}

/// What can be said of a piece brought in today.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RouteWindow {
    pub route: String,
    pub window: Option<Window>,
    /// Hands-on time of the whole route, likely figure.
    pub bench: Minutes,
}
