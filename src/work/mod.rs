//! Rank 3: `Shop` and a day become `Worked`; no disk, no clock.
//!
//! Facts first: `Shop` -> dated facts of each job (`dated`) -> how its steps stand on a day (`view`) -> its page's states, gates
//! and stage (`on_day` with `step_names`, `gates`, `stage`) and its estimate (`estimate`). Is its record true is asked before
//! (`truth`, `later`). What is owed (`ledger` with `discount`, `tax`, `storage` and `deposit`; what may not be silent about it: `debt`), where
//! its page is (`address`), whether that was given to somebody else (`issued`), and for how long it lives (`life`) hangs on the same. For the counter: what goes into a `parcel`, and the `register`. `known` is the only door to what is known on a day. How any of it is
//! worded or shown is `render`'s.

pub mod address;
#[cfg(test)]
mod agreement;
mod bench;
mod board;
pub mod calendar;
mod dated;
mod debt;
mod deposit;
mod discount;
pub mod estimate;
mod gates;
pub mod issued;
mod known;
mod later;
mod ledger;
mod life;
mod measures;
mod on_day;
pub mod parcel;
#[cfg(test)]
mod properties;
pub mod register;
pub mod replay;
#[cfg(test)]
mod sample;
mod stage;
mod step_names;
mod storage;
mod tax;
mod truth;
pub mod view;

use crate::model::{Facts, InShop, Shop, Today, Worked, WorkedJob};
use crate::problem::Problems;
pub use board::board;
pub use estimate::memo::Memo;
use known::KnownJob;
use on_day::JobOnDay;

/// All that follows from the shop on a day, and what cannot be true in it.
pub fn reckon(shop: &Shop, today: Today) -> (Worked, Problems) {
    reckon_with(shop, today, &Memo::default())
}

/// The same with a memory of what was reckoned before; what it gives does not depend on it.
pub fn reckon_with(shop: &Shop, today: Today, memo: &Memo) -> (Worked, Problems) {
    let Sound { jobs, facts, spoilt, problems } = sound(shop, today);
    let estimate::Outlooks { jobs: outlooks, routes, past } =
        estimate::outlooks(shop, &facts, &jobs, today.day, memo);
    let finished = jobs.into_iter().zip(outlooks).map(|(job, outlook)| job.finished(shop, outlook));
    let jobs: Vec<WorkedJob> = finished.collect();
    let bench = bench::months(shop, &jobs);
    let windows = bench::windows(shop, routes);
    (Worked { today: today.day, jobs, facts, spoilt, bench, windows, past }, problems)
}

/// The dated facts of those jobs whose record makes sense, without any estimate.
pub fn facts(shop: &Shop, today: Today) -> (Facts, Problems) {
    let Sound { facts, problems, .. } = sound(shop, today);
    (facts, problems)
}

/// The jobs whose record makes sense, and the rest.
struct Sound<'a> {
    jobs: Vec<JobOnDay<'a>>,
    /// Pieces in the order of `jobs`.
    facts: Facts,
    /// Numbers of jobs that contradict themselves, and how they do.
    spoilt: Vec<String>,
    problems: Problems,
}

/// What follows for each job by itself.
fn sound(shop: &Shop, today: Today) -> Sound<'_> {
    let facts = dated::shop_alone(shop);
    let mut sound = Sound { jobs: Vec::new(), facts, spoilt: Vec::new(), problems: Problems::default() };
    for (at, job) in shop.jobs.iter().enumerate() {
        if today.asked && job.taken_in > today.day {
            // Not known yet on the day that was asked for.
            continue;
        }
        let plans = shop.routes.values().zip(&sound.facts.routes);
        let Some(route) = plans.into_iter().find(|(route, _)| route.key == job.route) else {
            // Reading has told why the route is not there.
            sound.spoilt.push(job.number.clone());
            continue;
        };
        if let Some(problem) = issued::problem(job, &shop.key, &shop.issued) {
            sound.problems.push(problem);
            sound.spoilt.push(job.number.clone());
            continue;
        }
        let mut wrong = truth::check(job, route.0, today);
        let mut made = None;
        if !wrong.iter().any(truth::spoils) {
            let known = KnownJob::on(job, today.day);
            let (worked, facts) =
                JobOnDay::of(shop, (InShop::new(at), sound.facts.pieces.len()), route, known);
            wrong.extend(debt::check(&known, &worked.ledger, shop.studio.money.currency));
            made = Some((worked, facts));
        }
        match made.filter(|_| !wrong.iter().any(truth::spoils)) {
            Some((worked, facts)) => {
                sound.jobs.push(worked);
                sound.facts.pieces.push(facts);
            }
            None => sound.spoilt.push(job.number.clone()),
        }
        sound.problems.extend(wrong);
    }
    sound
}

#[cfg(test)]
mod tests {
    use super::sample::*;
    use crate::base::minutes::Minutes;
    use crate::model::{BenchMonth, InShop, NoWindow, Outlook, PageLife, RouteWindow, Stage};

    #[test]
    fn a_job_that_contradicts_itself_leaves_the_others_alone() {
        let wrong = job("26-002", "2026-01-05").reached("skinned", "2026-01-01").made();
        let all = vec![job("26-001", "2026-01-05").made(), wrong, job("26-003", "2026-01-06").made()];
        let (worked, problems) = worked(shop(), all, on("2026-02-01"));
        assert_eq!(worked.jobs.iter().map(|w| w.job).collect::<Vec<_>>(), [0, 2].map(InShop::new));
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
        assert_eq!((worked.choose_by(), worked.outlook), (None, Outlook::Unknown(NoWindow::BenchHours)));
    }
}
