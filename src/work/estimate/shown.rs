//! What is shown of estimates today: windows as of the latest Monday (or of the day on which the piece itself
//! moved, if that is later), so that a page does not change its mind every morning; and why they are so.

use super::choose::{Answer, Asked, answers};
use super::correct::Correction;
use super::facts::{Facts, WorkPlan};
use super::learn::{Learned, arrivals};
use super::past::Estimator;
use super::pert;
use super::plan::{HORIZON, Plan};
use super::view::{PieceView, Stand, View};
use super::windows::brought_in_today;
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::Window;
use crate::work::calendar::bench::monday_of;
use std::collections::BTreeMap;

/// Trials for a window that is shown, and for what goes with it.
const TRIALS: usize = 600;
const SIDE_TRIALS: usize = 240;
/// Moves are told since about a month ago.
const MONTH: u32 = 28;

/// What is shown of one open piece.
#[derive(Clone, Debug, PartialEq)]
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
    pub hours_before: Minutes,
    pub pieces_before: usize,
    /// The likely day as it was about a month ago, and the day it was reckoned on.
    pub before: Option<(Day, Day)>,
    /// The last day on which anything was written down about the piece.
    pub moved: Day,
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
    let now = View::on(facts, today);
    let monday = monday_of(today);
    let mut by_day: BTreeMap<Day, Vec<&PieceView>> = BTreeMap::new();
    for open in now.open() {
        by_day.entry(open.moved.max(monday)).or_default().push(open);
    }
    let correction = estimator.correction(&View::on(facts, monday));
    let before = likely_before(estimator, monday.minus(MONTH));
    let mut shown = Vec::new();
    for (day, pieces) in by_day {
        let view = if day == today { now.clone() } else { View::on(facts, day) };
        let asked: Vec<usize> = pieces.iter().map(|p| p.piece).collect();
        shown.extend(on_day(estimator, &view, &correction, &asked, today));
    }
    for own in &mut shown {
        own.before = before.get(&own.piece).map(|likely| (*likely, monday.minus(MONTH)));
    }
    shown.sort_by_key(|s| s.piece);
    let routes = brought_in_today(facts, estimator.figures(), &now, SIDE_TRIALS);
    let is_known = |days: &[u16; 3]| usize::from(days[1]) < HORIZON;
    let routes = routes
        .into_iter()
        .map(|days| window(correction.apply(days), today, today).filter(|_| is_known(&days)));
    (shown, routes.collect())
}

/// The likely days of a month ago, as they were shown then.
fn likely_before(estimator: &mut Estimator<'_>, day: Day) -> BTreeMap<usize, Day> {
    let view = View::on(estimator.facts, day);
    let windows = estimator.windows(&view);
    windows.into_iter().map(|raw| (raw.piece, day.plus(u32::from(raw.days[1])))).collect()
}

/// Some of the open pieces as of a day.
fn on_day(
    estimator: &mut Estimator<'_>,
    view: &View,
    correction: &Correction,
    pieces: &[usize],
    today: Day,
) -> Vec<Shown> {
    let facts = estimator.facts;
    let raw = estimator.raw(view);
    let windows = estimator.steadied(view, raw.clone(), correction);
    let learned = Learned::from(facts, estimator.figures(), view);
    let coming = arrivals::expected(facts, view, &learned);
    let plan = Plan::new(facts, view, &learned, &coming);
    let asked = asked(view, pieces);
    let answers = answers(&plan, &asked, SIDE_TRIALS);
    let line = Line::of(facts, view);
    let mut shown = Vec::new();
    for (place, (open, (raw, steady))) in view.open().zip(raw.into_iter().zip(windows)).enumerate() {
        if !pieces.contains(&open.piece) {
            continue;
        }
        let answer = asked.iter().position(|a| a.place == place).and_then(|at| answers.get(at));
        let mut own = one(open, view.day, today, answer, &line);
        // What the trials never finished has no window, whatever a correction makes of it.
        own.window = window(steady.days, view.day, today).filter(|_| usize::from(raw.days[1]) < HORIZON);
        shown.push(own);
    }
    shown
}

fn one(open: &PieceView, day: Day, today: Day, answer: Option<&Answer>, line: &Line) -> Shown {
    let days = |list: &[(usize, u16)]| -> Vec<(usize, Day)> {
        list.iter().map(|(step, days)| (*step, day.plus(u32::from(*days)).max(today))).collect()
    };
    let (hours_before, pieces_before) = line.before(open.piece);
    Shown {
        piece: open.piece,
        reckoned_on: day,
        window: None,
        choose: answer.map(|a| days(&a.choose)).unwrap_or_default(),
        back: answer.map(|a| days(&a.back)).unwrap_or_default(),
        hours_before,
        pieces_before,
        before: None,
        moved: open.moved,
    }
}

/// A window in days of the calendar, never before today.
fn window(days: [u16; 3], from: Day, today: Day) -> Option<Window> {
    let [soonest, likely, latest] = days.map(|d| from.plus(u32::from(d)).max(today));
    (days[1] < HORIZON as u16).then_some(Window { soonest, likely, latest })
}

/// What the trials are asked about the pieces: their open gates and what is away.
fn asked(view: &View, pieces: &[usize]) -> Vec<Asked> {
    let ask = |(place, open): (usize, &PieceView)| {
        let steps = |wanted: &dyn Fn(&Stand) -> bool| -> Vec<usize> {
            open.steps.iter().enumerate().filter(|(_, s)| wanted(s)).map(|(at, _)| at).collect()
        };
        let gated: Vec<usize> = open.ungated.clone();
        let away = steps(&|s| matches!(s, Stand::Sent { .. }));
        (pieces.contains(&open.piece) && !(gated.is_empty() && away.is_empty())).then_some(Asked {
            place,
            gated,
            away,
        })
    };
    view.open().enumerate().filter_map(ask).collect()
}

/// The line as it stands: pieces in the order in which the bench takes them, with the minutes left on each.
struct Line(Vec<(usize, f64)>);

impl Line {
    fn of(facts: &Facts, view: &View) -> Line {
        let mut order: Vec<_> = view.open().enumerate().collect();
        let rush = |open: &PieceView| facts.pieces.get(open.piece).is_some_and(|p| p.rush);
        order.sort_by_key(|(place, open)| (!rush(open), open.in_line.unwrap_or(view.day), *place));
        Line(order.into_iter().map(|(_, open)| (open.piece, minutes_left(facts, open))).collect())
    }

    fn before(&self, piece: usize) -> (Minutes, usize) {
        let ahead: Vec<f64> = self.0.iter().take_while(|(p, _)| *p != piece).map(|(_, m)| *m).collect();
        (Minutes(ahead.iter().sum::<f64>().round() as u32), ahead.len())
    }
}

fn minutes_left(facts: &Facts, open: &PieceView) -> f64 {
    let route = facts.pieces.get(open.piece).and_then(|p| facts.routes.get(p.route));
    let steps = route.map(|r| r.steps.as_slice()).unwrap_or_default();
    let left = steps.iter().zip(&open.steps).filter(|(_, stand)| !matches!(stand, Stand::Over { .. }));
    left.map(|(step, _)| match step.work {
        WorkPlan::Bench(figures) => pert::mean(figures),
        WorkPlan::Rest(_) | WorkPlan::Away(_) => 0.0,
    })
    .sum()
}
