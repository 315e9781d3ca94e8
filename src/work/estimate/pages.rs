//! The outlook of every open piece: its window with the reason and the last days of its gates, or why there is none.

use super::held::held;
use super::memo::{DigestedFacts, Memo};
use super::past::Estimator;
use super::shown::{Before, Shown, estimator, shown_by};
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::model::gate::{DEPOSIT, POSE};
use crate::model::{
    Back, Facts, Gate, LineBy, Moved, MovedBy, NoWindow, Outlook, PastHeld, Reason, Route, Shop, Window,
};
use crate::work::on_day::JobOnDay;
use crate::work::view::DayView;
use serde::{Deserialize, Serialize};

/// A likely day that moved by less than that has not moved.
const STILL: i64 = 4;
/// So many minutes more or less before a piece than was to be expected are a cause.
const MUCH: f64 = 120.0;
/// Of fewer past pieces no number is told: it would say nothing.
const ENOUGH: usize = 10;

/// All that estimates say.
#[derive(Debug)]
pub(in crate::work) struct Outlooks {
    /// One for each job.
    pub jobs: Vec<Outlook>,
    /// For a piece brought in today, for each route in the shop's order.
    pub routes: Vec<Option<Window>>,
    /// Where the owner shows it.
    pub past: Option<PastHeld>,
}

/// The outlook of all jobs; `facts` has their pieces in the same order.
pub(in crate::work) fn outlooks(
    shop: &Shop,
    facts: &Facts,
    jobs: &[JobOnDay<'_>],
    today: Day,
    memo: &Memo,
) -> Outlooks {
    let unless_ready = |job: &JobOnDay<'_>, why: NoWindow| match job.ready {
        Some(_) => Outlook::Over,
        None => Outlook::Unknown(why),
    };
    if facts.hours.iter().all(|m| m.0 == 0) {
        let jobs = jobs.iter().map(|job| unless_ready(job, NoWindow::BenchHours)).collect();
        return Outlooks { jobs, routes: vec![None; shop.routes.len()], past: None };
    }
    let show_past = shop.studio.estimates.show_past;
    let known = DigestedFacts::of(facts);
    let reckoned = memo.reckoned(Digest::of_value(&(known.all(), today, show_past)), || {
        let mut estimator = estimator(facts).remembering(memo, &known);
        let (all, routes) = shown_by(&mut estimator, today);
        let past = show_past.then(|| held(&mut estimator, today)).flatten();
        Reckoned { all, routes, past, change: Change::over(&estimator, today) }
    });
    // What is open has an estimate; even ten years may not be enough for it.
    let mut outlooks: Vec<Outlook> = jobs.iter().map(|job| unless_ready(job, NoWindow::TooFar)).collect();
    for own in &reckoned.all {
        let of = jobs.get(own.piece).zip(outlooks.get_mut(own.piece)).zip(own.window);
        if let Some(((job, outlook), window)) = of {
            *outlook = expected(shop.studio.line, job, own, window, &reckoned.change, today);
        }
    }
    Outlooks {
        jobs: outlooks,
        routes: reckoned.routes.clone(),
        past: reckoned.past.filter(|past| past.pieces >= ENOUGH),
    }
}

fn expected(
    line: LineBy,
    job: &JobOnDay<'_>,
    own: &Shown,
    window: Window,
    change: &Change,
    today: Day,
) -> Outlook {
    let back = own.back.iter().filter_map(|(at, day)| {
        let step = job.route.steps.get(*at)?;
        let partner = step.work.partner()?;
        Some(Back { step: step.name.clone(), partner: partner.clone(), day: *day })
    });
    let last_days = job.gates.iter().filter_map(|gate| {
        last_day(job.route, gate, &own.choose, line, today).map(|day| (gate.name.clone(), day))
    });
    let reason = Reason {
        reckoned_on: own.reckoned_on,
        hours_own: own.line.own,
        hours_before: own.line.before,
        months_before: own.line.months.clone(),
        week: own.week,
        back: back.collect(),
        moved: own.before.map(|before| change.moved(job, own, before, window.likely, today)),
    };
    Outlook::Expected { window, reason, last_days: last_days.collect() }
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
        let level = |day: Day| estimator.learned(&DayView::on(estimator.facts, day)).pace.level;
        Change { pace: level(today) / level(today.minus(28)).max(0.01) }
    }

    /// How a piece's likely day moved since an earlier day.
    fn moved(&self, job: &JobOnDay<'_>, own: &Shown, before: Before, likely: Day, today: Day) -> Moved {
        let days = likely.since(before.likely);
        let by = self.cause(job, own, before, days, today);
        Moved { days: (days.abs() >= STILL).then_some(days), since: before.day, by }
    }

    /// What moved a piece's likely day most, by the plainest sign: its own record, a partner that is late,
    /// the line, the pace of the bench.
    fn cause(&self, job: &JobOnDay<'_>, own: &Shown, before: Before, days: i64, today: Day) -> MovedBy {
        let is_late = job.away.iter().any(|away| away.likely_back < today);
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
