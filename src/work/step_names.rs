//! How the steps of one job stand today, by name, and what of it is at partners.
//!
//! How a step stands is decided in `view`; this puts the names to it.

use super::gates::Gates;
use crate::model::{Away, Partner, Route, StepState, WorkedStep};
use std::collections::BTreeMap;

/// Every step of a route with its name and the gates that hold it, in the route's order.
pub(super) fn steps(route: &Route, states: &[StepState], gates: &Gates<'_>) -> Vec<WorkedStep> {
    let each = route.steps.iter().zip(states);
    each.map(|(step, state)| {
        let mut missing: Vec<String> = Vec::new();
        if matches!(state, StepState::Held { .. }) {
            for gate in step.needs.iter().filter(|gate| gates.met(gate).is_none()) {
                if !missing.contains(gate) {
                    missing.push(gate.clone());
                }
            }
        }
        WorkedStep { name: step.name.clone(), state: *state, missing }
    })
    .collect()
}

/// What is at partners, with the days on which it may be back.
pub(super) fn away(route: &Route, states: &[StepState], partners: &BTreeMap<String, Partner>) -> Vec<Away> {
    let each = route.steps.iter().zip(states);
    each.filter_map(|(step, state)| {
        let (StepState::Sent { since }, Some(partner)) = (state, step.work.partner()) else {
            return None;
        };
        let days = partners.get(partner)?.days;
        Some(Away {
            step: step.name.clone(),
            partner: partner.clone(),
            since: *since,
            likely_back: since.plus(days.likely),
            latest_back: since.plus(days.most.max(days.likely)),
        })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;
    use crate::model::Shop;

    /// The state of each step in short: `=` reached, `~` implied, `open`, `sent`, `?gates`, `.` ahead.
    fn short(job: JobMaker, today: &str) -> String {
        let each = single(shop(), job, as_of(today)).steps.into_iter().map(|s| match s.state {
            StepState::Reached { day, exact, .. } => {
                format!("{}{}", if exact { "=" } else { "~" }, &day.iso()[5..])
            }
            StepState::Open { since } => format!("open {}", &since.iso()[5..]),
            StepState::Sent { since } => format!("sent {}", &since.iso()[5..]),
            StepState::Held { .. } => format!("?{}", s.missing.join("+")),
            StepState::Ahead => ".".into(),
        });
        each.collect::<Vec<_>>().join(" | ")
    }

    fn base() -> JobMaker {
        job("26-001", "2026-01-05").tag("2026-01-05")
    }

    #[test]
    fn a_step_opens_when_the_last_of_what_it_needs_is_there() {
        // skinned | head-back | washed | mounted | dried | finished
        assert_eq!(short(base(), "2026-06-01"), "open 01-05 | . | . | . | . | .");
        let skinned = base().reached("skinned", "2026-01-09");
        assert_eq!(short(skinned.clone(), "2026-06-01"), "=01-09 | ?pose | open 01-09 | . | . | .");
        let posed = skinned.pose("2026-02-01");
        assert_eq!(short(posed.clone(), "2026-06-01"), "=01-09 | open 02-01 | open 01-09 | . | . | .");
        let sent = posed.reached("head-sent", "2026-02-03").reached("washed", "2026-02-04");
        assert_eq!(short(sent.clone(), "2026-06-01"), "=01-09 | sent 02-03 | =02-04 | . | . | .");
        let back = sent.reached("head-back", "2026-04-01");
        assert_eq!(short(back.clone(), "2026-06-01"), "=01-09 | =04-01 | =02-04 | ?form | . | .");
        let form = back.have("form", "2025-11-01");
        assert_eq!(short(form, "2026-06-01"), "=01-09 | =04-01 | =02-04 | open 04-01 | . | .");
    }

    #[test]
    fn a_reached_step_implies_its_own_branch_and_no_other() {
        let washed = base().pose("2026-01-05").reached("washed", "2026-01-20");
        assert_eq!(short(washed, "2026-06-01"), "~01-20 | open 01-20 | =01-20 | . | . | .");
        let dried = base().reached("dried", "2026-03-20");
        assert_eq!(short(dried, "2026-06-01"), "~03-20 | ~03-20 | ~03-20 | ~03-20 | =03-20 | open 03-20");
    }

    #[test]
    fn an_implied_day_is_the_earliest_of_what_implies_it() {
        let both = base().reached("mounted", "2026-03-01").reached("washed", "2026-02-01");
        assert_eq!(short(both, "2026-06-01"), "~02-01 | ~03-01 | =02-01 | =03-01 | open 03-01 | .");
        // Its own day wins over what others tell.
        let own = base().reached("mounted", "2026-03-01").reached("skinned", "2026-01-06");
        assert_eq!(short(own, "2026-06-01"), "=01-06 | ~03-01 | ~03-01 | =03-01 | open 03-01 | .");
    }

    #[test]
    fn sending_implies_what_the_sending_needs() {
        let sent = base().reached("head-sent", "2026-01-20");
        assert_eq!(short(sent, "2026-06-01"), "~01-20 | sent 01-20 | open 01-20 | . | . | .");
    }

    #[test]
    fn a_gate_passed_over_does_not_hold_what_was_done_anyway() {
        let untagged = job("26-001", "2026-01-05").reached("skinned", "2026-01-20");
        assert_eq!(short(untagged, "2026-06-01"), "=01-20 | ?pose | open 01-20 | . | . | .");
    }

    #[test]
    fn collected_implies_all() {
        let made = base().reached("skinned", "2026-01-20").collected("2026-05-01");
        let done = single(shop(), made.clone(), on("2026-06-01"));
        assert_eq!((done.ready, done.collected), (Some(day("2026-05-01")), Some(day("2026-05-01"))));
        assert!(done.gates.is_empty() && done.away.is_empty());
        assert_eq!(short(made, "2026-06-01"), "=01-20 | ~05-01 | ~05-01 | ~05-01 | ~05-01 | ~05-01");
    }

    #[test]
    fn what_is_dated_later_does_not_exist_yet() {
        let made =
            base().reached("skinned", "2026-01-09").reached("mounted", "2026-04-01").pose("2026-02-01");
        assert_eq!(short(made.clone(), "2026-01-08"), "open 01-05 | . | . | . | . | .");
        assert_eq!(short(made.clone(), "2026-01-31"), "=01-09 | ?pose | open 01-09 | . | . | .");
        assert_eq!(short(made, "2026-04-01"), "=01-09 | ~04-01 | ~04-01 | =04-01 | open 04-01 | .");
    }

    #[test]
    fn what_is_away_comes_back_when_the_partner_says() {
        let made = base().pose("2026-01-05").reached("head-sent", "2026-01-20");
        let away = single(shop(), made.clone(), on("2026-02-01")).away;
        let want = Away {
            step: "head-back".into(),
            partner: "freeze-dryer".into(),
            since: day("2026-01-20"),
            likely_back: day("2026-04-20"),
            latest_back: day("2026-06-19"),
        };
        assert_eq!(away, [want]);
        let back = made.reached("head-back", "2026-04-01");
        assert!(single(shop(), back, on("2026-05-01")).away.is_empty());
    }

    #[test]
    fn the_last_step_makes_it_ready() {
        let made = base().reached("finished", "2026-05-09");
        assert_eq!(single(shop(), made.clone(), as_of("2026-05-08")).ready, None);
        assert_eq!(single(shop(), made, as_of("2026-05-09")).ready, Some(day("2026-05-09")));
        // Two ends: the later one counts, and one alone is not enough.
        let mut two = shop();
        two.routes.insert("fork".into(), route("fork", "skinned bench | left rest | right rest <skinned"));
        let one = job("26-002", "2026-01-05").route("fork").reached("right", "2026-02-01");
        let open = Shop { jobs: vec![], routes: two.routes.clone(), ..shop() };
        assert_eq!(single(open, one.clone(), on("2026-06-01")).ready, None);
        let both = one.reached("left", "2026-01-20");
        assert_eq!(single(two, both, on("2026-06-01")).ready, Some(day("2026-02-01")));
    }
}
