//! Rank 3: `Shop` and a day become `Worked`; no disk, no clock.
//!
//! For each job: is its record true (`truth`, `later`), how do its steps stand (`state`, `stage`), which gates are in its
//! way (`gates`), what is owed (`ledger` with `discount`, `tax`, `storage` and `deposit`; what may not be silent about it: `debt`), where is
//! its page (`address`), was that given to somebody else (`issued`), and for how long (`life`). For the counter: what goes into a `parcel`, and the `register`. `known` is the only door to dated facts. How any of it is
//! worded or shown is `render`'s.

pub mod address;
mod bench;
mod board;
pub mod calendar;
mod debt;
mod deposit;
mod discount;
pub mod estimate;
mod exact;
mod gates;
pub mod issued;
mod known;
mod later;
mod ledger;
mod life;
mod measures;
pub mod parcel;
#[cfg(test)]
mod properties;
pub mod register;
pub mod replay;
#[cfg(test)]
mod sample;
mod stage;
mod state;
mod storage;
mod tax;
mod truth;

use crate::base::day::Day;
use crate::model::{Job, LineBy, Route, Shop, StepState, Today, Worked, WorkedJob};
use crate::problem::Problems;
pub use board::board;
use deposit::Deposit;
pub use estimate::memo::Memo;
use gates::Gates;
use known::Known;

/// All that follows from the shop on a day, and what cannot be true in it.
pub fn reckon(shop: &Shop, today: Today) -> (Worked, Problems) {
    reckon_with(shop, today, &Memo::default())
}

/// The same with a memory of what was reckoned before; what it gives does not depend on it.
pub fn reckon_with(shop: &Shop, today: Today, memo: &Memo) -> (Worked, Problems) {
    let (mut jobs, spoilt, problems) = standing(shop, today);
    let estimate::Outlook { routes, past } = estimate::fill(shop, today.day, &mut jobs, memo);
    let bench = bench::months(shop, &jobs);
    let windows = bench::windows(shop, routes);
    (Worked { today: today.day, jobs, spoilt, bench, windows, past }, problems)
}

/// What follows for each job by itself, the numbers of jobs that contradict themselves, and how.
fn standing(shop: &Shop, today: Today) -> (Vec<WorkedJob>, Vec<String>, Problems) {
    let mut problems = Problems::default();
    let (mut jobs, mut spoilt) = (Vec::new(), Vec::new());
    for (at, job) in shop.jobs.iter().enumerate() {
        if today.asked && job.taken_in > today.day {
            // Not known yet on the day that was asked for.
            continue;
        }
        let Some(route) = shop.routes.get(&job.route) else {
            // Reading has told why the route is not there.
            spoilt.push(job.number.clone());
            continue;
        };
        if let Some(problem) = issued::problem(job, &shop.key, &shop.issued) {
            problems.push(problem);
            spoilt.push(job.number.clone());
            continue;
        }
        let mut wrong = truth::check(job, route, today);
        let mut made = None;
        if !wrong.iter().any(truth::spoils) {
            let known = Known::on(job, today.day);
            let worked = one(shop, at, route, known);
            wrong.extend(debt::check(&known, &worked.ledger, shop.studio.money.currency));
            made = Some(worked);
        }
        match made.filter(|_| !wrong.iter().any(truth::spoils)) {
            Some(worked) => jobs.push(worked),
            None => spoilt.push(job.number.clone()),
        }
        problems.extend(wrong);
    }
    (jobs, spoilt, problems)
}

/// Places in `Shop::jobs` of those jobs whose record makes sense, without any estimate.
pub fn healthy(shop: &Shop, today: Today) -> (Vec<usize>, Problems) {
    let (jobs, _, problems) = standing(shop, today);
    (jobs.iter().map(|worked| worked.job).collect(), problems)
}

/// What follows for one job whose record makes sense.
fn one(shop: &Shop, at: usize, route: &Route, known: Known<'_>) -> WorkedJob {
    let (studio, job) = (&shop.studio, known.job);
    let deposit = deposit::reckon(&studio.money, route, &known);
    let gates = Gates { known, deposit_met: deposit.met, rules: &studio.gates };
    let standings = state::standings(route, &gates);
    let ready = state::ready(&standings, job.taken_in);
    let collected = known.collected().map(|mark| mark.day);
    // Nobody owes storage before being told, and nothing is stored before it is ready.
    let grace_from = ready.zip(known.told()).map(|(day, told)| day.max(told.day));
    let grace_ends =
        studio.money.storage.as_ref().zip(grace_from).map(|(s, from)| storage::grace_ends(s, from));
    let page = address::of_job(shop, &job.number, job.page_link());
    WorkedJob {
        job: at,
        address: page.folder,
        seal: page.key,
        stage: stage::stage(route, &standings, collected.is_some()),
        gates: gates.ahead(route, &standings),
        away: state::away(route, &standings, &shop.partners),
        ready,
        collected,
        grace_ends,
        ledger: ledger::reckon(&studio.money, &known, grace_from, &deposit),
        scores: job.measures.as_ref().map(measures::scores).unwrap_or_default(),
        window: None,
        reason: None,
        no_window: None,
        choose_by: None,
        in_line_since: in_line_since(studio.line, job, &deposit),
        page: life::page(collected, studio.keep_days, known.day),
        steps: named(route, standings),
    }
}

