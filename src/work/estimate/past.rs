//! Estimates as of any day, with the replayed past that corrects them. What the trials said on a past day
//! is worked out once and kept.

use super::correct::{Correction, Seen};
use super::facts::Facts;
use super::learn::Figures;
use super::plan::week_number;
use super::view::View;
use super::windows::{Raw, simulate};
use crate::base::day::Day;
use crate::work::calendar::bench::monday_of;
use std::collections::BTreeMap;

/// Past days are looked at every so many weeks, and so many of them.
const STEP: u64 = 4;
const PAST_DAYS: u32 = 26;

/// Makes estimates from facts.
#[derive(Debug)]
pub struct Estimator<'a> {
    pub facts: &'a Facts,
    figures: Figures,
    trials: usize,
    past_trials: usize,
    past: BTreeMap<Day, Vec<Raw>>,
}

impl<'a> Estimator<'a> {
    pub fn new(facts: &'a Facts, trials: usize) -> Estimator<'a> {
        let figures = Figures::new(facts);
        Estimator { facts, figures, trials, past_trials: trials.clamp(1, 160), past: BTreeMap::new() }
    }

    pub fn figures(&self) -> &Figures {
        &self.figures
    }

    /// What the trials say of each piece that was open, uncorrected.
    pub fn raw(&self, view: &View) -> Vec<Raw> {
        simulate(self.facts, &self.figures, view, self.trials)
    }

    /// The correction that the past teaches on the view's day.
    pub fn correction(&mut self, view: &View) -> Correction {
        let mut seen = Vec::new();
        let first =
            view.pieces.iter().filter_map(|p| self.facts.pieces.get(p.piece)).map(|p| p.taken_in).min();
        for day in past_days(view.day).take_while(|day| first.is_some_and(|first| *day > first)) {
            let raws = self.past.entry(day).or_insert_with(|| {
                simulate(self.facts, &self.figures, &View::on(self.facts, day), self.past_trials)
            });
            for raw in raws.iter() {
                let place = view.pieces.binary_search_by_key(&raw.piece, |p| p.piece);
                let Some(now) = place.ok().and_then(|at| view.pieces.get(at)) else { continue };
                let came = now.ready.unwrap_or(view.day).since(day);
                let age = u32::try_from(view.day.since(day)).unwrap_or(0);
                seen.push(Seen { age, days: raw.days, came, ended: now.ready.is_some(), made: raws.len() });
            }
        }
        Correction::from(&seen)
    }

    /// Corrected windows of all open pieces, in days from the view's day.
    pub fn windows(&mut self, view: &View) -> Vec<Raw> {
        let correction = self.correction(view);
        let raw = self.raw(view);
        raw.into_iter().map(|r| Raw { days: correction.apply(r.days), ..r }).collect()
    }

    /// The windows as they are shown.
    pub fn shown_windows(&mut self, view: &View) -> Vec<Raw> {
        self.windows(view)
    }
}

/// Past Mondays, the latest first; the same ones whatever today is.
fn past_days(today: Day) -> impl Iterator<Item = Day> {
    let monday = monday_of(today);
    let back = week_number(today) % STEP;
    let latest = monday.minus(7 * back as u32);
    (1..=PAST_DAYS).map(move |n| latest.minus(n * 7 * STEP as u32))
}
