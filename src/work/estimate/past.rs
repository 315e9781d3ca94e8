//! Estimates as of any day, with the replayed past that corrects them. What the trials said on a past day
//! is worked out once and kept.

use super::choose::Asked;
use super::correct::{Correction, Seen};
use super::learn::{Figures, Learned};
use super::memo::{Answered, Known, Memo};
use super::plan::week_number;
use super::windows::{Raw, simulate_and_answer, simulate_with};
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::Facts;
use crate::work::calendar::bench::monday_of;
use crate::work::view::DayView;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, PoisonError};

/// Past days are looked at every so many weeks, and so many of them.
const STEP: u64 = 4;
const PAST_DAYS: u32 = 26;
/// Trials for a past day, where its windows count one by one, and where they only correct by their sum.
const PAST_TRIALS: usize = 200;
const CORRECTING_TRIALS: usize = 96;
/// A window is steadied by so many Mondays at most, one for so many days that it is off.
const MOST_MONDAYS: usize = 5;
const DAYS_A_MONDAY: usize = 20;

/// Makes estimates from facts.
#[derive(Debug)]
pub struct Estimator<'a> {
    pub facts: &'a Facts,
    figures: Figures,
    trials: usize,
    past: BTreeMap<(Day, usize), Vec<Raw>>,
    learned: Mutex<BTreeMap<Day, Arc<Learned>>>,
    memo: Option<(&'a Memo, &'a Known<'a>)>,
}

