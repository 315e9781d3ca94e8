//! What can be said of the bench as a whole, without a name: open pieces by month, and each route's figures.

use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::{BenchMonth, Route, RouteWindow, Shop, Stage, StepWork, Window, WorkedJob};
use std::collections::BTreeMap;

/// Pieces that were not collected yet, by the month they were taken in and by route.
pub(super) fn months(shop: &Shop, jobs: &[WorkedJob]) -> Vec<BenchMonth> {
    let mut months: BTreeMap<Day, BTreeMap<&str, usize>> = BTreeMap::new();
    for worked in jobs.iter().filter(|w| w.stage != Stage::Collected) {
        if let Some(job) = shop.job(worked.job) {
            let pieces = months.entry(job.taken_in.first_of_month()).or_default();
            *pieces.entry(&job.route).or_default() += 1;
        }
    }
    let month = |(month, pieces): (Day, BTreeMap<&str, usize>)| BenchMonth {
        month,
        pieces: pieces.into_iter().map(|(route, count)| (route.to_owned(), count)).collect(),
    };
    months.into_iter().map(month).collect()
}

/// One for each route, with its estimate where one can be made.
pub(super) fn windows(shop: &Shop, windows: Vec<Option<Window>>) -> Vec<RouteWindow> {
    let window = |(route, window): (&Route, Option<Window>)| RouteWindow {
        route: route.key.clone(),
        window,
        bench: hands_on(route),
    };
    shop.routes.values().zip(windows).map(window).collect()
}

/// The likely hands-on time of all bench steps.
fn hands_on(route: &Route) -> Minutes {
    let minutes = route.steps.iter().map(|step| match &step.work {
        StepWork::Bench(time) => time.likely.0,
        StepWork::Rest(_) | StepWork::Away { .. } => 0,
    });
    Minutes(minutes.fold(0, u32::saturating_add))
}
