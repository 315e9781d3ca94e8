//! The only door from the shop to the plain facts that estimates are made from.

use super::chance;
use super::facts::{Facts, PartnerPlan, Piece, RoutePlan, StepFacts, StepPlan, WorkPlan};
use crate::base::day::Day;
use crate::model::{Job, Likely, Route, Shop, Step, StepWork};
use crate::work::deposit;
use crate::work::gates::Gates;
use crate::work::known::Known;

/// The facts of these jobs (places in `Shop::jobs`), as far as they were known on a day. Pieces stand in the
/// order of `jobs`.
pub fn facts(shop: &Shop, jobs: &[usize], day: Day) -> Facts {
    let routes: Vec<&Route> = shop.routes.values().collect();
    let partners: Vec<&String> = shop.partners.keys().collect();
    let step = |step: &Step| StepPlan {
        after: step.after.clone(),
        work: work(step, &partners),
        gated: !step.needs.is_empty(),
    };
    let pieces = jobs.iter().filter_map(|at| shop.jobs.get(*at)).filter_map(|job| {
        let at = routes.iter().position(|route| route.key == job.route)?;
        Some(piece(shop, job, at, routes.get(at)?, day))
    });
    Facts {
        hours: shop.studio.bench,
        closures: shop.studio.closures.clone(),
        hands: shop.studio.hands,
        batches: shop.studio.batches,
        routes: routes.iter().map(|r| RoutePlan { steps: r.steps.iter().map(step).collect() }).collect(),
        partners: shop
            .partners
            .values()
            .map(|p| PartnerPlan { key: chance::of_name(&p.key), days: p.days, parcels: p.parcels.clone() })
            .collect(),
        pieces: pieces.collect(),
    }
}

fn work(step: &Step, partners: &[&String]) -> WorkPlan {
    match &step.work {
        StepWork::Bench(time) => {
            WorkPlan::Bench(Likely { least: time.least.0, likely: time.likely.0, most: time.most.0 })
        }
        StepWork::Rest(days) => WorkPlan::Rest(*days),
        // Reading lets no unknown partner through.
        StepWork::Away { partner } => {
            WorkPlan::Away(partners.iter().position(|key| *key == partner).unwrap_or(usize::MAX))
        }
    }
}

fn piece(shop: &Shop, job: &Job, route_at: usize, route: &Route, day: Day) -> Piece {
    let known = Known::on(job, day);
    let deposit = deposit::reckon(&shop.studio.money, route, &known);
    let gates = Gates { known, deposit_met: deposit.met, rules: &shop.studio.gates };
    let steps = route.steps.iter().map(|step| {
        let mut met = step.needs.iter().map(|gate| gates.met(gate));
        StepFacts {
            reached: known.reached(&step.name).map(|mark| mark.day),
            sent: step.sent.as_ref().and_then(|name| known.reached(name)).map(|mark| mark.day),
            gates_met: met.try_fold(job.taken_in, |all, one| Some(all.max(one?))),
        }
    });
    Piece {
        key: chance::of_name(&job.number.to_ascii_lowercase()),
        route: route_at,
        taken_in: job.taken_in,
        in_line: crate::work::in_line_since(shop.studio.line, job, &deposit),
        rush: job.rush,
        collected: known.collected().map(|mark| mark.day),
        steps: steps.collect(),
    }
}
