//! What must hold for every route and every job, tried on thousands that dice have made.

use super::sample::*;
use crate::base::day::Day;
use crate::base::money::Money;
use crate::model::*;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// A route of up to nine steps with random needs and gates.
fn any_route(dice: &mut Dice) -> Route {
    let mut steps = Vec::new();
    for at in 0..dice.below(9) + 1 {
        let kind = ["bench", "rest", "away"][dice.below(3) as usize];
        let after: Vec<String> = (0..at).filter(|_| dice.chance(35)).map(|n| format!("s{n}")).collect();
        let gates: Vec<&str> =
            ["pose", "deposit", "tag", "form"].into_iter().filter(|_| dice.chance(15)).collect();
        let gates = if gates.is_empty() { String::new() } else { format!("!{}", gates.join(",")) };
        steps.push(format!("s{at} {kind} <{} {gates}", after.join(",")));
    }
    route("turkey", &steps.join("|"))
}

pub(super) fn any_day(dice: &mut Dice) -> String {
    day("2026-01-05").plus(dice.below(200) as u32).iso()
}

/// A job of that route with facts on random days, true or not.
pub(super) fn any_job(dice: &mut Dice, route: &Route) -> JobMaker {
    let mut made = job("26-001", "2026-01-05");
    for step in &route.steps {
        if dice.chance(30) {
            made = made.reached(&step.name, &any_day(dice));
        }
        if let Some(sent) = step.sent.as_ref().filter(|_| dice.chance(40)) {
            made = made.reached(sent, &any_day(dice));
        }
    }
    made = if dice.chance(50) { made.pose(&any_day(dice)) } else { made };
    made = if dice.chance(50) { made.tag(&any_day(dice)) } else { made };
    made = if dice.chance(50) { made.have("form", &any_day(dice)) } else { made };
    made = if dice.chance(30) { made.told(&any_day(dice)) } else { made };
    made = if dice.chance(10) { made.collected(&any_day(dice)) } else { made };
    any_money(dice, made)
}

fn any_money(dice: &mut Dice, mut made: JobMaker) -> JobMaker {
    for _ in 0..dice.below(5) {
        let count = Decimal::new(dice.between(-50, 5000) as i64, dice.below(4) as u32);
        let each = Amount::Each { each: money(dice.between(-900, 90_000)), count };
        let flat = Amount::Flat(money(dice.between(-5_000, 90_000)));
        let amount = if dice.chance(50) { each } else { flat };
        made = made.line(["work", "goods", "shipping"][dice.below(3) as usize], amount, &any_day(dice));
    }
    for _ in 0..dice.below(3) {
        let percent = Less::Percent(Decimal::new(dice.between(0, 12_000) as i64, 2));
        let flat = Less::Flat(money(dice.between(0, 90_000)));
        made = made.less(if dice.chance(50) { percent } else { flat }, &any_day(dice));
    }
    for _ in 0..dice.below(4) {
        made = made.paid(dice.between(1, 60_000), &any_day(dice));
    }
    made = if dice.chance(20) { made.refunded(dice.between(1, 30_000), &any_day(dice)) } else { made };
    if dice.chance(15) { made.written_off(dice.between(1, 20_000), &any_day(dice)) } else { made }
}

fn any_rules(dice: &mut Dice) -> MoneyRules {
    let rate = |dice: &mut Dice| Decimal::new(dice.between(0, 25_000) as i64, 3);
    let mut taxes = vec![];
    for on in ["work goods", "goods", "goods shipping storage"] {
        if dice.chance(60) {
            taxes.push(Tax { rate: rate(dice), included: dice.chance(40), ..tax("Tax", "0", on) });
        }
    }
    let per =
        [StoragePer::Day, StoragePer::Week, StoragePer::Month, StoragePer::Once][dice.below(4) as usize];
    let storage = Storage {
        grace: dice.below(60) as u32,
        fee: money(dice.between(0, 2000)),
        per,
        cap: dice.chance(30).then_some(money(9000)),
    };
    let rounding = [Rounding::HalfUp, Rounding::HalfEven, Rounding::Up, Rounding::Down];
    MoneyRules {
        taxes,
        storage: dice.chance(70).then_some(storage),
        tax_rounding: rounding[dice.below(4) as usize],
        tax_by: if dice.chance(50) { TaxBy::Whole } else { TaxBy::Line },
        deposit: DepositRule::Percent(Decimal::new(dice.between(0, 100) as i64, 0)),
        ..rules("USD")
    }
}

