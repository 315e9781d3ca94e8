//! What goes into the next parcel to a partner, and what has to stay and why.
//!
//! The days are those that estimates reckon with (`calendar::parcels`); writing that it left is a command's.

use super::calendar::parcels::next_leaving;
use crate::base::day::Day;
use crate::model::{
    InWorked, Packed, PackingList, Parcels, Partner, Route, Shop, Staying, StaysFor, StepState, Worked,
    WorkedJob,
};

/// The packing list of the next parcel to `partner` on or after the day of the pass.
pub fn packing_list(shop: &Shop, worked: &Worked, partner: &Partner) -> PackingList {
    let mut order: Vec<(InWorked, &WorkedJob)> = worked.placed().collect();
    order.sort_by_key(|(_, job)| place_in_line(shop, job));
    let mut list = PackingList {
        partner: partner.key.clone(),
        leaves: None,
        pieces: None,
        goes: Vec::new(),
        stays: Vec::new(),
        there: Vec::new(),
    };
    for (at, job) in order {
        let route = shop.job(job.job).and_then(|of| shop.routes.get(&of.route));
        if let Some(route) = route.filter(|_| job.collected.is_none()) {
            add(&mut list, at, job, route, &partner.key);
        }
    }
    // What only lacks an answer is nearer than what still has to be worked on.
    list.stays.sort_by_key(|stays| matches!(stays.why, StaysFor::Steps(..)));
    list.leaves = next_leaving(&partner.parcels, worked.today);
    if let Parcels::Pieces(pieces) = partner.parcels {
        list.pieces = Some(pieces);
        let enough = list.goes.len() >= usize::try_from(pieces).unwrap_or(usize::MAX);
        list.leaves = enough.then_some(worked.today);
    }
    list
}

/// Rush first, then by the place in line; what has no place yet stands last.
fn place_in_line(shop: &Shop, job: &WorkedJob) -> (bool, bool, Option<Day>) {
    let rush = shop.job(job.job).is_some_and(|job| job.rush);
    (!rush, job.in_line_since.is_none(), job.in_line_since)
}

fn add(list: &mut PackingList, at: InWorked, job: &WorkedJob, route: &Route, partner: &str) {
    for (step, own) in route.steps.iter().zip(&job.steps) {
        if step.work.partner().is_none_or(|goes_to| goes_to != partner) {
            continue;
        }
        let unmet = || {
            let open = |gate: &&String| job.gates.iter().any(|g| g.name == **gate && g.met.is_none());
            step.needs.iter().filter(open).cloned().collect()
        };
        let stays = |why| Staying { at, step: step.name.clone(), why };
        match &own.state {
            StepState::Open { since } => list.goes.push(Packed {
                at,
                step: step.name.clone(),
                sent: step.sent.clone().unwrap_or_default(),
                since: *since,
            }),
            StepState::Held { .. } => list.stays.push(stays(StaysFor::Gates(own.missing.clone()))),
            StepState::Ahead => {
                let before = step.after.iter().filter_map(|at| job.steps.get(*at));
                let open = before.filter(|before| !before.state.is_reached());
                let steps = open.map(|before| before.name.clone()).collect();
                list.stays.push(stays(StaysFor::Steps(steps, unmet())));
            }
            StepState::Sent { since } => list.there.push((at, *since)),
            StepState::Reached { .. } => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;
    use crate::model::StepWork;
    use crate::model::{Job, Likely};

    fn list(jobs: Vec<Job>, today: &str, parcels: Parcels) -> PackingList {
        let mut shop = shop();
        let partner = Partner {
            key: "p".into(),
            name: "the p".into(),
            days: Likely { least: 1, likely: 2, most: 3 },
            parcels,
        };
        shop.routes.insert(
            "turkey".into(),
            route("turkey", "skinned bench | head-back away <skinned !pose | mounted bench"),
        );
        for step in &mut shop.routes.get_mut("turkey").unwrap().steps {
            if let StepWork::Away { partner } = &mut step.work {
                *partner = "p".into();
            }
        }
        shop.partners.insert("p".into(), partner.clone());
        shop.jobs = jobs;
        let (worked, _) = crate::work::reckon(&shop, on(today));
        packing_list(&shop, &worked, &partner)
    }

    fn jobs() -> Vec<Job> {
        let skinned = |number: &str| job(number, "2026-01-05").reached("skinned", "2026-01-10");
        vec![
            job("26-001", "2026-01-05").made(),
            skinned("26-002").made(),
            skinned("26-003").pose("2026-01-06").made(),
            skinned("26-004").pose("2026-01-12").change(|j| j.rush = true).made(),
            skinned("26-005").pose("2026-01-06").reached("head-sent", "2026-01-11").made(),
            skinned("26-006").pose("2026-01-06").reached("head-back", "2026-02-11").made(),
            skinned("26-007").pose("2026-01-06").collected("2026-02-12").made(),
        ]
    }

    #[test]
    fn what_can_go_goes_and_the_rest_says_why_it_stays() {
        let list = list(jobs(), "2026-02-20", Parcels::Any);
        let goes: Vec<(InWorked, &str, &str)> =
            list.goes.iter().map(|p| (p.at, p.sent.as_str(), p.step.as_str())).collect();
        assert_eq!(
            goes,
            [(nth(3), "head-sent", "head-back"), (nth(2), "head-sent", "head-back")],
            "the rush first"
        );
        assert_eq!(list.goes[0].since, day("2026-01-12"), "it could go when the pose was settled");
        let pose = || vec!["pose".to_owned()];
        assert_eq!(
            list.stays.iter().map(|s| (s.at, s.why.clone())).collect::<Vec<_>>(),
            [(nth(1), StaysFor::Gates(pose())), (nth(0), StaysFor::Steps(vec!["skinned".into()], pose()))]
        );
        assert_eq!(list.there, [(nth(4), day("2026-01-11"))]);
        assert_eq!(list.leaves, Some(day("2026-02-20")));
    }

    #[test]
    fn a_parcel_of_so_many_pieces_leaves_when_they_are_there() {
        let of = |pieces| list(jobs(), "2026-02-20", Parcels::Pieces(pieces));
        assert_eq!((of(2).leaves, of(2).pieces), (Some(day("2026-02-20")), Some(2)));
        assert_eq!(of(3).leaves, None);
    }
}
