//! How strictly the shop keeps to its line, from which of the possible bench steps it really finished next.

use crate::base::day::Day;
use crate::model::{Facts, StepState};
use crate::work::view::DayView;

/// So many finished steps are looked at, the latest ones.
const LOOKED_AT: usize = 240;
/// A strict line weighs as much as so many finished steps.
const STRICT: f64 = 15.0;
/// Dates written down late make even a strict line look a little loose.
const NOISE: f64 = 0.10;

/// A bench step that was possible for some days.
struct Possible {
    from: Day,
    over: Option<Day>,
    line: (bool, Day),
}

/// How often, in 65536ths, the bench takes any step instead of the one first in line.
pub fn looseness(facts: &Facts, view: &DayView) -> u32 {
    let all = possible(facts, view);
    let done = latest(&all);
    let first = done.iter().filter_map(|own| own.over).min();
    // What was over before the first of them was nobody's rival; in a shop of ten years that is nearly all.
    let near: Vec<&Possible> = all.iter().filter(|p| p.over.is_none() || p.over > first).collect();
    let (mut sum, mut count) = (0.0, 0.0);
    for own in done {
        let Some(day) = own.over else { continue };
        // The others that could have been taken in its stead.
        let rivals = near.iter().filter(|p| p.from < day && p.over.is_none_or(|over| over > day));
        let (mut before, mut others) = (0u32, 0u32);
        for rival in rivals {
            others += 1;
            before += u32::from(rival.line < own.line);
        }
        if others >= 3 {
            // Half the line before it means that any step is as good as another.
            sum += 2.0 * f64::from(before) / f64::from(others);
            count += 1.0;
        }
    }
    let loose = (sum / (count + STRICT) - NOISE).clamp(0.0, 1.0);
    (loose * 65536.0) as u32
}

/// Those that were finished last, the latest first; of one day the later ones in the record first.
fn latest(all: &[Possible]) -> Vec<&Possible> {
    let mut days: Vec<Day> = all.iter().filter_map(|p| p.over).collect();
    let since = days.len().checked_sub(LOOKED_AT).map(|at| *days.select_nth_unstable(at).1);
    let mut done: Vec<&Possible> = all.iter().filter(|p| p.over.is_some() && p.over >= since).collect();
    done.sort_by_key(|p| p.over);
    done.reverse();
    done.truncate(LOOKED_AT);
    done
}

fn possible(facts: &Facts, view: &DayView) -> Vec<Possible> {
    let mut all = Vec::new();
    for own in &view.pieces {
        let Some(piece) = facts.pieces.get(own.piece) else { continue };
        let Some(route) = facts.routes.get(piece.route) else { continue };
        let line = (!piece.rush, own.in_line.unwrap_or(view.day));
        for (plan, stand) in route.steps.iter().zip(&own.steps) {
            let span = match stand {
                StepState::Reached { day, exact: true, began } => (*began, Some(*day)),
                StepState::Open { since } => (*since, None),
                _ => continue,
            };
            if plan.work.kind().is_bench() {
                all.push(Possible { from: span.0, over: span.1, line });
            }
        }
    }
    all
}
