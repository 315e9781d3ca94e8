//! What the shop's own record teaches on a day: how fast the bench earns hours (`pace`), how long rests and
//! absences really take (`times`), how strictly the line is kept (`order`), what comes in meanwhile (`arrivals`).
//!
//! Young shops have little to teach: then the owner's figures count, made wide, because such figures are hopeful.

use crate::model::{Facts, PartnerPlan, StepPlan, StepWork};
use crate::work::view::DayView;
pub mod arrivals;
mod order;
pub mod pace;
mod times;

use super::chance;
use super::pert;
use pace::Pace;

pub use super::pert::SHARES;

/// All that was learned, in the form in which trials use it.
#[derive(Clone, Debug)]
pub struct Learned {
    pub pace: Pace,
    /// Quantiles, `SHARES` of them for each distribution, one after the other.
    pub tables: Vec<u32>,
    /// Where the table of each step of each route begins.
    steps: Vec<Vec<u32>>,
    partners: Vec<Partner>,
    /// How often, in 65536ths, the bench takes a step that is not first in line.
    pub loose: u32,
}

/// What was learned about a partner.
#[derive(Clone, Copy, Debug)]
struct Partner {
    table: u32,
    lag: u32,
    spread: f64,
    patience: u32,
}

impl Learned {
    /// From what was known at the end of the view's day.
    pub fn from(facts: &Facts, figures: &Figures, view: &DayView) -> Learned {
        let mut tables = figures.tables.clone();
        let mut steps = figures.steps.clone();
        let mut add = |table: Vec<u32>| {
            let at = tables.len() as u32;
            tables.extend(table);
            at
        };
        for (own, (route, plan)) in steps.iter_mut().zip(facts.routes.iter().enumerate()) {
            for (at, (table, step)) in own.iter_mut().zip(&plan.steps).enumerate() {
                if let Some(days) = step.work.rest_days() {
                    *table = add(times::rest(facts, view, (route, at), days));
                }
            }
        }
        let partner = |(at, plan)| {
            let (days, spread) = times::away(facts, view, at, plan);
            let lag = times::lag(facts, view, at, plan);
            let patience = times::patience(facts, view, at);
            Partner { table: add(days), lag: add(lag), spread, patience }
        };
        let partners = facts.partners.iter().enumerate().map(partner).collect();
        Learned {
            pace: Pace::learned(facts, view),
            tables,
            steps,
            partners,
            loose: order::looseness(facts, view),
        }
    }

    /// Nothing learned: the owner's figures and hours taken at their word, and the line kept strictly.
    pub fn at_their_word(facts: &Facts, figures: &Figures) -> Learned {
        let mut tables = figures.tables.clone();
        let mut add = |days| {
            let at = tables.len() as u32;
            tables.extend(pert::quantiles(days).iter().map(|d| d.round() as u32));
            at
        };
        let mut steps = figures.steps.clone();
        for (own, plan) in steps.iter_mut().zip(&facts.routes) {
            for (table, step) in own.iter_mut().zip(&plan.steps) {
                if let Some(days) = step.work.rest_days() {
                    *table = add(days);
                }
            }
        }
        let partner = |p: &PartnerPlan| {
            // The first table is all zeros: parcels leave on their days.
            Partner { table: add(p.days), lag: 0, spread: 0.0, patience: 90 }
        };
        let partners = facts.partners.iter().map(partner).collect();
        let pace = Pace { level: 1.0, spread: 0.0, weeks: vec![1.0] };
        Learned { pace, tables, steps, partners, loose: 0 }
    }

    pub fn step_table(&self, route: usize, step: usize) -> u32 {
        self.steps.get(route).and_then(|steps| steps.get(step)).copied().unwrap_or(0)
    }

    pub fn partner_table(&self, partner: usize) -> u32 {
        self.partners.get(partner).map_or(0, |p| p.table)
    }

    pub fn lag_table(&self, partner: usize) -> u32 {
        self.partners.get(partner).map_or(0, |p| p.lag)
    }

    pub fn patience(&self, partner: usize) -> u32 {
        self.partners.get(partner).map_or(0, |p| p.patience)
    }

    pub fn partner_spread(&self, partner: usize) -> f64 {
        self.partners.get(partner).map_or(0.0, |p| p.spread)
    }

    /// How slow a partner is in one trial, in 1024ths: the same for all that is there.
    pub fn slowness(&self, spread: f64, luck: u64) -> u32 {
        (1024.0 * (spread * chance::normal(chance::share(luck))).exp()) as u32
    }

    /// What is left of something that is already later than anything known: at least a day, and in
    /// proportion to its age.
    pub fn overdue(&self, age: u32, luck: u64) -> u64 {
        1 + (f64::from(age) * OVERDUE * -chance::share(luck).ln()) as u64
    }
}

/// What is late beyond all experience stays so for about this part of its age. Common practice, no source.
const OVERDUE: f64 = 0.25;

/// The owner's figures as tables; they do not change from day to day.
#[derive(Clone, Debug)]
pub struct Figures {
    tables: Vec<u32>,
    steps: Vec<Vec<u32>>,
}

impl Figures {
    pub fn new(facts: &Facts) -> Figures {
        // The first table stands for "no time at all" and for what is learned later.
        let mut tables = vec![0; SHARES];
        let table = |step: &StepPlan| match step.work {
            StepWork::Bench(minutes) => {
                let at = tables.len() as u32;
                tables.extend(pert::quantiles(minutes).iter().map(|m| m.round() as u32));
                at
            }
            StepWork::Rest(_) | StepWork::Away { .. } => 0,
        };
        let mut table = table;
        let steps = facts.routes.iter().map(|r| r.steps.iter().map(&mut table).collect()).collect();
        Figures { tables, steps }
    }
}
