//! What is shown of estimates today: windows as of the latest Monday (or of the day on which the piece itself
//! moved, if that is later), so that a page does not change its mind every morning; and why they are so.

use super::choose::{Answer, Asked};
use super::correct::Correction;
use super::line::{Line, Place};
use super::memo::Answered;
use super::past::Estimator;
use super::plan::HORIZON;
use super::windows::brought_in_today;
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::{Facts, StepPlan, StepState, Window};
use crate::work::calendar::{BenchCalendar, bench::monday_of};
use crate::work::view::{DayView, PieceOnDay};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Trials for a window that is shown, and for what goes with it.
const TRIALS: usize = 600;
const SIDE_TRIALS: usize = 240;
/// Trials for a piece of a route that is not there yet: its window is told in months, and there are as many as routes.
const ROUTE_TRIALS: usize = 96;
/// Moves are told since about a month ago.
const MONTH: u32 = 28;

/// What is shown of one open piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shown {
    /// Its place in `Facts::pieces`.
    pub piece: usize,
    pub reckoned_on: Day,
    /// None where even ten years are not enough.
    pub window: Option<Window>,
    /// For each step with an open gate the last day on which it can be met.
    pub choose: Vec<(usize, Day)>,
    /// For each step at a partner the likely day of return.
    pub back: Vec<(usize, Day)>,
    /// How it stands in line.
    pub line: Place,
    /// What the bench gets through in a usual week.
    pub week: Minutes,
    /// How it was about a month ago.
    pub before: Option<Before>,
    /// The last day on which anything was written down about the piece.
    pub moved: Day,
}

/// What was thought of a piece on an earlier day.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Before {
    pub day: Day,
    pub likely: Day,
    /// By how many minutes more stands before it now than was to be expected then.
    #[serde(with = "super::memo::exact")]
    pub line_grew: f64,
}

/// Windows for all open pieces, in the order of the facts, and for a piece of each route brought in today.
pub fn shown(facts: &Facts, today: Day) -> (Vec<Shown>, Vec<Option<Window>>) {
    shown_by(&mut estimator(facts), today)
}

/// An estimator as exact as pages need it.
pub(super) fn estimator(facts: &Facts) -> Estimator<'_> {
    Estimator::new(facts, TRIALS)
}

/// The same by an estimator that may know some of the past already.
pub(super) fn shown_by(estimator: &mut Estimator<'_>, today: Day) -> (Vec<Shown>, Vec<Option<Window>>) {
    let facts = estimator.facts;
    let now = DayView::on(facts, today);
    let monday = monday_of(today);
    let mut by_day: BTreeMap<Day, Vec<&PieceOnDay>> = BTreeMap::new();
    for open in now.open() {
        by_day.entry(open.moved.max(monday)).or_default().push(open);
    }
    let mut correction = estimator.correction(&DayView::on(facts, monday));
    let before = Past::on(estimator, monday.minus(MONTH));
    let mut shown = Vec::new();
    for (day, pieces) in by_day {
        let view = if day == today { now.clone() } else { DayView::on(facts, day) };
        let pieces: Vec<usize> = pieces.iter().map(|p| p.piece).collect();
        // Of a Monday all is asked, so that a piece that moves later in the week does not change what is remembered of it.
        let ask: Vec<usize> = match day == monday {
            true => view.open().map(|open| open.piece).collect(),
            false => pieces.clone(),
        };
        let all = on_day(estimator, &view, &mut correction, &ask, today);
        shown.extend(all.into_iter().filter(|own| pieces.contains(&own.piece)));
    }
    for own in &mut shown {
        own.before = before.of(facts, own);
    }
    shown.sort_by_key(|s| s.piece);
    let routes = brought_in_today(facts, &now, &estimator.learned(&now), ROUTE_TRIALS);
    let is_known = |days: &[u16; 3]| usize::from(days[1]) < HORIZON;
    let routes = routes
        .into_iter()
        .map(|days| window(correction.apply(days), today, today).filter(|_| is_known(&days)));
    (shown, routes.collect())
}

/// An earlier day, as it was seen then.
struct Past {
    day: Day,
    likely: BTreeMap<usize, Day>,
    line: Line,
}

