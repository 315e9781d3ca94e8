//! One job on the day of the pass: all that follows from its dated facts, before its estimate.
//!
//! Its estimate is `estimate`'s, for all jobs together; with it the job is whole.

use super::dated::Dated;
use super::known::KnownJob;
use super::{address, ledger, life, measures, stage, step_names, storage, view};
use crate::base::day::Day;
use crate::model::{
    Away, Gate, InShop, Ledger, Outlook, PieceFacts, Route, RoutePlan, Shop, WorkedJob, WorkedStep,
};

/// A job whose record makes sense.
#[derive(Debug)]
pub(super) struct JobOnDay<'a> {
    pub at: InShop,
    pub known: KnownJob<'a>,
    pub route: &'a Route,
    pub steps: Vec<WorkedStep>,
    pub gates: Vec<Gate>,
    pub away: Vec<Away>,
    pub ready: Option<Day>,
    in_line_since: Option<Day>,
    grace_ends: Option<Day>,
    pub ledger: Ledger,
}

impl<'a> JobOnDay<'a> {
    /// What follows for one job, and its facts. `at` and `piece` are its places in the shop and among the facts, `plan` is its
    /// route by index.
    pub fn of(
        shop: &'a Shop,
        (at, piece): (InShop, usize),
        (route, plan): (&'a Route, &RoutePlan),
        known: KnownJob<'a>,
    ) -> (JobOnDay<'a>, PieceFacts) {
        let rules = &shop.studio.money;
        let Dated { gates, deposit, facts } = Dated::of(shop, route, known);
        let view = view::piece_on(piece, &facts, plan, known.day);
        let steps = step_names::steps(route, &view.steps, &gates);
        // Nobody owes storage before being told, and nothing is stored before it is ready.
        let grace_from = view.ready.zip(known.customer_told()).map(|(day, told)| day.max(told.day));
        let grace_ends = rules.storage.as_ref().zip(grace_from).map(|(s, from)| storage::grace_ends(s, from));
        let job = JobOnDay {
            at,
            known,
            route,
            gates: gates.ahead(route, &steps),
            away: step_names::away(route, &view.steps, &shop.partners),
            steps,
            ready: view.ready,
            in_line_since: view.in_line,
            grace_ends,
            ledger: ledger::reckon(rules, &known, grace_from, &deposit),
        };
        (job, facts)
    }

    /// The job with its estimate: nothing is missing any more.
    pub fn finished(self, shop: &Shop, outlook: Outlook) -> WorkedJob {
        let job = self.known.job;
        let collected = self.known.collected().map(|mark| mark.day);
        let page = address::of_job(shop, &job.number, job.page_link());
        WorkedJob {
            job: self.at,
            address: page.folder,
            seal: page.key,
            stage: stage::stage(self.route, &self.steps, collected.is_some()),
            gates: self.gates,
            away: self.away,
            ready: self.ready,
            collected,
            grace_ends: self.grace_ends,
            ledger: self.ledger,
            scores: job.measures.as_ref().map(measures::scores).unwrap_or_default(),
            outlook,
            in_line_since: self.in_line_since,
            page: life::page(collected, shop.studio.keep_days, self.known.day),
            steps: self.steps,
        }
    }
}