/// The day that a piece's place in line counts from; never before it was there.
fn in_line_since(line: LineBy, job: &Job, deposit: &Deposit) -> Option<Day> {
    match line {
        LineBy::Arrival => Some(job.taken_in),
        LineBy::Deposit => deposit.met.map(|day| day.max(job.taken_in)),
    }
}

fn named(route: &Route, standings: Vec<crate::model::Standing>) -> Vec<StepState> {
    let each = route.steps.iter().zip(standings);
    each.map(|(step, standing)| StepState { name: step.name.clone(), standing }).collect()
}

#[cfg(test)]
mod tests {
    use super::sample::*;
    use crate::base::minutes::Minutes;
    use crate::model::{BenchMonth, PageLife, RouteWindow, Stage};

    #[test]
    fn a_job_that_contradicts_itself_leaves_the_others_alone() {
        let wrong = job("26-002", "2026-01-05").reached("skinned", "2026-01-01").made();
        let all = vec![job("26-001", "2026-01-05").made(), wrong, job("26-003", "2026-01-06").made()];
        let (worked, problems) = worked(shop(), all, on("2026-02-01"));
        assert_eq!(worked.jobs.iter().map(|w| w.job).collect::<Vec<_>>(), [0, 2]);
        assert_eq!((worked.spoilt, problems.iter().count()), (vec!["26-002".to_owned()], 1));
    }

    #[test]
    fn a_job_without_its_route_is_spoilt_and_was_told_before() {
        let lost = job("26-001", "2026-01-05").route("no-such").made();
        let (worked, problems) = worked(shop(), vec![lost], on("2026-02-01"));
        assert_eq!((worked.jobs.len(), worked.spoilt.len(), problems.is_empty()), (0, 1, true));
    }

    #[test]
    fn the_bench_is_counted_by_month_and_route() {
        let mut shop = shop();
        shop.routes.insert("fish".into(), route("fish", "skinned bench | dried rest | painted bench"));
        let fish = |number, on| job(number, on).route("fish");
        let all = vec![
            job("26-001", "2026-03-31").made(),
            fish("26-002", "2026-03-01").made(),
            job("26-003", "2026-01-05").collected("2026-03-01").made(),
            fish("26-004", "2025-12-31").made(),
            fish("26-005", "2026-03-02").reached("painted", "2026-03-30").made(),
        ];
        let (worked, _) = worked(shop, all, on("2026-04-01"));
        let month = |first, pieces: &[(&str, usize)]| BenchMonth {
            month: day(first),
            pieces: pieces.iter().map(|(r, n)| ((*r).to_owned(), *n)).collect(),
        };
        assert_eq!(
            worked.bench,
            [month("2025-12-01", &[("fish", 1)]), month("2026-03-01", &[("fish", 2), ("turkey", 1)])]
        );
        let window =
            |route: &str, minutes| RouteWindow { route: route.into(), window: None, bench: Minutes(minutes) };
        assert_eq!(worked.windows, [window("fish", 120), window("turkey", 240)]);
    }

    #[test]
    fn a_collected_piece_keeps_its_page_for_a_while() {
        let made = || job("26-001", "2026-01-05").collected("2026-03-01");
        let closing = single(shop(), made(), on("2026-05-30"));
        assert_eq!(closing.stage, Stage::Collected);
        assert_eq!(closing.page, PageLife::Closing { until: day("2026-05-30") });
        assert_eq!(single(shop(), made(), on("2026-05-31")).page, PageLife::Gone);
        assert_eq!(single(shop(), made(), as_of("2026-02-28")).page, PageLife::Open);
    }

    #[test]
    fn no_date_is_given_as_long_as_none_can_be() {
        let worked = single(shop(), job("26-001", "2026-01-05"), on("2026-02-01"));
        assert_eq!((worked.window, worked.choose_by), (None, None));
    }
}
