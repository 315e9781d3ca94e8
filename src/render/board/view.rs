//! The board in words, for its page and for the terminal. How either is laid out is theirs.

use super::chart::{self, Chart};
use super::drafts::{self, About, Draft};
use super::slip;
use super::terms::{brief, hours, open};
use super::who::Who;
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::base::money::Money;
use crate::model::{Board, InWorked, Likely, OwedPiece, ReadyPiece, Spoilt, Sums, Wait};
use crate::render::dates::DayWords;
use crate::render::desk::{Desk, JobAtHand};
use crate::render::gate_words;
use serde::Serialize;
use std::collections::BTreeMap;

pub use super::slip::Slip;

/// The whole board.
#[derive(Clone, Debug, Serialize)]
pub struct BoardView {
    pub shop: String,
    pub today: DayWords,
    pub weekday: String,
    pub open: usize,
    /// Hours of hands-on time that are left on all of them.
    pub left: String,
    pub bench: Vec<StepQueueView>,
    /// All kinds together: pieces and hours.
    pub turns: usize,
    pub hours: String,
    pub waits: Vec<Row>,
    pub own_waits: Vec<Row>,
    pub parcels: Vec<Row>,
    pub away: Vec<Row>,
    pub rests: Vec<Row>,
    pub ready: Vec<Row>,
    /// Collected, and not even.
    pub owed: Vec<Row>,
    pub sums: SumsView,
    pub load: Option<Chart>,
    /// One for each open job and each that went home with a balance, by surname.
    pub slips: Vec<Slip>,
    pub mending: Vec<Mending>,
}

/// A kind of bench work.
#[derive(Clone, Debug, Serialize)]
pub struct StepQueueView {
    /// What will be true when it is over: `mounted`.
    pub step: String,
    pub hours: String,
    pub turns: Vec<Row>,
}

/// A piece, as every list names it.
#[derive(Clone, Debug, Serialize)]
pub struct Mention {
    pub number: String,
    pub name: String,
    pub piece: String,
}

/// A piece in a list, with what that list tells of it.
#[derive(Clone, Debug, Serialize, Default)]
pub struct Row {
    pub mention: Option<Mention>,
    /// The step in words, without a capital.
    pub step: String,
    pub since: Option<DayWords>,
    pub hours: Option<String>,
    pub rush: bool,
    /// What it waits for, in words.
    pub gates: Option<String>,
    pub blocking: bool,
    /// The day until which waiting costs nothing; `costs` once that day has come.
    pub by: Option<DayWords>,
    pub costs: bool,
    pub partner: Option<String>,
    /// The day on which a parcel leaves.
    pub leaves: Option<DayWords>,
    pub soonest: Option<DayWords>,
    pub likely: Option<DayWords>,
    pub latest: Option<DayWords>,
    /// Whether the likely day is past or has come.
    pub is_due: bool,
    /// Days beyond the latest day.
    pub late: Option<u32>,
    pub days: u32,
    pub told: Option<DayWords>,
    pub grace: Option<DayWords>,
    pub stored: u32,
    pub storage: Option<String>,
    pub due: Option<String>,
    /// What the shop owes the customer.
    pub owed_back: Option<String>,
}

/// The money of all open jobs; what comes to nothing is none.
#[derive(Clone, Debug, Serialize)]
pub struct SumsView {
    pub due_now: String,
    pub due_later: String,
    pub owed: Option<String>,
    pub held: String,
    pub deposits_missing: Option<String>,
    pub without_deposit: usize,
    pub storage: Option<String>,
    pub past_grace: usize,
    pub owed_back: Option<String>,
}

/// A job whose record needs mending: it is on none of the lists.
#[derive(Clone, Debug, Serialize)]
pub struct Mending {
    pub number: String,
    /// Since which day its last good page stays, if there is one.
    pub since: Option<DayWords>,
}

/// Since when the last good pages of broken parts stay, by the parts' words, such as `job 26-041`, as `write` notes them.
pub type KeptSince = std::collections::BTreeMap<Spoilt, Day>;

