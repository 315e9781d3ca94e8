//! Networks of steps without any queue: a printed textbook example with its floats, and longest paths
//! against networkx.

use super::queue::{facts, open_piece, plain};
use crate::oracle::{day, rows};
use benchlight::model::Likely;
use benchlight::work::estimate::choose::{Asked, answers};
use benchlight::work::estimate::facts::{Facts, StepPlan, WorkPlan};
use benchlight::work::estimate::windows::finished;

/// One piece whose steps take exactly these days, by themselves.
fn alone(steps: &[(&[usize], u32)]) -> Facts {
    let steps = steps.iter().map(|(after, days)| StepPlan {
        after: after.to_vec(),
        work: WorkPlan::Rest(Likely { least: *days, likely: *days, most: *days }),
    });
    let mut facts = facts(vec![steps.collect()], vec![]);
    facts.pieces.push(open_piece(&facts, 1, 0, "2026-01-05"));
    facts
}

/// Kelley and Walker, "Critical-Path Planning and Scheduling", Proc. Eastern Joint Computer Conference 1959,
/// gave the method; the figures are the General Foundry example printed in Render, Stair and Hanna,
/// "Quantitative Analysis for Management", chapter on project management: activities A to H of 2, 3, 2, 4,
/// 4, 3, 5, 2 weeks, critical path A-C-E-G-H of 15 weeks, slack of B 1, D 1, F 6 (values from memory).
#[test]
fn the_general_foundry_takes_fifteen_weeks_and_has_its_floats() {
    let week = 7;
    // A, B, C after A, D after B, E after C, F after C, G after D and E, H after F and G.
    let network: [(&[usize], u32); 8] = [
        (&[], 2 * week),
        (&[], 3 * week),
        (&[0], 2 * week),
        (&[1], 4 * week),
        (&[2], 4 * week),
        (&[2], 3 * week),
        (&[3, 4], 5 * week),
        (&[5, 6], 2 * week),
    ];
    let mut facts = alone(&network);
    // Every step waits for something that is not there yet: how long may it be missing?
    for step in &mut facts.pieces[0].steps {
        step.gates_met = None;
    }
    plain(&facts, day("2026-01-05"), &[], |plan| {
        assert_eq!(finished(plan, 3), [[15 * 7; 3]]);
        let asked = Asked { place: 0, gated: (0..8).collect(), away: vec![] };
        let latest: Vec<u16> = answers(plan, &[asked], 5)[0].choose.iter().map(|(_, day)| *day).collect();
        // Latest starts, in weeks: A 0, B 1, C 2, D 4, E 4, F 10, G 8, H 13.
        assert_eq!(latest, [0, 1, 2, 4, 4, 10, 8, 13].map(|w| w * 7));
    });
}

#[test]
fn without_a_queue_a_piece_takes_the_longest_path_of_networkx() {
    let theirs = rows("paths.py", &[]);
    assert_eq!(theirs.len(), 200);
    for row in theirs {
        let steps: Vec<(Vec<usize>, u32)> = row["steps"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| {
                let after = s["after"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap() as usize);
                (after.collect(), s["days"].as_u64().unwrap() as u32)
            })
            .collect();
        let steps: Vec<(&[usize], u32)> =
            steps.iter().map(|(after, days)| (after.as_slice(), *days)).collect();
        plain(&alone(&steps), day("2026-01-05"), &[], |plan| {
            assert_eq!(u64::from(finished(plan, 1)[0][0]), row["longest"].as_u64().unwrap(), "{row}");
        });
    }
}
