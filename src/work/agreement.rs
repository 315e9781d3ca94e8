//! Page and estimate never disagree: tried on shops, records and days that dice have made.
//!
//! The page of a day is made from what is known on that day. The estimate looks at the same day later on, when more is known, and
//! has to leave that out. Both have to come to the same.

use super::properties::{any_day, any_job, any_shop};
use super::sample::*;
use super::view::{DayView, PieceOnDay};
use crate::base::minutes::Minutes;
use crate::model::*;

/// The last day of the record: nothing is dated later.
const END: &str = "2026-08-01";

/// A shop of a few jobs, with bench hours or without.
fn any_full_shop(dice: &mut Dice) -> (Shop, Vec<Job>) {
    let (mut shop, route) = any_shop(dice);
    shop.studio.line = if dice.chance(50) { LineBy::Deposit } else { LineBy::Arrival };
    if dice.chance(20) {
        shop.studio.bench = [Minutes(360); 7];
    }
    let jobs = (1..=1 + dice.below(3)).map(|n| {
        let made = any_job(dice, &route).change(|job| job.number = format!("26-00{n}"));
        // What a refund takes back was paid for all that was known before, so the deposit of a past day is not told by later ones.
        made.change(|job| job.refunds.clear()).made()
    });
    let jobs = jobs.collect();
    (shop, jobs)
}

/// How one job stands on its page, and the same piece for the estimate.
fn agree(route: &Route, job: &WorkedJob, own: &PieceOnDay) {
    let states: Vec<StepState> = job.steps.iter().map(|step| step.state).collect();
    assert_eq!(states, own.steps);
    assert_eq!((job.ready, job.in_line_since), (own.ready, own.in_line));
    for (step, of_route) in job.steps.iter().zip(&route.steps) {
        let unmet = |gate: &&String| job.gates.iter().any(|own| own.name == **gate && own.met.is_none());
        let held = matches!(step.state, StepState::Held { .. });
        // What holds a step is named, and nothing else is.
        assert_eq!(held, !step.missing.is_empty(), "{step:?}");
        let missing: Vec<&String> = of_route.needs.iter().filter(unmet).filter(|_| held).collect();
        assert_eq!(step.missing.iter().collect::<Vec<_>>(), missing);
        assert_eq!(
            matches!(step.state, StepState::Sent { .. }),
            job.away.iter().any(|away| away.step == step.name)
        );
    }
    assert_eq!(job.outlook == Outlook::Over, own.ready.is_some());
    assert_eq!(job.stage >= Stage::Ready, own.ready.is_some());
    if let Outlook::Expected { last_days, .. } = &job.outlook {
        assert!(last_days.iter().all(|(name, _)| job.gates.iter().any(|gate| gate.name == *name)));
    }
}

#[test]
fn page_and_estimate_see_every_piece_alike_on_every_day() {
    let mut dice = Dice::new(21);
    let (mut compared, mut windows, mut past) = (0, 0, 0);
    for _ in 0..1500 {
        let (shop, jobs) = any_full_shop(&mut dice);
        let shop = Shop { jobs, ..shop };
        let (facts, _) = super::facts(&shop, as_of(END));
        let today = as_of(&any_day(&mut dice));
        let (worked, _) = super::reckon(&shop, today);
        let now = DayView::on(&worked.facts, today.day);
        let later = DayView::on(&facts, today.day);
        for (at, job) in worked.jobs.iter().enumerate() {
            let own = &shop.jobs[job.job];
            let route = &shop.routes[&own.route];
            agree(route, job, now.piece(at).expect("every job has its piece"));
            windows += usize::from(job.window().is_some());
            compared += 1;
            // The same piece in what was known at the end, if its record makes sense then.
            let key = worked.facts.pieces[at].key;
            let Some(at) = facts.pieces.iter().position(|piece| piece.key == key) else { continue };
            agree(route, job, later.piece(at).expect("it was there already"));
            past += 1;
        }
    }
    assert!(compared > 1500 && past > 500 && windows > 50, "{compared} {past} {windows}");
}