/// The board's words.
pub(super) fn of(desk: &Desk<'_>, board: &Board, kept: &KeptSince) -> BoardView {
    let rows = Rows { desk };
    let minutes = board.bench.iter().map(|kind| kind.time.likely.0).fold(0, u32::saturating_add);
    let (waits, own_waits): (Vec<&Wait>, Vec<&Wait>) = board.waits.iter().partition(|wait| wait.customer);
    BoardView {
        shop: desk.shop.studio.name.clone(),
        today: desk.theme.dates.day(desk.worked.today),
        weekday: desk.theme.dates.weekday(desk.worked.today),
        open: board.open.len(),
        left: hours(desk, board.left),
        turns: board.bench.iter().map(|kind| kind.turns.len()).sum(),
        hours: hours(desk, Minutes(minutes)),
        bench: rows.bench(board),
        waits: waits.into_iter().map(|wait| rows.wait(wait)).collect(),
        own_waits: own_waits.into_iter().map(|wait| rows.wait(wait)).collect(),
        parcels: rows.parcels(board),
        away: rows.away(board),
        rests: rows.rests(board),
        ready: board.ready.iter().map(|ready| rows.ready(ready)).collect(),
        owed: board.owed.iter().map(|owed| rows.owed(owed)).collect(),
        sums: sums(desk, &board.sums),
        load: chart::of(desk, &board.load),
        slips: slips(desk, board),
        mending: mending(desk, kept),
    }
}

/// What puts places into rows.
struct Rows<'a> {
    desk: &'a Desk<'a>,
}

impl Rows<'_> {
    fn day(&self, day: Day) -> Option<DayWords> {
        Some(brief(self.desk, day))
    }

    fn partner(&self, key: &str) -> Option<String> {
        self.desk.shop.partners.get(key).map(|partner| partner.name.clone())
    }

    fn row(&self, at: InWorked, step: &str) -> Row {
        let mention = open(self.desk, at).map(|open| Mention {
            number: open.job.number.clone(),
            name: Who::of(open.job).name,
            piece: open.job.piece.clone(),
        });
        Row { mention, step: step.replace('-', " "), ..Row::default() }
    }

    fn bench(&self, board: &Board) -> Vec<StepQueueView> {
        let kind = |kind: &crate::model::StepQueue| StepQueueView {
            step: kind.step.replace('-', " "),
            hours: hours(self.desk, kind.time.likely),
            turns: kind
                .turns
                .iter()
                .map(|turn| Row {
                    since: self.day(turn.since),
                    hours: Some(hours(self.desk, turn.time.likely)),
                    rush: turn.rush,
                    ..self.row(turn.at, &kind.step)
                })
                .collect(),
        };
        board.bench.iter().map(kind).collect()
    }

    fn wait(&self, wait: &Wait) -> Row {
        Row {
            gates: Some(gate_words::of_all(self.desk.theme, &wait.gates)),
            blocking: wait.blocking,
            by: wait.by.and_then(|by| self.day(by)),
            costs: wait.by.is_some_and(|by| by <= self.desk.worked.today),
            ..self.row(wait.at, &wait.step)
        }
    }

    fn parcels(&self, board: &Board) -> Vec<Row> {
        let row = |one: &crate::model::ParcelWait| Row {
            partner: self.partner(&one.partner),
            since: self.day(one.since),
            leaves: one.leaves.and_then(|day| self.day(day)),
            ..self.row(one.at, &one.step)
        };
        board.parcels.iter().map(row).collect()
    }

    fn away(&self, board: &Board) -> Vec<Row> {
        let today = self.desk.worked.today;
        let row = |one: &crate::model::Out| Row {
            partner: self.partner(&one.partner),
            since: self.day(one.since),
            likely: self.day(one.likely_back),
            latest: self.day(one.latest_back),
            is_due: one.likely_back <= today,
            late: one.late,
            ..self.row(one.at, &one.step)
        };
        board.away.iter().map(row).collect()
    }

    fn rests(&self, board: &Board) -> Vec<Row> {
        let today = self.desk.worked.today;
        let row = |one: &crate::model::Resting| {
            let Likely { least, likely, most } = one.due;
            Row {
                since: self.day(one.since),
                soonest: self.day(least),
                likely: self.day(likely),
                latest: self.day(most),
                is_due: likely <= today,
                late: u32::try_from(today.since(most)).ok().filter(|days| *days > 0),
                ..self.row(one.at, &one.step)
            }
        };
        board.rests.iter().map(row).collect()
    }

    fn ready(&self, ready: &ReadyPiece) -> Row {
        Row {
            since: self.day(ready.since),
            days: ready.days,
            told: ready.customer_told.and_then(|day| self.day(day)),
            grace: ready.grace_ends.and_then(|day| self.day(day)),
            stored: ready.stored,
            storage: some(self.desk, ready.storage),
            due: some(self.desk, ready.due),
            ..self.row(ready.at, "")
        }
    }

    fn owed(&self, owed: &OwedPiece) -> Row {
        Row {
            since: self.day(owed.since),
            days: owed.days,
            storage: some(self.desk, owed.storage),
            due: some(self.desk, owed.due),
            owed_back: some(self.desk, -owed.due),
            ..self.row(owed.at, "")
        }
    }
}