pub(super) fn any_shop(dice: &mut Dice) -> (Shop, Route) {
    let (mut shop, route) = (shop(), any_route(dice));
    shop.routes = BTreeMap::from([("turkey".to_owned(), route.clone())]);
    shop.studio.money = any_rules(dice);
    (shop, route)
}

/// Thousands of jobs whose record makes sense on 1 May, with their shop's route.
fn each_worked(seed: u64, mut look: impl FnMut(&Route, &Job, &WorkedJob)) {
    let mut dice = Dice::new(seed);
    let mut sound = 0;
    for _ in 0..6000 {
        let (shop, route) = any_shop(&mut dice);
        let made = any_job(&mut dice, &route).made();
        let (worked, problems) = worked(shop, vec![made.clone()], as_of("2026-05-01"));
        match worked.jobs.first() {
            Some(job) => look(&route, &made, job),
            None => assert!(!problems.is_empty() && worked.spoilt == ["26-001"]),
        }
        sound += worked.jobs.len();
    }
    assert!((1000..6000).contains(&sound), "too few or no contradictions among them: {sound} sound");
}

fn reached(standing: &StepState) -> Option<Day> {
    match standing {
        StepState::Reached { day, .. } => Some(*day),
        _ => None,
    }
}

#[test]
fn what_is_reached_is_closed_under_what_it_needs() {
    each_worked(1, |route, made, job| {
        for (step, state) in route.steps.iter().zip(&job.steps) {
            for needed in &step.after {
                let before = reached(&job.steps[*needed].state);
                match (&state.state, before) {
                    (StepState::Reached { day, .. } | StepState::Sent { since: day }, Some(before)) => {
                        assert!(before <= *day)
                    }
                    (StepState::Reached { .. } | StepState::Sent { .. }, None) => panic!("{made:?}"),
                    (StepState::Open { since }, before) => assert!(before.unwrap() <= *since),
                    (StepState::Held { .. }, before) => assert!(before.is_some()),
                    (StepState::Ahead, _) => {}
                }
            }
            let all_before = step.after.iter().all(|n| reached(&job.steps[*n].state).is_some());
            assert_eq!(state.state == StepState::Ahead, !all_before && reached(&state.state).is_none());
        }
    });
}

#[test]
fn only_what_a_later_step_tells_is_implied() {
    each_worked(2, |route, made, job| {
        for (at, state) in job.steps.iter().enumerate() {
            let StepState::Reached { day, exact, .. } = state.state else { continue };
            if exact {
                assert_eq!(made.reached.get(&state.name).map(|m| m.day), Some(day));
                continue;
            }
            let told = route.steps.iter().zip(&job.steps).any(|(later, its)| {
                let since = match its.state {
                    StepState::Reached { day, .. } => Some(day),
                    StepState::Sent { since } => Some(since),
                    _ => None,
                };
                let sent = later.sent.as_ref().and_then(|s| made.reached.get(s)).map(|m| m.day);
                later.after.contains(&at) && (since == Some(day) || sent == Some(day))
            });
            assert!(told || job.collected == Some(day), "{} of {made:?}", state.name);
        }
    });
}

#[test]
fn stage_gates_and_steps_tell_one_story() {
    each_worked(3, |_, _, job| {
        let count = |wanted: fn(&StepState) -> bool| job.steps.iter().filter(|s| wanted(&s.state)).count();
        let open = count(|s| matches!(s, StepState::Open { .. }));
        let sent = count(|s| matches!(s, StepState::Sent { .. }));
        let held = count(|s| matches!(s, StepState::Held { .. }));
        let done = count(|s| matches!(s, StepState::Reached { .. }));
        assert_eq!(job.ready.is_some(), done == job.steps.len());
        assert_eq!(job.away.len(), sent);
        assert_eq!(held > 0, job.gates.iter().any(|g| g.blocking));
        assert!(job.gates.iter().all(|g| !(g.blocking && g.met.is_some())));
        match job.stage {
            Stage::Collected => assert!(job.collected.is_some()),
            Stage::Ready => assert_eq!(done, job.steps.len()),
            Stage::InLine => assert!(open > 0 && done + sent == 0),
            Stage::Held => assert!(held > 0 && open + sent == 0),
            Stage::AtBench | Stage::Resting => assert!(open > 0 && done + sent > 0),
            Stage::Away => assert!(sent > 0),
        }
    });
}

