//! The board: all open jobs sorted into what the owner can do about them. Nothing is reckoned anew but the
//! bench's load by week.

use super::calendar::parcels;
use super::estimate;
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::base::money::Money;
use crate::model::{
    BenchKind, Board, Gate, Job, Likely, LineKind, Out, ParcelWait, ReadyPiece, Resting, Route, Shop, Stage,
    Standing, Step, StepWork, Sums, Turn, Wait, Worked, WorkedJob,
};
use std::collections::BTreeMap;

/// What is not asked for yet is shown so many days before its last day.
const SOON: u32 = 45;

/// One open job with all that belongs to it.
#[derive(Clone, Copy)]
struct Open<'a> {
    at: usize,
    job: &'a Job,
    route: &'a Route,
    worked: &'a WorkedJob,
}

/// The board of a shop whose reckoning is done.
pub fn board(shop: &Shop, worked: &Worked) -> Board {
    let today = worked.today;
    let open = worked.jobs.iter().enumerate().filter(|(_, w)| w.stage != Stage::Collected);
    let all: Vec<Open<'_>> = open
        .filter_map(|(at, worked)| {
            let job = shop.jobs.get(worked.job)?;
            Some(Open { at, job, route: shop.routes.get(&job.route)?, worked })
        })
        .collect();
    let mut board = Board { open: all.iter().map(|open| open.at).collect(), ..Board::default() };
    let mut kinds: BTreeMap<String, BenchKind> = BTreeMap::new();
    for one in &all {
        board.waits.extend(waits(one, today));
        board.ready.extend(ready(one, today));
        for (step, standing) in steps(one) {
            sort_in(&mut board, &mut kinds, shop, one, step, standing, today);
        }
    }
    board.sums = sums(&all, today);
    board.left = Minutes(all.iter().map(minutes_left).fold(0, u32::saturating_add));
    let line = |at: usize| worked.jobs.get(at).and_then(|w| w.in_line_since);
    in_order(&mut board, kinds, &line);
    let jobs: Vec<usize> = worked.jobs.iter().map(|w| w.job).collect();
    board.load = estimate::load(shop, &jobs, today);
    board
}

fn steps<'a>(one: &Open<'a>) -> impl Iterator<Item = (&'a Step, &'a Standing)> + use<'a> {
    one.route.steps.iter().zip(one.worked.steps.iter().map(|state| &state.standing))
}

/// Puts one step of a piece where it belongs.
fn sort_in(
    board: &mut Board,
    kinds: &mut BTreeMap<String, BenchKind>,
    shop: &Shop,
    one: &Open<'_>,
    step: &Step,
    standing: &Standing,
    today: Day,
) {
    let (at, name) = (one.at, step.name.clone());
    match (standing, &step.work) {
        (Standing::Open { since }, StepWork::Bench(time)) => {
            let none = Likely { least: Minutes(0), likely: Minutes(0), most: Minutes(0) };
            let new = || BenchKind { step: name.clone(), time: none, turns: Vec::new() };
            let kind = kinds.entry(name.clone()).or_insert_with(new);
            kind.time = added(kind.time, *time);
            kind.turns.push(Turn { at, since: *since, time: *time, rush: one.job.rush });
        }
        (Standing::Open { since }, StepWork::Rest(days)) => {
            let due = Likely {
                least: since.plus(days.least),
                likely: since.plus(days.likely),
                most: since.plus(days.most),
            };
            board.rests.push(Resting { at, step: name, since: *since, due });
        }
        (Standing::Open { since }, StepWork::Away { partner }) => {
            let leaves = shop.partners.get(partner).and_then(|p| parcels::next_leaving(&p.parcels, today));
            board.parcels.push(ParcelWait {
                at,
                step: name,
                partner: partner.clone(),
                since: *since,
                leaves,
            });
        }
        (Standing::Sent { .. }, _) => {
            let out = one.worked.away.iter().filter(|away| away.step == step.name).map(|away| Out {
                at,
                step: away.step.clone(),
                partner: away.partner.clone(),
                since: away.since,
                likely_back: away.likely_back,
                latest_back: away.latest_back,
                late: u32::try_from(today.since(away.latest_back)).ok().filter(|days| *days > 0),
            });
            board.away.extend(out);
        }
        (Standing::Reached { .. } | Standing::Held { .. } | Standing::Ahead, _) => {}
    }
}