/// An amount in words; none where there is nothing to pay.
fn some(desk: &Desk<'_>, amount: Money) -> Option<String> {
    amount.is_positive().then(|| desk.money(amount))
}

fn sums(desk: &Desk<'_>, sums: &Sums) -> SumsView {
    SumsView {
        due_now: desk.money(sums.due_now),
        due_later: desk.money(sums.due_later),
        owed: some(desk, sums.owed),
        held: desk.money(sums.held),
        deposits_missing: some(desk, sums.deposits_missing),
        without_deposit: sums.without_deposit,
        storage: some(desk, sums.storage),
        past_grace: sums.past_grace,
        owed_back: some(desk, sums.owed_back),
    }
}

fn slips(desk: &Desk<'_>, board: &Board) -> Vec<Slip> {
    let mut waits: BTreeMap<InWorked, Vec<&Wait>> = BTreeMap::new();
    for wait in &board.waits {
        waits.entry(wait.at).or_default().push(wait);
    }
    let mut slips: Vec<Slip> = Vec::with_capacity(board.open.len() + board.owed.len());
    for at in board.open.iter().chain(board.owed.iter().map(|owed| &owed.at)) {
        let Some(open) = open(desk, *at) else { continue };
        let who = Who::of(open.job);
        let ready = board.ready.iter().find(|ready| ready.at == *at);
        let JobAtHand { job, route, worked } = open;
        let about = About { desk, job, route, worked, who: &who };
        let drafts: Vec<Draft> = drafts::all(&about, waits.get(at).map_or(&[], Vec::as_slice), ready);
        slips.push(slip::of(desk, open, who, drafts));
    }
    slips.sort_by_cached_key(|slip| {
        (slip.who.surname.to_lowercase(), slip.who.name.to_lowercase(), slip.number.clone())
    });
    slips
}

fn mending(desk: &Desk<'_>, kept: &KeptSince) -> Vec<Mending> {
    let broken = desk.shop.spoilt.iter().filter_map(|one| match one {
        Spoilt::Job(number) => Some(number.clone()),
        Spoilt::Pose(..) | Spoilt::Page(_) => None,
    });
    let mut numbers: Vec<String> = broken.chain(desk.worked.spoilt.iter().cloned()).collect();
    numbers.sort();
    numbers.dedup();
    let since = |number: &String| {
        let day = kept.get(&Spoilt::Job(number.clone()).folded())?;
        Some(desk.theme.dates.day(*day))
    };
    numbers.into_iter().map(|number| Mending { since: since(&number), number }).collect()
}
