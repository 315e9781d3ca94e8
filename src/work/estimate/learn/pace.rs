//! How fast the bench really earns hours: minutes of the owner's figures that were finished, for each minute
//! that was scheduled, week by week.
//!
//! A slow month is slow for every piece, so pace is drawn once for a whole trial: a level that is as uncertain
//! as the record is young, and runs of the shop's own past weeks (the stationary bootstrap: Politis and
//! Romano, "The Stationary Bootstrap", JASA 89, 1994).

use crate::base::day::Day;
use crate::model::{Facts, StepState};
use crate::work::calendar::{BenchCalendar, bench::monday_of};
use crate::work::estimate::chance::{normal, pair, share};
use crate::work::estimate::pert;
use crate::work::view::DayView;

/// Owners' hours are hopeful: what is taken for the pace before there is a record.
const HOPE: f64 = 0.80;
/// As many weeks of own record weigh as much as that.
const HOPE_WEEKS: f64 = 5.0;
/// How uncertain the level is without any record, and how far it drifts even with a long one.
const YOUNG_SPREAD: f64 = 0.40;
const DRIFT: f64 = 0.08;
/// Weeks after which a week's weight has halved.
const HALF_LIFE: f64 = 30.0;
/// Mean length of a run of past weeks.
const RUN: u64 = 8;
/// Weeks in a quarter of a year.
const QUARTER: usize = 13;
/// Older weeks than that do not count.
const WEEKS: usize = 156;

/// What was learned about the pace.
#[derive(Clone, Debug)]
pub struct Pace {
    /// Minutes earned for each scheduled minute.
    pub level: f64,
    /// Standard deviation of its logarithm.
    pub spread: f64,
    /// Past weeks in proportion to their mean, oldest first; never empty.
    pub weeks: Vec<f64>,
}

/// A week of the past.
#[derive(Clone, Copy, Debug, Default)]
struct Week {
    earned: f64,
    scheduled: f64,
    /// Minutes of bench work that could have been done on its first morning.
    at_hand: f64,
}

impl Pace {
    /// The pace in a week of a trial, in 1024ths. Weeks are counted from a fixed one, so that a week to come
    /// has the same luck in every pass until it is past.
    pub fn in_week(&self, luck: u64, week: u64, first: u64) -> u32 {
        let level = self.level * (self.spread * normal(share(pair(luck, 1)))).exp();
        let is_start = |w: u64| pair(luck ^ w, 2).is_multiple_of(RUN);
        let start = (0..52).map(|back| week.saturating_sub(back)).find(|w| is_start(*w)).unwrap_or(first);
        let count = self.weeks.len() as u64;
        let from = ((pair(luck ^ start, 3) >> 32) * count) >> 32;
        let own = self.weeks[((from + week.saturating_sub(start)) % count) as usize];
        (1024.0 * level * own) as u32
    }

    /// From the weeks that are over.
    pub fn learned(facts: &Facts, view: &DayView) -> Pace {
        let weeks = past_weeks(facts, view);
        // Weeks in which there was not enough to do say nothing about the pace.
        let busy = |w: &&(usize, Week)| w.1.scheduled > 0.0 && w.1.at_hand >= 0.8 * w.1.scheduled;
        let numbered: Vec<(usize, Week)> = weeks.iter().copied().enumerate().collect();
        let busy: Vec<&(usize, Week)> = numbered.iter().filter(busy).collect();
        let (mut earned, mut scheduled, mut known) = (0.0, 0.0, 0.0);
        for (at, week) in &busy {
            let weight = 0.5f64.powf((weeks.len() - at) as f64 / HALF_LIFE);
            earned += weight * week.earned.min(4.0 * week.scheduled);
            scheduled += weight * week.scheduled;
            known += weight;
        }
        let usual = if known > 0.0 { scheduled / known } else { 1.0 };
        let hope = HOPE_WEEKS * usual;
        let level = (earned + HOPE * hope) / (scheduled + hope);
        let young = YOUNG_SPREAD * YOUNG_SPREAD * HOPE_WEEKS / (HOPE_WEEKS + known);
        let own = in_proportion(&busy);
        let spread = (young + wander(&own) + DRIFT * DRIFT).sqrt();
        Pace { level: level.clamp(0.05, 5.0), spread, weeks: filled_up(own) }
    }
}

