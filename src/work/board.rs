//! The board: all open jobs sorted into what the owner can do about them, and what is owed on those that went
//! home. Nothing is reckoned anew but the
//! bench's load by week.

use super::calendar::parcels;
use super::estimate;
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::base::money::Money;
use crate::model::{
    Board, Gate, Job, Likely, LineKind, Out, OwedPiece, ParcelWait, ReadyPiece, Resting, Route, Shop, Stage,
    Step, StepQueue, StepState, StepWork, Sums, Turn, Wait, Worked, WorkedJob,
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
    let mut kinds: BTreeMap<String, StepQueue> = BTreeMap::new();
    for one in &all {
        board.waits.extend(waits(one, today));
        board.ready.extend(ready(one, today));
        for (step, state) in steps(one) {
            sort_in(&mut board, &mut kinds, shop, one, step, state, today);
        }
    }
    let home = worked.jobs.iter().enumerate();
    board.owed = home.filter_map(|(at, worked)| owed(shop, at, worked, today)).collect();
    board.sums = sums(&all, &board.owed, today);
    board.left = Minutes(all.iter().map(minutes_left).fold(0, u32::saturating_add));
    let line = |at: usize| worked.jobs.get(at).and_then(|w| w.in_line_since);
    in_order(&mut board, kinds, &line);
    board.load = estimate::load(&worked.facts, today);
    board
}

fn steps<'a>(one: &Open<'a>) -> impl Iterator<Item = (&'a Step, &'a StepState)> + use<'a> {
    one.route.steps.iter().zip(one.worked.steps.iter().map(|step| &step.state))
}