#[test]
fn shown_parts_add_up_to_shown_sums() {
    each_worked(4, |_, _, job| {
        let ledger = &job.ledger;
        let lines: Money = ledger.lines.iter().map(|l| l.amount).sum();
        let added: Money = ledger.taxes.iter().filter(|t| !t.included).map(|t| t.amount).sum();
        let paid: Money = ledger.payments.iter().map(|l| l.amount).sum();
        assert_eq!(ledger.total, lines + added);
        assert_eq!(ledger.paid, paid);
        assert_eq!(ledger.written_off, ledger.write_offs.iter().map(|l| l.amount).sum());
        assert_eq!(ledger.due, ledger.total - ledger.paid - ledger.written_off);
        assert!(ledger.written_off == Money::ZERO || !ledger.due.is_negative());
        let of = |kind| ledger.lines.iter().filter(move |l| l.kind == kind).map(|l| l.amount);
        let charges: Money = of(LineKind::Charge).sum();
        let discounts: Money = of(LineKind::Discount).sum();
        assert!(of(LineKind::Discount).all(|amount| !amount.is_positive()));
        assert!(discounts == Money::ZERO || !(charges + discounts).is_negative());
        assert!(!ledger.deposit_asked.is_negative());
        assert!(ledger.payments.windows(2).all(|pair| pair[0].on <= pair[1].on));
    });
}

/// The job without everything that is dated later than a day.
fn without_later(job: &Job, day: Day) -> Job {
    let mut job = job.clone();
    job.reached.retain(|_, m| m.day <= day);
    job.have.retain(|_, m| m.day <= day);
    job.collected = job.collected.filter(|m| m.day <= day);
    job.told = job.told.filter(|m| m.day <= day);
    job.pose = job.pose.filter(|p| p.on <= day);
    job.tag_since = job.tag_since.filter(|d| *d <= day);
    job.signature_since = job.signature_since.filter(|d| *d <= day);
    job.charges.retain(|c| c.on <= day);
    job.discounts.retain(|d| d.on <= day);
    job.payments.retain(|p| p.on <= day);
    job.refunds.retain(|p| p.on <= day);
    job.write_offs.retain(|w| w.on <= day);
    job
}

#[test]
fn later_facts_change_nothing_on_an_earlier_day() {
    let mut dice = Dice::new(5);
    let mut shortened = 0;
    for _ in 0..6000 {
        let (shop, route) = any_shop(&mut dice);
        let today = as_of(&any_day(&mut dice));
        let whole = any_job(&mut dice, &route).made();
        let known = without_later(&whole, today.day);
        shortened += usize::from(format!("{whole:?}") != format!("{known:?}"));
        let (a, a_problems) = super::reckon(&Shop { jobs: vec![whole], ..shop.clone_for_tests() }, today);
        let (b, b_problems) =
            super::reckon(&Shop { jobs: vec![known.clone()], ..shop.clone_for_tests() }, today);
        assert_eq!(format!("{a:?}{a_problems:?}"), format!("{b:?}{b_problems:?}"));
        // Once nothing lies ahead, it makes no difference whether the day was asked for.
        let clock = Today { asked: false, ..today };
        let (c, c_problems) = super::reckon(&Shop { jobs: vec![known], ..shop }, clock);
        assert_eq!(format!("{a:?}{a_problems:?}"), format!("{c:?}{c_problems:?}"));
    }
    assert!(shortened > 3000);
}

#[test]
fn the_order_of_what_is_written_does_not_matter() {
    let mut dice = Dice::new(6);
    for _ in 0..2000 {
        let (shop, route) = any_shop(&mut dice);
        let mut facts: Vec<(String, String)> = Vec::new();
        for (at, step) in route.steps.iter().enumerate() {
            // In the route's order every day is later than the one before, so the record is true.
            let on = |half: u32| day("2026-01-06").plus(at as u32 * 2 + half).iso();
            let names = step.sent.iter().map(|n| (n, on(0))).chain([(&step.name, on(1))]);
            facts.extend(names.filter(|_| dice.chance(40)).map(|(n, on)| (n.clone(), on)));
        }
        let build = |facts: &[(String, String)]| {
            let made =
                facts.iter().fold(job("26-001", "2026-01-05"), |job, (name, on)| job.reached(name, on));
            made.paid(500, "2026-02-01").made()
        };
        let forward = build(&facts);
        for at in (1..facts.len()).rev() {
            facts.swap(at, dice.below(at as u64 + 1) as usize);
        }
        let (a, _) = worked(shop.clone_for_tests(), vec![forward], as_of("2026-08-01"));
        let (b, _) = worked(shop, vec![build(&facts)], as_of("2026-08-01"));
        assert_eq!((a.jobs.len(), format!("{a:?}")), (1, format!("{b:?}")));
    }
}

