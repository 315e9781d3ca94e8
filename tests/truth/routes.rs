//! Routes and partners of the invented shops. Hours and days as in the trade: common practice, no source.

use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::{Likely, Parcels, PartnerPlan, RoutePlan, StepPlan, StepWork};
use chrono::Weekday;

fn three(least: u32, likely: u32, most: u32) -> Likely<u32> {
    Likely { least, likely, most }
}

fn bench(after: &[usize], least: u32, likely: u32, most: u32) -> StepPlan {
    StepPlan {
        after: after.to_vec(),
        work: StepWork::Bench(three(least, likely, most).map(Minutes)),
        gated: false,
    }
}

fn rest(after: &[usize], least: u32, likely: u32, most: u32) -> StepPlan {
    StepPlan { after: after.to_vec(), work: StepWork::Rest(three(least, likely, most)), gated: false }
}

fn away(after: &[usize], partner: usize) -> StepPlan {
    StepPlan { after: after.to_vec(), work: StepWork::Away { partner }, gated: false }
}

/// Which step of a route waits for the pose.
pub const POSE_STEP: [usize; 5] = [1, 2, 4, 3, 4];

pub fn all() -> Vec<RoutePlan> {
    let turkey = vec![
        bench(&[], 45, 60, 120),
        away(&[0], 0),
        bench(&[0], 90, 150, 240),
        bench(&[2], 60, 90, 150),
        bench(&[1, 3], 150, 240, 420),
        bench(&[4], 60, 90, 180),
        rest(&[5], 10, 21, 35),
        bench(&[6], 60, 120, 240),
    ];
    let fan = vec![
        bench(&[], 30, 45, 90),
        bench(&[0], 15, 30, 45),
        rest(&[1], 10, 14, 28),
        bench(&[2], 30, 60, 120),
    ];
    let deer = vec![
        bench(&[], 45, 60, 90),
        bench(&[0], 60, 120, 180),
        rest(&[1], 3, 5, 12),
        away(&[2], 1),
        bench(&[3], 150, 255, 480),
        rest(&[4], 7, 14, 21),
        bench(&[5], 60, 150, 240),
    ];
    let skull = vec![
        bench(&[], 30, 45, 90),
        rest(&[0], 2, 6, 14),
        rest(&[1], 3, 14, 45),
        bench(&[2], 30, 45, 60),
        rest(&[3], 3, 7, 14),
        bench(&[4], 30, 60, 120),
    ];
    let bear = vec![
        bench(&[], 180, 300, 480),
        rest(&[0], 5, 8, 15),
        away(&[1], 1),
        bench(&[2], 600, 900, 1500),
        bench(&[3], 300, 600, 900),
        rest(&[4], 20, 30, 45),
        bench(&[5], 180, 300, 480),
    ];
    let mut all = [turkey, fan, deer, skull, bear];
    for (steps, pose) in all.iter_mut().zip(POSE_STEP) {
        steps[pose].gated = true;
    }
    all.into_iter().map(|steps| RoutePlan { steps }).collect()
}

pub fn partners() -> Vec<PartnerPlan> {
    let monday = Parcels::OfMonth { nth: 1, weekday: Weekday::Mon };
    let friday = Parcels::Weekly { weeks: 2, weekday: Weekday::Fri, from: Day::parse("2021-01-01") };
    vec![
        PartnerPlan { key: 11, days: three(60, 90, 150), parcels: monday },
        PartnerPlan { key: 12, days: three(60, 110, 220), parcels: friday },
    ]
}
