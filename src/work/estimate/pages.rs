//! Estimates put where the pages look for them: into `Worked`.

use super::from_shop;
use super::held::held;
use super::memo::{Known, Memo};
use super::past::Estimator;
use super::shown::{Before, Shown, estimator, shown_by};
use super::view::View;
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::model::{
    Back, Gate, LineBy, Moved, MovedBy, NoWindow, PastHeld, Reason, Route, Shop, StepWork, Window, WorkedJob,
};
use crate::work::gates::{DEPOSIT, POSE};
use serde::{Deserialize, Serialize};

/// A likely day that moved by less than that has not moved.
const STILL: i64 = 4;
/// So many minutes more or less before a piece than was to be expected are a cause.
const MUCH: f64 = 120.0;
/// Of fewer past pieces no number is told: it would say nothing.
const ENOUGH: usize = 10;

/// What can be said beside the jobs.
#[derive(Debug, Default)]
pub(in crate::work) struct Outlook {
    /// For a piece brought in today, for each route in the shop's order.
    pub routes: Vec<Option<Window>>,
    /// Where the owner shows it.
    pub past: Option<PastHeld>,
}

/// Fills in windows, reasons and choose-by days of all open jobs.
pub(in crate::work) fn fill(shop: &Shop, today: Day, jobs: &mut [WorkedJob], memo: &Memo) -> Outlook {
    let places: Vec<usize> = jobs.iter().map(|worked| worked.job).collect();
    let facts = from_shop::facts(shop, &places, today);
    if facts.hours.iter().all(|m| m.0 == 0) {
        for worked in jobs.iter_mut().filter(|w| w.ready.is_none() && w.collected.is_none()) {
            worked.no_window = Some(NoWindow::BenchHours);
        }
        return Outlook { routes: vec![None; shop.routes.len()], past: None };
    }
    let show_past = shop.studio.estimates.show_past;
    let known = Known::of(&facts);
    let reckoned = memo.reckoned(Digest::of_value(&(known.all(), today, show_past)), || {
        let mut estimator = estimator(&facts).remembering(memo, &known);
        let (all, routes) = shown_by(&mut estimator, today);
        let past = show_past.then(|| held(&mut estimator, today)).flatten();
        Reckoned { all, routes, past, change: Change::over(&estimator, today) }
    });
    for own in &reckoned.all {
        if let Some(worked) = jobs.get_mut(own.piece) {
            put(shop, worked, own.clone(), &reckoned.change, today);
        }
    }
    Outlook { routes: reckoned.routes.clone(), past: reckoned.past.filter(|past| past.pieces >= ENOUGH) }
}

fn route_of<'a>(shop: &'a Shop, worked: &WorkedJob) -> Option<&'a Route> {
    shop.jobs.get(worked.job).and_then(|job| shop.routes.get(&job.route))
}

fn put(shop: &Shop, worked: &mut WorkedJob, own: Shown, change: &Change, today: Day) {
    let Some(window) = own.window else {
        worked.no_window = Some(NoWindow::TooFar);
        return;
    };
    let Some(route) = route_of(shop, worked) else { return };
    let line = shop.studio.line;
    for gate in &mut worked.gates {
        gate.by = last_day(route, gate, &own.choose, line, today);
    }
    let open = worked.gates.iter().filter(|gate| gate.customer && gate.met.is_none());
    worked.choose_by = open.filter_map(|gate| gate.by).min();
    let back = own.back.iter().filter_map(|(at, day)| {
        let step = route.steps.get(*at)?;
        let StepWork::Away { partner } = &step.work else { return None };
        Some(Back { step: step.name.clone(), partner: partner.clone(), day: *day })
    });
    worked.reason = Some(Reason {
        reckoned_on: own.reckoned_on,
        hours_own: own.line.own,
        hours_before: own.line.before,
        months_before: own.line.months.clone(),
        week: own.week,
        back: back.collect(),
        moved: own.before.map(|before| change.moved(worked, &own, before, window.likely, today)),
    });
    worked.window = Some(window);
}

/// The last day for a gate: that of the step with the least time among those that name it.
fn last_day(route: &Route, gate: &Gate, choose: &[(usize, Day)], line: LineBy, today: Day) -> Option<Day> {
    match gate.met {
        // What was paid or written down stays; a pose can still be another one.
        Some(_) if gate.name != POSE => return None,
        // Its place in line counts from that day: each day without it is lost.
        None if gate.name == DEPOSIT && line == LineBy::Deposit => return Some(today),
        _ => {}
    }
    let names_it = |at: &usize| route.steps.get(*at).is_some_and(|step| step.needs.contains(&gate.name));
    choose.iter().filter(|(at, _)| names_it(at)).map(|(_, day)| *day).min()
}

/// All that is reckoned from facts alone.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Reckoned {
    all: Vec<Shown>,
    routes: Vec<Option<Window>>,
    past: Option<PastHeld>,
    change: Change,
}

/// What changed in the shop over the last month.
#[derive(Debug, Serialize, Deserialize)]
struct Change {
    /// Pace now in proportion to what was taken for it then.
    #[serde(with = "super::memo::exact")]
    pace: f64,
}

impl Change {
    fn over(estimator: &Estimator<'_>, today: Day) -> Change {
        let level = |day: Day| estimator.learned(&View::on(estimator.facts, day)).pace.level;
        Change { pace: level(today) / level(today.minus(28)).max(0.01) }
    }

    /// How a piece's likely day moved since an earlier day.
    fn moved(&self, worked: &WorkedJob, own: &Shown, before: Before, likely: Day, today: Day) -> Moved {
        let days = likely.since(before.likely);
        let by = self.cause(worked, own, before, days, today);
        Moved { days: (days.abs() >= STILL).then_some(days), since: before.day, by }
    }

    /// What moved a piece's likely day most, by the plainest sign: its own record, a partner that is late,
    /// the line, the pace of the bench.
    fn cause(&self, worked: &WorkedJob, own: &Shown, before: Before, days: i64, today: Day) -> MovedBy {
        let is_late = worked.away.iter().any(|away| away.likely_back < today);
        let later = days > 0;
        if own.moved > before.day {
            MovedBy::Piece
        } else if is_late && later {
            MovedBy::Partner
        } else if before.line_grew.abs() >= MUCH && (before.line_grew > 0.0) == later {
            MovedBy::Line
        } else if (later && self.pace < 0.97) || (!later && self.pace > 1.03) {
            MovedBy::Bench
        } else {
            MovedBy::Several
        }
    }
}
