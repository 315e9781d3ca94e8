//! Estimates put where the pages look for them: into `Worked`.

use super::facts::Facts;
use super::from_shop;
use super::learn::Figures;
use super::learn::Learned;
use super::shown::{Shown, shown};
use super::view::View;
use crate::base::day::Day;
use crate::model::{Moved, MovedBy, NoWindow, Reason, Shop, Standing, StepWork, Window, WorkedJob};

/// A likely day that moved by less than that has not moved.
const STILL: i64 = 4;

/// Fills in windows, reasons and choose-by days of all open jobs, and gives the windows of the routes, in
/// their order.
pub(in crate::work) fn fill(shop: &Shop, today: Day, jobs: &mut [WorkedJob]) -> Vec<Option<Window>> {
    let places: Vec<usize> = jobs.iter().map(|worked| worked.job).collect();
    let facts = from_shop::facts(shop, &places, today);
    if facts.hours.iter().all(|m| m.0 == 0) {
        for worked in jobs.iter_mut().filter(|w| w.ready.is_none() && w.collected.is_none()) {
            worked.no_window = Some(NoWindow::BenchHours);
        }
        return vec![None; shop.routes.len()];
    }
    let (all, routes) = shown(&facts, today);
    let change = Change::over(&facts, today);
    for own in all {
        if let Some(worked) = jobs.get_mut(own.piece) {
            put(shop, worked, own, &change, today);
        }
    }
    routes
}

fn put(shop: &Shop, worked: &mut WorkedJob, own: Shown, change: &Change, today: Day) {
    let Some(window) = own.window else {
        worked.no_window = Some(NoWindow::TooFar);
        return;
    };
    let step = |at: &usize| worked.steps.get(*at);
    let customers = |at: &usize| {
        let name = step(at).map(|s| s.name.as_str()).unwrap_or_default();
        let needs = shop.jobs.get(worked.job).and_then(|job| shop.routes.get(&job.route)?.steps.get(*at));
        needs.is_some_and(|s| {
            s.name == name
                && worked.gates.iter().any(|g| g.customer && g.met.is_none() && s.needs.contains(&g.name))
        })
    };
    let partner = |at: &usize| {
        let job = shop.jobs.get(worked.job)?;
        match &shop.routes.get(&job.route)?.steps.get(*at)?.work {
            StepWork::Away { partner } => Some(partner.clone()),
            _ => None,
        }
    };
    let choose = own.choose.iter().filter(|(at, _)| customers(at)).map(|(_, day)| *day).min();
    let back = own.back.iter().filter_map(|(at, day)| Some((partner(at)?, *day))).collect();
    let moved = own.before.and_then(|(likely, since)| {
        let days = window.likely.since(likely);
        let by = change.cause(worked, &own, since, days, today);
        (days.abs() >= STILL).then_some(Moved { days, since, by })
    });
    for gate in worked.gates.iter_mut().filter(|gate| gate.met.is_none()) {
        gate.by = last_day_for(shop, worked.job, &gate.name, &own.choose);
    }
    let (hours_before, pieces_before, reckoned_on) = (own.hours_before, own.pieces_before, own.reckoned_on);
    worked.reason = Some(Reason { reckoned_on, hours_before, pieces_before, back, moved });
    worked.window = Some(window);
    worked.choose_by = choose;
}

/// The last day on which a gate can be met: the earliest of the steps that ask for it.
fn last_day_for(shop: &Shop, job: usize, gate: &str, choose: &[(usize, Day)]) -> Option<Day> {
    let steps = &shop.routes.get(&shop.jobs.get(job)?.route)?.steps;
    let asks = |at: &usize| steps.get(*at).is_some_and(|step| step.needs.iter().any(|name| name == gate));
    choose.iter().filter(|(at, _)| asks(at)).map(|(_, day)| *day).min()
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

    /// What moved a piece's likely day most, by the plainest sign: its own record, a partner that is late,
    /// the pace of the bench; else the line.
    fn cause(&self, worked: &WorkedJob, own: &Shown, since: Day, days: i64, today: Day) -> MovedBy {
        let is_late = worked.away.iter().any(|away| away.likely_back < today);
        let was_away = worked.steps.iter().any(|s| matches!(s.standing, Standing::Sent { .. }));
        if own.moved > since {
            MovedBy::Piece
        } else if was_away && is_late && days > 0 {
            MovedBy::Partner
        } else if (days > 0 && self.pace < 0.97) || (days < 0 && self.pace > 1.03) {
            MovedBy::Bench
        } else {
            MovedBy::Line
        }
    }
}
