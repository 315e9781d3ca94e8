//! How much of the bench's hours the pieces that are here will take, week by week, from the same trials as the
//! windows. What comes in later is left out: the figure says what is promised already.

use super::learn::{Figures, Learned};
use super::plan::Plan;
use super::trial::Scratch;
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::{Facts, LoadWeek};
use crate::work::calendar::bench::monday_of;
use crate::work::view::DayView;
use rayon::prelude::*;

const TRIALS: u64 = 200;
/// A season and a little more.
pub const WEEKS: usize = 16;

/// The bench by week; nothing where the shop has no bench hours.
pub(in crate::work) fn load(facts: &Facts, today: Day) -> Vec<LoadWeek> {
    if facts.hours.iter().all(|m| m.0 == 0) {
        return Vec::new();
    }
    let view = DayView::on(facts, today);
    let learned = Learned::from(facts, &Figures::new(facts), &view);
    let plan = Plan::new(facts, &view, &learned, &[]);
    let monday = monday_of(today);
    let first = plan.weekday as usize;
    let hands = plan.hands as u64;
    let mut weeks = [0u64; WEEKS];
    for (day, minutes) in plan.minutes.iter().enumerate() {
        if let Some(week) = weeks.get_mut((day + first) / 7) {
            *week += u64::from(*minutes) * hands;
        }
    }
    let taken = taken(&plan, first);
    let each = (0u32..).zip(weeks.iter().zip(taken));
    each.map(|(n, (hours, taken))| LoadWeek {
        monday: monday.plus(n * 7),
        hours: whole(*hours),
        taken: whole(taken / TRIALS).min(whole(*hours)),
    })
    .collect()
}

/// Minutes of the calendar that are taken in each week, all trials together.
fn taken(plan: &Plan<'_>, first: usize) -> [u64; WEEKS] {
    let play = |scratch: &mut Scratch, trial: u64| {
        let mut weeks = [0u64; WEEKS];
        scratch.play_seen(plan, trial, |day| {
            let Some(week) = weeks.get_mut((day.day + first) / 7) else { return false };
            let minutes = plan.minutes.get(day.day).copied().unwrap_or(0);
            // What was earned goes by the pace of the week; the chart counts hours of the calendar.
            let share = u64::from(day.used) * u64::from(minutes);
            *week += share.checked_div(u64::from(day.earned)).unwrap_or(0);
            true
        });
        weeks
    };
    let sum = |mut all: [u64; WEEKS], one: [u64; WEEKS]| {
        all.iter_mut().zip(one).for_each(|(a, b)| *a += b);
        all
    };
    let trials = (0..TRIALS).into_par_iter();
    trials.map_init(|| Scratch::new(plan), play).reduce(|| [0; WEEKS], sum)
}

fn whole(minutes: u64) -> Minutes {
    Minutes(u32::try_from(minutes).unwrap_or(u32::MAX))
}