impl<'a> Estimator<'a> {
    pub fn new(facts: &'a Facts, trials: usize) -> Estimator<'a> {
        let figures = Figures::new(facts);
        Estimator { facts, figures, trials, past: BTreeMap::new(), learned: Mutex::default(), memo: None }
    }

    /// The same one, that plays no trials twice over which nothing new is known.
    pub fn remembering(self, memo: &'a Memo, known: &'a Known<'a>) -> Estimator<'a> {
        Estimator { memo: Some((memo, known)), ..self }
    }

    /// What the record taught on the view's day.
    pub fn learned(&self, view: &DayView) -> Arc<Learned> {
        let all = || self.learned.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = all().get(&view.day) {
            return Arc::clone(known);
        }
        // Not under the lock: others learn of other days meanwhile.
        let learned = Arc::new(Learned::from(self.facts, &self.figures, view));
        all().insert(view.day, Arc::clone(&learned));
        learned
    }

    /// What the trials say of each piece that was open, uncorrected.
    pub fn raw(&self, view: &DayView) -> Vec<Raw> {
        let play = || simulate_with(self.facts, view, &self.learned(view), self.trials);
        match self.memo {
            Some((memo, known)) => memo.said(known, view.day, self.trials, play),
            None => play(),
        }
    }

    /// The same, and what the first few of the trials answer about some pieces.
    pub fn raw_and_answers(&self, view: &DayView, asked: &[Asked], few: usize) -> (Vec<Raw>, Answered) {
        let few = few.min(self.trials);
        let play = |trials| {
            let learned = self.learned(view);
            let (raw, answers) = simulate_and_answer(self.facts, view, &learned, asked, (trials, few));
            (raw, Answered { week: week(self.facts, learned.pace.level), answers })
        };
        let Some((memo, known)) = self.memo else { return play(self.trials) };
        if memo.has_said(known, view.day, self.trials) {
            let answered = memo.answered(known, view.day, (asked, few), || play(few).1);
            return (self.raw(view), answered);
        }
        let (raw, answered) = play(self.trials);
        let raw = memo.said(known, view.day, self.trials, || raw);
        (raw, memo.answered(known, view.day, (asked, few), || answered))
    }

    /// The correction that the past teaches on the view's day.
    pub fn correction(&mut self, view: &DayView) -> Correction {
        let mut seen = Vec::new();
        let first =
            view.pieces.iter().filter_map(|p| self.facts.pieces.get(p.piece)).map(|p| p.taken_in).min();
        let days: Vec<Day> =
            past_days(view.day).take_while(|day| first.is_some_and(|first| *day > first)).collect();
        self.play_past(&days, CORRECTING_TRIALS);
        for day in days {
            let raws = self.past_raws(day, CORRECTING_TRIALS);
            for raw in raws {
                let Some(now) = view.piece(raw.piece) else { continue };
                let came = now.ready.unwrap_or(view.day).since(day);
                let age = u32::try_from(view.day.since(day)).unwrap_or(0);
                seen.push(Seen { age, days: raw.days, came, ended: now.ready.is_some(), made: raws.len() });
            }
        }
        Correction::from(&seen)
    }

    /// Corrected and steadied windows of all open pieces, in days from the view's day.
    pub fn windows(&mut self, view: &DayView) -> Vec<Raw> {
        let mut correction = self.correction(view);
        let raws = self.raw(view);
        self.steadied(view, raws, &mut correction)
    }

    /// The same for a past day from the trials that correct later ones.
    pub fn past_windows(&mut self, day: Day) -> Vec<Raw> {
        let view = DayView::on(self.facts, day);
        let mut correction = self.correction(&view);
        self.play_past(&[day], PAST_TRIALS);
        let raws = self.past_raws(day, PAST_TRIALS).to_vec();
        self.steadied(&view, raws, &mut correction)
    }

    /// The mean of the windows of the last few Mondays since the piece itself moved: the further off, the more
    /// of them. What is months away does not change its mind every week for what one week brought.
    pub fn steadied(&mut self, view: &DayView, raws: Vec<Raw>, correction: &mut Correction) -> Vec<Raw> {
        let mondays: Vec<Day> =
            (0..MOST_MONDAYS as u32).map(|n| monday_of(view.day.minus(1)).minus(7 * n)).collect();
        self.play_past(&mondays, PAST_TRIALS);
        let said = mondays.iter().flat_map(|day| self.past_raws(*day, PAST_TRIALS));
        correction.have_at_hand(raws.iter().chain(said).map(|raw| raw.days));
        let correction = &*correction;
        let steadied = |raw: Raw| {
            let now = correction.apply(raw.days);
            let count = (usize::from(now[1]) / DAYS_A_MONDAY).min(MOST_MONDAYS);
            let moved = view.piece(raw.piece).map_or(view.day, |p| p.moved);
            let (mut sum, mut known) = (now.map(i64::from), 1);
            for monday in mondays.iter().take(count).take_while(|monday| **monday >= moved) {
                let raws = self.past_raws(*monday, PAST_TRIALS);
                let Some(before) = raws.iter().find(|r| r.piece == raw.piece) else { break };
                let gone = view.day.since(*monday);
                for (sum, days) in sum.iter_mut().zip(correction.apply(before.days)) {
                    *sum += (i64::from(days) - gone).max(0);
                }
                known += 1;
            }
            Raw { days: sum.map(|days| u16::try_from(days / known).unwrap_or(u16::MAX)), ..raw }
        };
        raws.into_iter().map(steadied).collect()
    }

    /// A rough estimator is no more exact about the past.
    fn at_most(&self, trials: usize) -> usize {
        self.trials.clamp(1, trials)
    }

    /// What the trials said on a past day that was played.
    fn past_raws(&self, day: Day, trials: usize) -> &[Raw] {
        self.past.get(&(day, self.at_most(trials))).map_or(&[], Vec::as_slice)
    }

    /// Plays past days, side by side.
    fn play_past(&mut self, days: &[Day], trials: usize) {
        let trials = self.at_most(trials);
        let new: BTreeSet<Day> =
            days.iter().copied().filter(|day| !self.past.contains_key(&(*day, trials))).collect();
        let said = |day: Day| {
            let play = || {
                let view = DayView::on(self.facts, day);
                simulate_with(self.facts, &view, &self.learned(&view), trials)
            };
            match self.memo {
                Some((memo, known)) => memo.said(known, day, trials, play),
                None => play(),
            }
        };
        let new: Vec<Day> = new.into_iter().collect();
        let played: Vec<_> = new.into_par_iter().map(|day| ((day, trials), said(day))).collect();
        self.past.extend(played);
    }
}

/// What the bench gets through in a week without a closure.
fn week(facts: &Facts, level: f64) -> Minutes {
    let scheduled: u32 = facts.hours.iter().map(|m| m.0).sum();
    Minutes((f64::from(scheduled.saturating_mul(facts.hands)) * level).round() as u32)
}

/// Past Mondays, the latest first; the same ones whatever today is.
pub(super) fn past_days(today: Day) -> impl Iterator<Item = Day> {
    let monday = monday_of(today);
    let back = week_number(today) % STEP;
    let latest = monday.minus(7 * back as u32);
    (1..=PAST_DAYS).map(move |n| latest.minus(n * 7 * STEP as u32))
}