/// Past weeks in proportion to their mean; none where nothing was ever finished in them.
fn in_proportion(busy: &[&(usize, Week)]) -> Vec<f64> {
    let mut weeks: Vec<f64> = busy.iter().map(|(_, w)| (w.earned / w.scheduled).min(4.0)).collect();
    let mean = weeks.iter().sum::<f64>() / weeks.len().max(1) as f64;
    if mean > 0.0 {
        weeks.iter_mut().for_each(|w| *w /= mean);
    } else {
        weeks.clear();
    }
    weeks
}

/// Few weeks are filled up with plain ones.
fn filled_up(mut weeks: Vec<f64>) -> Vec<f64> {
    // Mean 1, from weeks lost to illness to weeks with extra evenings; common practice, no source.
    const PLAIN: [f64; 12] = [1.0, 0.6, 1.2, 1.4, 0.9, 0.3, 0.7, 1.3, 1.6, 1.1, 0.8, 1.1];
    if weeks.len() < 2 * PLAIN.len() {
        weeks.extend(PLAIN);
    }
    weeks
}

/// How uncertain the level stays because the pace wanders: the variance of the mean of quarters of a year.
fn wander(weeks: &[f64]) -> f64 {
    let quarters: Vec<f64> =
        weeks.rchunks_exact(QUARTER).map(|q| q.iter().sum::<f64>() / QUARTER as f64).collect();
    let count = quarters.len() as f64;
    if count < 2.0 {
        return 0.0;
    }
    let mean = quarters.iter().sum::<f64>() / count;
    quarters.iter().map(|q| (q - mean).powi(2)).sum::<f64>() / (count - 1.0) / count
}

/// The weeks from the first finished bench step to the last one that is over, oldest first.
fn past_weeks(facts: &Facts, view: &DayView) -> Vec<Week> {
    let mut ended: Vec<Day> = bench_steps(facts, view).filter_map(|(_, _, over)| over).collect();
    if ended.is_empty() {
        return Vec::new();
    }
    // A few dates are typed wrong: the very first ones do not decide when the record began.
    let early = ended.len() / 50;
    let first = *ended.select_nth_unstable(early).1;
    let this_monday = monday_of(view.day);
    let first = monday_of(first).max(this_monday.minus(7 * WEEKS as u32));
    let count = usize::try_from(this_monday.since(first) / 7).unwrap_or(0);
    let calendar = BenchCalendar::known_on(&facts.hours, &facts.closures, view.day);
    let mut weeks: Vec<Week> = (0..count as u32)
        .map(|n| Week {
            scheduled: f64::from(facts.hands.max(1))
                * calendar.minutes_between(first.plus(7 * n), first.plus(7 * n + 7)) as f64,
            ..Week::default()
        })
        .collect();
    let week_of = |day: Day| day.since(first).div_euclid(7);
    for (minutes, since, over) in bench_steps(facts, view) {
        let at = |week: i64| usize::try_from(week).ok();
        if let Some(week) = over.and_then(|day| weeks.get_mut(at(week_of(day))?)) {
            week.earned += minutes;
        }
        // At hand on every Monday after it became possible, up to the one before it was over.
        let from = (week_of(since) + 1).clamp(0, count as i64);
        let to = over.map_or(count as i64, |day| week_of(day) + 1).clamp(from, count as i64);
        for week in weeks.iter_mut().skip(from as usize).take((to - from) as usize) {
            week.at_hand += minutes;
        }
    }
    weeks
}

/// Bench steps that were possible: minutes by the owner's figures, since when, and when they were over.
fn bench_steps<'a>(
    facts: &'a Facts,
    view: &'a DayView,
) -> impl Iterator<Item = (f64, Day, Option<Day>)> + 'a {
    view.pieces.iter().flat_map(move |own| {
        let route = facts.pieces.get(own.piece).and_then(|p| facts.routes.get(p.route));
        let steps = route.map(|r| r.steps.as_slice()).unwrap_or_default();
        steps.iter().zip(&own.steps).filter_map(|(plan, stand)| {
            let figures = plan.work.bench_time()?;
            match stand {
                StepState::Reached { day, began, .. } => Some((pert::mean(figures), *began, Some(*day))),
                StepState::Open { since } => Some((pert::mean(figures), *since, None)),
                _ => None,
            }
        })
    })
}