#[test]
fn payments_in_any_order_come_to_the_same() {
    let mut dice = Dice::new(8);
    for _ in 0..2000 {
        let (shop, _) = any_shop(&mut dice);
        let mut made = any_money(&mut dice, job("26-001", "2026-01-05")).made();
        let (a, _) = worked(shop.clone_for_tests(), vec![made.clone()], as_of("2026-08-01"));
        made.payments.reverse();
        let (b, _) = worked(shop, vec![made], as_of("2026-08-01"));
        let sums = |w: &Worked| {
            let ledger = w.jobs.first().map(|job| &job.ledger);
            ledger.map(|l| (l.paid, l.written_off, l.due, l.deposit_met))
        };
        assert_eq!(sums(&a), sums(&b));
    }
}

/// What a job's own lines come to on a day, added up from the facts themselves: payments, refunds, write-offs.
fn moved(job: &Job, day: Day) -> Money {
    let until = |all: &[Payment]| all.iter().filter(|p| p.on <= day).map(|p| p.amount).sum::<Money>();
    let off: Money = job.write_offs.iter().filter(|w| w.on <= day).map(|w| w.amount).sum();
    until(&job.payments) - until(&job.refunds) + off
}

#[test]
fn debts_neither_appear_nor_vanish_on_any_day() {
    let mut dice = Dice::new(9);
    let (mut days, mut owed_at_home, mut told_of) = (0, 0, 0);
    for _ in 0..60 {
        let (shop, route) = any_shop(&mut dice);
        let jobs: Vec<Job> = (0..4)
            .map(|at| {
                let mut made = any_job(&mut dice, &route);
                made = if dice.chance(40) { made.collected("2026-07-25") } else { made };
                made.change(|job| job.number = format!("26-00{at}")).made()
            })
            .collect();
        let shop = Shop { jobs, ..shop };
        // From the first day on to long after the last thing that happened.
        for step in 0..60 {
            let today = as_of(&day("2026-01-05").plus(step * 5).iso());
            let (worked, problems) = super::reckon(&shop, today);
            let board = super::board(&shop, &worked);
            let on_board = |at: &usize| board.open.contains(at) || board.owed.iter().any(|one| one.at == *at);
            let mut all = Money::ZERO;
            let mut listed = Money::ZERO;
            for (at, job) in worked.jobs.iter().enumerate() {
                let (ledger, facts) = (&job.ledger, &shop.jobs[job.job]);
                let lines: Money = ledger.lines.iter().map(|l| l.amount).sum();
                let taxes: Money = ledger.taxes.iter().filter(|t| !t.included).map(|t| t.amount).sum();
                assert_eq!(ledger.due, lines + taxes - moved(facts, today.day), "{facts:?} on {today:?}");
                let due = ledger.due.max(Money::ZERO);
                all = all + due;
                listed = if on_board(&at) { listed + due } else { listed };
                let owes = job.collected.is_some() && ledger.due != Money::ZERO;
                assert_eq!(board.owed.iter().any(|one| one.at == at), owes);
                let of_job = problems.iter().filter(|p| p.job.as_deref() == Some(facts.number.as_str()));
                let told = of_job.filter(|p| p.code == crate::problem::Code::CollectedOwes).count();
                assert_eq!(told, usize::from(owes));
                owed_at_home += usize::from(owes);
                told_of += told;
            }
            let sums = &board.sums;
            assert_eq!((listed, sums.due_now + sums.due_later + sums.owed), (all, all), "on {today:?}");
            let held = worked.jobs.iter().filter(|job| job.ready.is_none()).map(|job| job.ledger.paid).sum();
            assert_eq!(sums.held, held, "deposits on unfinished pieces");
            days += worked.jobs.len();
        }
    }
    assert!(days > 3000 && owed_at_home > 300 && told_of == owed_at_home, "{days} {owed_at_home}");
}

trait CloneForTests {
    fn clone_for_tests(&self) -> Shop;
}

impl CloneForTests for Shop {
    /// A shop is not meant to be copied by the program; here each reckoning takes its own.
    fn clone_for_tests(&self) -> Shop {
        Shop {
            studio: self.studio.clone(),
            key: self.key.clone(),
            partners: self.partners.clone(),
            routes: self.routes.clone(),
            jobs: self.jobs.clone(),
            spoilt: self.spoilt.clone(),
            spoilt_links: self.spoilt_links.clone(),
            issued: self.issued.clone(),
            remains: self.remains.clone(),
            poses: vec![],
            pages: vec![],
        }
    }
}