fn added(a: Likely<Minutes>, b: Likely<Minutes>) -> Likely<Minutes> {
    let sum = |x: Minutes, y: Minutes| Minutes(x.0.saturating_add(y.0));
    Likely { least: sum(a.least, b.least), likely: sum(a.likely, b.likely), most: sum(a.most, b.most) }
}

/// What a piece waits for: once for the customer, once for the shop.
fn waits(one: &Open<'_>, today: Day) -> Vec<Wait> {
    let soon = |gate: &&Gate| {
        gate.met.is_none() && (gate.blocking || gate.by.is_some_and(|by| by <= today.plus(SOON)))
    };
    let mut waits: Vec<Wait> = Vec::new();
    for gate in one.worked.gates.iter().filter(soon) {
        if one.worked.stage >= Stage::Ready {
            continue;
        }
        if let Some(wait) = waits.iter_mut().find(|wait| wait.customer == gate.customer) {
            wait.gates.push(gate.name.clone());
            wait.by = wait.by.into_iter().chain(gate.by).min();
            wait.blocking |= gate.blocking;
            continue;
        }
        waits.push(Wait {
            at: one.at,
            customer: gate.customer,
            gates: vec![gate.name.clone()],
            step: gate.step.clone(),
            blocking: gate.blocking,
            by: gate.by,
        });
    }
    waits
}

fn ready(one: &Open<'_>, today: Day) -> Option<ReadyPiece> {
    let since = one.worked.ready?;
    let days = |from: Day| u32::try_from(today.since(from)).unwrap_or(0);
    Some(ReadyPiece {
        at: one.at,
        since,
        days: days(since),
        told: one.job.told.as_ref().map(|mark| mark.day).filter(|day| *day <= today),
        grace_ends: one.worked.grace_ends,
        stored: one.worked.grace_ends.map_or(0, days),
        storage: storage(one.worked),
        due: one.worked.ledger.due,
    })
}

fn storage(worked: &WorkedJob) -> Money {
    let lines = worked.ledger.lines.iter().filter(|line| line.kind == LineKind::Storage);
    lines.map(|line| line.amount).sum()
}

fn sums(all: &[Open<'_>], today: Day) -> Sums {
    let mut sums = Sums::default();
    for one in all {
        let ledger = &one.worked.ledger;
        match ledger.due {
            due if due.is_negative() => sums.owed_back = sums.owed_back + (-due),
            due if one.worked.ready.is_some() => sums.due_now = sums.due_now + due,
            due => sums.due_later = sums.due_later + due,
        }
        if one.worked.ready.is_none() {
            sums.held = sums.held + ledger.paid;
        }
        let missing = ledger.deposit_asked - ledger.paid;
        if ledger.deposit_met.is_none() && missing.is_positive() {
            sums.deposits_missing = sums.deposits_missing + missing;
            sums.without_deposit += 1;
        }
        sums.storage = sums.storage + storage(one.worked);
        sums.past_grace += usize::from(one.worked.grace_ends.is_some_and(|ends| ends < today));
    }
    sums
}

/// Likely hands-on time of the bench steps that are not over.
fn minutes_left(one: &Open<'_>) -> u32 {
    let left = steps(one).filter(|(_, standing)| !matches!(standing, Standing::Reached { .. }));
    let minutes = left.map(|(step, _)| match &step.work {
        StepWork::Bench(time) => time.likely.0,
        StepWork::Rest(_) | StepWork::Away { .. } => 0,
    });
    minutes.fold(0, u32::saturating_add)
}

/// Everything in the order in which the owner would take it up.
fn in_order(board: &mut Board, kinds: BTreeMap<String, BenchKind>, line: &dyn Fn(usize) -> Option<Day>) {
    let far = Day::epoch().plus(u32::MAX);
    let turn_key = |turn: &Turn| (!turn.rush, line(turn.at).unwrap_or(far), turn.at);
    board.bench = kinds.into_values().collect();
    for kind in &mut board.bench {
        kind.turns.sort_by_key(turn_key);
    }
    board.bench.sort_by_key(|kind| kind.turns.first().map(turn_key));
    board.waits.sort_by_key(|wait| (!wait.customer, wait.by.unwrap_or(far), !wait.blocking, wait.at));
    board.parcels.sort_by_key(|one| (one.leaves.unwrap_or(far), one.partner.clone(), one.since, one.at));
    board.away.sort_by_key(|one| (one.latest_back, one.at));
    board.rests.sort_by_key(|one| (one.due.likely, one.at));
    board.ready.sort_by_key(|one| (one.since, one.at));
}
