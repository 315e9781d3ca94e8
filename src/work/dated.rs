//! The only door from the shop to its dated facts: built once for each job, so that its page, its gates, its deposit and its
//! estimate all know the same.
//!
//! What of them is known on which day, and how a step stands by them, is `view`'s.

use super::deposit::{self, Deposit};
use super::estimate::chance;
use super::gates::Gates;
use super::known::Known;
use crate::base::day::Day;
use crate::model::{
    Facts, Job, LineBy, PartnerPlan, PieceFacts, Route, RoutePlan, Shop, Step, StepFacts, StepPlan, StepWork,
};

/// One job's facts as known on the day of the pass.
#[derive(Clone, Debug)]
pub(super) struct Dated<'a> {
    /// What decides on its gates.
    pub gates: Gates<'a>,
    pub deposit: Deposit,
    /// Its days, as views and estimates read them.
    pub facts: PieceFacts,
}

impl<'a> Dated<'a> {
    /// Of a job whose route is in the shop.
    pub fn of(shop: &'a Shop, route: &Route, known: Known<'a>) -> Dated<'a> {
        let deposit = deposit::reckon(&shop.studio.money, route, &known);
        let gates = Gates { known, deposit_met: deposit.met, rules: &shop.studio.gates };
        let job = known.job;
        let facts = PieceFacts {
            key: chance::of_name(&job.number.to_ascii_lowercase()),
            route: shop.routes.keys().position(|key| *key == job.route).unwrap_or(usize::MAX),
            taken_in: job.taken_in,
            in_line: in_line_since(shop.studio.line, job, &deposit),
            rush: job.rush,
            collected: known.collected().map(|mark| mark.day),
            steps: route.steps.iter().map(|step| step_facts(step, &gates)).collect(),
        };
        Dated { gates, deposit, facts }
    }
}

fn step_facts(step: &Step, gates: &Gates<'_>) -> StepFacts {
    let known = &gates.known;
    let mut met = step.needs.iter().map(|gate| gates.met(gate));
    StepFacts {
        reached: known.reached(&step.name).map(|mark| mark.day),
        sent: step.sent.as_ref().and_then(|name| known.reached(name)).map(|mark| mark.day),
        gates_met: met.try_fold(known.job.taken_in, |all, one| Some(all.max(one?))),
    }
}

/// The day that a piece's place in line counts from; never before it was there.
fn in_line_since(line: LineBy, job: &Job, deposit: &Deposit) -> Option<Day> {
    match line {
        LineBy::Arrival => Some(job.taken_in),
        LineBy::Deposit => deposit.met.map(|day| day.max(job.taken_in)),
    }
}

/// The facts of the shop itself, without any piece.
pub(super) fn shop_alone(shop: &Shop) -> Facts {
    let route = |route: &Route| RoutePlan { steps: route.steps.iter().map(|own| step(shop, own)).collect() };
    let partners = shop.partners.values().map(|p| PartnerPlan {
        key: chance::of_name(&p.key),
        days: p.days,
        parcels: p.parcels.clone(),
    });
    Facts {
        hours: shop.studio.bench,
        closures: shop.studio.closures.clone(),
        hands: shop.studio.hands,
        batches: shop.studio.batches,
        routes: shop.routes.values().map(route).collect(),
        partners: partners.collect(),
        pieces: Vec::new(),
    }
}

fn step(shop: &Shop, step: &Step) -> StepPlan {
    let work = match &step.work {
        StepWork::Bench(time) => StepWork::Bench(*time),
        StepWork::Rest(days) => StepWork::Rest(*days),
        // Reading lets no unknown partner through.
        StepWork::Away { partner } => StepWork::Away {
            partner: shop.partners.keys().position(|key| key == partner).unwrap_or(usize::MAX),
        },
    };
    StepPlan { after: step.after.clone(), work, gated: !step.needs.is_empty() }
}