impl Past {
    fn on(estimator: &mut Estimator<'_>, day: Day) -> Past {
        let view = DayView::on(estimator.facts, day);
        let windows = estimator.past_windows(day);
        let likely = windows.into_iter().map(|raw| (raw.piece, day.plus(u32::from(raw.days[1])))).collect();
        Past { day, likely, line: Line::of(estimator.facts, &view) }
    }

    fn of(&self, facts: &Facts, own: &Shown) -> Option<Before> {
        let calendar = BenchCalendar::known_on(&facts.hours, &facts.closures, own.reckoned_on);
        let scheduled: f64 = calendar.minutes_between(self.day, own.reckoned_on) as f64;
        let usual: u32 = facts.hours.iter().map(|m| m.0).sum();
        let earned = scheduled * f64::from(own.week.0) / f64::from(usual.max(1));
        let was = f64::from(self.line.place(own.piece).before.0);
        let line_grew = f64::from(own.line.before.0) - (was - earned).max(0.0);
        Some(Before { day: self.day, likely: *self.likely.get(&own.piece)?, line_grew })
    }
}

/// Some of the open pieces as of a day.
fn on_day(
    estimator: &mut Estimator<'_>,
    view: &DayView,
    correction: &mut Correction,
    pieces: &[usize],
    today: Day,
) -> Vec<Shown> {
    let facts = estimator.facts;
    let asked = asked(facts, view, pieces);
    let (raw, Answered { week, answers }) = estimator.raw_and_answers(view, &asked, SIDE_TRIALS);
    let windows = estimator.steadied(view, raw.clone(), correction);
    let line = Line::of(facts, view);
    let mut shown = Vec::new();
    for (place, (open, (raw, steady))) in view.open().zip(raw.into_iter().zip(windows)).enumerate() {
        if !pieces.contains(&open.piece) {
            continue;
        }
        let answer = asked.iter().position(|a| a.place == place).and_then(|at| answers.get(at));
        let mut own = Shown { week, ..one(open, view.day, today, answer, line.place(open.piece)) };
        // What the trials never finished has no window, whatever a correction makes of it.
        own.window = window(steady.days, view.day, today).filter(|_| usize::from(raw.days[1]) < HORIZON);
        shown.push(own);
    }
    shown
}

fn one(open: &PieceOnDay, day: Day, today: Day, answer: Option<&Answer>, line: Place) -> Shown {
    let days = |list: &[(usize, u16)]| -> Vec<(usize, Day)> {
        list.iter().map(|(step, days)| (*step, day.plus(u32::from(*days)).max(today))).collect()
    };
    Shown {
        piece: open.piece,
        reckoned_on: day,
        window: None,
        choose: answer.map(|a| days(&a.choose)).unwrap_or_default(),
        back: answer.map(|a| days(&a.back)).unwrap_or_default(),
        line,
        week: Minutes(0),
        before: None,
        moved: open.moved,
    }
}

/// A window in days of the calendar, never before today.
fn window(days: [u16; 3], from: Day, today: Day) -> Option<Window> {
    let [soonest, likely, latest] = days.map(|d| from.plus(u32::from(d)).max(today));
    (days[1] < HORIZON as u16).then_some(Window { soonest, likely, latest })
}

/// What the trials are asked about the pieces: their gates and what is away.
fn asked(facts: &Facts, view: &DayView, pieces: &[usize]) -> Vec<Asked> {
    let ask = |(place, open): (usize, &PieceOnDay)| {
        let route = facts.pieces.get(open.piece).and_then(|piece| facts.routes.get(piece.route));
        let plans = route.map(|route| route.steps.as_slice()).unwrap_or_default();
        let steps = |wanted: &dyn Fn(&StepPlan, &StepState) -> bool| -> Vec<usize> {
            let each = plans.iter().zip(&open.steps).enumerate();
            each.filter(|(_, (plan, state))| wanted(plan, state)).map(|(at, _)| at).collect()
        };
        // Met or not: a settled pose can still be another one.
        let gated = steps(&|plan, state| plan.gated && !state.is_begun());
        let away = steps(&|_, state| matches!(state, StepState::Sent { .. }));
        (pieces.contains(&open.piece) && !(gated.is_empty() && away.is_empty())).then_some(Asked {
            place,
            gated,
            away,
        })
    };
    view.open().enumerate().filter_map(ask).collect()
}