/// Puts one step of a piece where it belongs.
fn sort_in(
    board: &mut Board,
    kinds: &mut BTreeMap<String, StepQueue>,
    shop: &Shop,
    one: &Open<'_>,
    step: &Step,
    state: &StepState,
    today: Day,
) {
    let (at, name) = (one.at, step.name.clone());
    match (state, &step.work) {
        (StepState::Open { since }, StepWork::Bench(time)) => {
            let none = Likely { least: Minutes(0), likely: Minutes(0), most: Minutes(0) };
            let new = || StepQueue { step: name.clone(), time: none, turns: Vec::new() };
            let kind = kinds.entry(name.clone()).or_insert_with(new);
            kind.time = added(kind.time, *time);
            kind.turns.push(Turn { at, since: *since, time: *time, rush: one.job.rush });
        }
        (StepState::Open { since }, StepWork::Rest(days)) => {
            let due = Likely {
                least: since.plus(days.least),
                likely: since.plus(days.likely),
                most: since.plus(days.most),
            };
            board.rests.push(Resting { at, step: name, since: *since, due });
        }
        (StepState::Open { since }, StepWork::Away { partner }) => {
            let leaves = shop.partners.get(partner).and_then(|p| parcels::next_leaving(&p.parcels, today));
            board.parcels.push(ParcelWait {
                at,
                step: name,
                partner: partner.clone(),
                since: *since,
                leaves,
            });
        }
        (StepState::Sent { .. }, _) => {
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
        (StepState::Reached { .. } | StepState::Held { .. } | StepState::Ahead, _) => {}
    }
}

fn added(a: Likely<Minutes>, b: Likely<Minutes>) -> Likely<Minutes> {
    let sum = |x: Minutes, y: Minutes| Minutes(x.0.saturating_add(y.0));
    Likely { least: sum(a.least, b.least), likely: sum(a.likely, b.likely), most: sum(a.most, b.most) }
}

/// What a piece waits for: once for the customer, once for the shop.
fn waits(one: &Open<'_>, today: Day) -> Vec<Wait> {
    let by = |gate: &Gate| one.worked.last_day_for(&gate.name);
    let soon = |gate: &&Gate| {
        gate.met.is_none() && (gate.blocking || by(gate).is_some_and(|by| by <= today.plus(SOON)))
    };
    let mut waits: Vec<Wait> = Vec::new();
    for gate in one.worked.gates.iter().filter(soon) {
        if one.worked.stage >= Stage::Ready {
            continue;
        }
        if let Some(wait) = waits.iter_mut().find(|wait| wait.customer == gate.customer) {
            wait.gates.push(gate.name.clone());
            wait.by = wait.by.into_iter().chain(by(gate)).min();
            wait.blocking |= gate.blocking;
            continue;
        }
        waits.push(Wait {
            at: one.at,
            customer: gate.customer,
            gates: vec![gate.name.clone()],
            step: gate.step.clone(),
            blocking: gate.blocking,
            by: by(gate),
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
        told: told(one.job, today),
        grace_ends: one.worked.grace_ends,
        stored: one.worked.grace_ends.map_or(0, days),
        storage: storage(one.worked),
        due: one.worked.ledger.due,
    })
}

fn told(job: &Job, today: Day) -> Option<Day> {
    job.told.as_ref().map(|mark| mark.day).filter(|day| *day <= today)
}

/// A piece that went home before its bill was even.
fn owed(shop: &Shop, at: usize, worked: &WorkedJob, today: Day) -> Option<OwedPiece> {
    let since = worked.collected.filter(|_| worked.ledger.due != Money::ZERO)?;
    Some(OwedPiece {
        at,
        since,
        days: u32::try_from(today.since(since)).unwrap_or(0),
        told: told(shop.jobs.get(worked.job)?, today),
        storage: storage(worked),
        due: worked.ledger.due,
    })
}

fn storage(worked: &WorkedJob) -> Money {
    let lines = worked.ledger.lines.iter().filter(|line| line.kind == LineKind::Storage);
    lines.map(|line| line.amount).sum()
}

fn sums(all: &[Open<'_>], home: &[OwedPiece], today: Day) -> Sums {
    let mut sums = Sums::default();
    for one in home {
        match one.due.is_negative() {
            true => sums.owed_back = sums.owed_back + (-one.due),
            false => sums.owed = sums.owed + one.due,
        }
    }
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
    let left = steps(one).filter(|(_, state)| !state.is_reached());
    let minutes = left.map(|(step, _)| match &step.work {
        StepWork::Bench(time) => time.likely.0,
        StepWork::Rest(_) | StepWork::Away { .. } => 0,
    });
    minutes.fold(0, u32::saturating_add)
}

/// Everything in the order in which the owner would take it up.
fn in_order(board: &mut Board, kinds: BTreeMap<String, StepQueue>, line: &dyn Fn(usize) -> Option<Day>) {
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
    board.owed.sort_by_key(|one| (one.since, one.at));
}

#[cfg(test)]
mod tests {
    use super::super::reckon;
    use super::super::sample::*;
    use super::*;
    use crate::model::{DepositRule, Job};
    use crate::problem::Code;

    fn board_of(shop: Shop, jobs: Vec<JobMaker>, today: &str) -> Board {
        let jobs: Vec<Job> = jobs.into_iter().map(JobMaker::made).collect();
        let shop = Shop { jobs, ..shop };
        let (worked, problems) = reckon(&shop, on(today));
        assert!(problems.iter().all(|p| p.code == Code::CollectedOwes), "{problems:?}");
        board(&shop, &worked)
    }

    fn tagged(number: &str, on: &str) -> JobMaker {
        job(number, on).tag(on)
    }

    #[test]
    fn every_open_piece_stands_where_its_steps_say() {
        let away = tagged("26-002", "2026-01-05").pose("2026-01-05").reached("head-sent", "2026-01-20");
        let dries = tagged("26-003", "2026-01-05")
            .pose("2026-01-05")
            .have("form", "2026-01-06")
            .reached("mounted", "2026-06-01");
        let parcel = tagged("26-004", "2026-01-05").pose("2026-01-05").reached("washed", "2026-01-20");
        let jobs = vec![
            job("26-001", "2026-01-05"),
            away,
            dries,
            parcel,
            tagged("26-005", "2026-01-05").reached("finished", "2026-06-20"),
            tagged("26-006", "2026-01-05").collected("2026-06-01"),
        ];
        let board = board_of(shop(), jobs, "2026-06-30");
        assert_eq!(board.open, [0, 1, 2, 3, 4]);
        let kinds: Vec<(&str, Vec<usize>)> =
            board.bench.iter().map(|k| (k.step.as_str(), k.turns.iter().map(|t| t.at).collect())).collect();
        assert_eq!(kinds, [("washed", vec![1])]);
        let waits: Vec<_> =
            board.waits.iter().map(|w| (w.at, w.gates.join("+"), w.customer, w.blocking)).collect();
        assert_eq!(waits, [(0, "tag".to_owned(), true, true)]);
        // 150 days after January 20 is June 19, eleven days before June 30.
        assert_eq!(
            (board.away[0].at, board.away[0].latest_back, board.away[0].late),
            (1, day("2026-06-19"), Some(11))
        );
        let rest = &board.rests[0];
        assert_eq!((rest.at, rest.due.least, rest.due.most), (2, day("2026-06-11"), day("2026-07-06")));
        assert_eq!((board.parcels[0].at, board.parcels[0].leaves), (3, Some(day("2026-06-30"))));
        assert_eq!((board.ready[0].at, board.ready[0].days, board.ready[0].told), (4, 10, None));
    }

    #[test]
    fn rush_goes_first_and_then_who_is_first_in_line() {
        let jobs = vec![
            tagged("26-001", "2026-03-05"),
            tagged("26-002", "2026-01-05"),
            tagged("26-003", "2026-04-05").change(|job| job.rush = true),
        ];
        let board = board_of(shop(), jobs, "2026-06-30");
        assert_eq!(board.bench[0].turns.iter().map(|t| t.at).collect::<Vec<_>>(), [2, 1, 0]);
        // Three times the sample's 30, 60 and 120 minutes; four bench steps are left on each piece.
        let time = board.bench[0].time;
        assert_eq!((time.least.0, time.likely.0, time.most.0, board.left.0), (90, 180, 360, 3 * 4 * 60));
    }

    #[test]
    fn the_money_is_sorted_by_what_is_ready() {
        let mut shop = shop();
        shop.studio.money.deposit = DepositRule::Flat(money(20_000));
        let charged = |number: &str| tagged(number, "2026-01-05").charge(60_000, "2026-01-05");
        let jobs = vec![
            charged("26-001").paid(15_000, "2026-01-05"),
            charged("26-002").paid(25_000, "2026-01-05").reached("finished", "2026-05-01"),
            charged("26-003").paid(70_000, "2026-01-05"),
        ];
        let sums = board_of(shop, jobs, "2026-06-30").sums;
        let want = Sums {
            due_now: money(35_000),
            due_later: money(45_000),
            held: money(85_000),
            deposits_missing: money(5_000),
            without_deposit: 1,
            owed_back: money(10_000),
            ..Sums::default()
        };
        assert_eq!(sums, want);
    }

    #[test]
    fn what_went_home_with_a_balance_stays_until_it_is_even() {
        let home =
            |number: &str, on: &str| tagged(number, "2026-01-05").charge(34_063, "2026-01-05").collected(on);
        let jobs = [
            home("26-001", "2026-06-01").paid(10_000, "2026-01-05"),
            home("26-002", "2026-05-01").written_off(34_063, "2026-06-30"),
            home("26-003", "2026-05-01").paid(34_063, "2026-05-01"),
            home("26-004", "2026-05-20").paid(34_163, "2026-05-01"),
            tagged("26-005", "2026-01-05").charge(500, "2026-01-05").paid(200, "2026-01-05"),
        ];
        let at = |day: &str| {
            let known = jobs.iter().cloned().map(JobMaker::made).collect();
            let shop = Shop { jobs: known, ..shop() };
            let board = board(&shop, &reckon(&shop, as_of(day)).0);
            let owed: Vec<_> = board.owed.iter().map(|o| (o.at, o.days, o.due.minor())).collect();
            (board.open, owed, board.sums)
        };
        let want = Sums {
            due_later: money(300),
            held: money(200),
            owed: money(24_063 + 34_063),
            owed_back: money(100),
            ..Sums::default()
        };
        let owed = vec![(1, 59, 34_063), (3, 40, -100), (0, 28, 24_063)];
        assert_eq!(at("2026-06-29"), (vec![4], owed, want.clone()));
        let (_, owed, sums) = at("2026-06-30");
        assert_eq!(owed, [(3, 41, -100), (0, 29, 24_063)], "written off, and so at an end");
        assert_eq!(sums, Sums { owed: money(24_063), ..want });
    }

    #[test]
    fn the_load_is_what_is_here_and_no_more_than_the_hours() {
        let mut light = shop();
        light.studio.bench = [480, 480, 480, 480, 480, 0, 0].map(Minutes);
        light.routes.insert("turkey".into(), route("turkey", "skinned bench !tag"));
        // June 29, 2026 is a Monday (ISO 8601 week 27).
        let one = board_of(light, vec![tagged("26-001", "2026-06-01")], "2026-06-29").load;
        assert_eq!((one[0].monday, one[0].hours), (day("2026-06-29"), Minutes(5 * 480)));
        assert!((20..=200).contains(&one[0].taken.0), "about an hour: {:?}", one[0]);
        assert!(one[1..].iter().all(|week| week.taken.0 <= 1), "{one:?}");
        let mut full = shop();
        full.studio.bench = [60, 0, 60, 0, 0, 0, 0].map(Minutes);
        full.routes.insert("turkey".into(), route("turkey", "skinned bench !tag"));
        let many = (0..80).map(|n| tagged(&format!("26-{n:03}"), "2026-06-01")).collect();
        let load = board_of(full, many, "2026-07-01").load;
        // Of the first week a Wednesday is left; with 80 pieces the bench is never idle.
        assert_eq!((load[0].hours, load[1].hours), (Minutes(60), Minutes(120)));
        assert!(
            load.iter().all(|week| week.taken <= week.hours && week.taken.0 + 2 >= week.hours.0),
            "{load:?}"
        );
        assert!(board_of(shop(), vec![tagged("26-001", "2026-06-01")], "2026-06-29").load.is_empty());
    }
}
