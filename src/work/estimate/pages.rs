//! Estimates put where the pages look for them: into `Worked`.

use super::facts::Facts;
use super::from_shop;
use super::held::held;
use super::learn::Figures;
use super::learn::Learned;
use super::shown::{Before, Shown, estimator, shown_by};
use super::view::View;
use crate::base::day::Day;
use crate::model::{
    Back, Gate, LineBy, Moved, MovedBy, NoWindow, PastHeld, Reason, Route, Shop, Standing, StepState,
    StepWork, Window, WorkedJob,
};
use crate::work::gates::{DEPOSIT, POSE};

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
pub(in crate::work) fn fill(shop: &Shop, today: Day, jobs: &mut [WorkedJob]) -> Outlook {
    let no_hours = shop.studio.bench.iter().all(|m| m.0 == 0);
    // Without bench hours, what has nothing left to do at the bench can be told all the same.
    let can_be_told = |worked: &WorkedJob| !no_hours || !needs_bench(shop, worked);
    let asked: Vec<usize> = (0..jobs.len()).filter(|at| jobs.get(*at).is_some_and(can_be_told)).collect();
    let places: Vec<usize> = asked.iter().filter_map(|at| jobs.get(*at)).map(|w| w.job).collect();
    let is_open = |w: &&mut WorkedJob| w.ready.is_none() && w.collected.is_none();
    if no_hours {
        for worked in jobs.iter_mut().filter(is_open).filter(|w| needs_bench(shop, w)) {
            worked.no_window = Some(NoWindow::BenchHours);
        }
        if places.is_empty() {
            return Outlook { routes: vec![None; shop.routes.len()], past: None };
        }
    }
    let facts = from_shop::facts(shop, &places, today);
    let mut estimator = estimator(&facts);
    let (all, mut routes) = shown_by(&mut estimator, today);
    if no_hours {
        routes.fill(None);
    }
    let change = Change::over(&facts, today);
    for own in all {
        if let Some(worked) = asked.get(own.piece).and_then(|at| jobs.get_mut(*at)) {
            put(shop, worked, own, &change, today);
        }
    }
    let past = shop.studio.estimates.show_past.then(|| held(&mut estimator, today)).flatten();
    Outlook { routes, past: past.filter(|past| past.pieces >= ENOUGH) }
}

/// Whether the bench has anything left to do on it.
fn needs_bench(shop: &Shop, worked: &WorkedJob) -> bool {
    let route = route_of(shop, worked);
    let steps = route.map(|route| route.steps.as_slice()).unwrap_or_default();
    let is_left = |state: &StepState| !matches!(state.standing, Standing::Reached { .. });
    steps
        .iter()
        .zip(&worked.steps)
        .any(|(step, state)| matches!(step.work, StepWork::Bench(_)) && is_left(state))
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

/// What changed in the shop over the last month.
struct Change {
    /// Pace now in proportion to what was taken for it then.
    pace: f64,
}

impl Change {
    fn over(facts: &Facts, today: Day) -> Change {
        let figures = Figures::new(facts);
        let level = |day: Day| Learned::from(facts, &figures, &View::on(facts, day)).pace.level;
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
