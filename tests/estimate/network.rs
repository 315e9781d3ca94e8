//! Networks of steps without any queue: printed textbook examples with their earliest and latest starts and
//! floats, and the same of random networks against networkx.

use super::queue::{facts, open_piece, plain};
use crate::oracle::{day, rows};
use benchlight::door::model::{Facts, Likely, StepPlan, StepWork};
use benchlight::door::work::estimate::choose::{Asked, answers};
use benchlight::door::work::estimate::trial::Scratch;

/// One piece whose steps take exactly these days, by themselves; each waits for something that is not there yet.
fn alone(steps: &[(Vec<usize>, u32)]) -> Facts {
    let steps = steps.iter().map(|(after, days)| StepPlan {
        after: after.clone(),
        work: StepWork::Rest(Likely { least: *days, likely: *days, most: *days }),
        gated: true,
    });
    let mut facts = facts(vec![steps.collect()], vec![]);
    let mut piece = open_piece(&facts, 1, 0, "2026-01-05");
    piece.steps.iter_mut().for_each(|step| step.gates_met = None);
    facts.pieces.push(piece);
    facts
}

/// How long all takes, and for each step its earliest and its latest start.
fn schedule(steps: &[(Vec<usize>, u32)]) -> (u32, Vec<(u32, u32)>) {
    plain(&alone(steps), day("2026-01-05"), &[], |plan| {
        let mut played = Scratch::new(plan);
        played.play(plan, 0);
        let earliest = played.ended.iter().zip(steps).map(|(ended, (_, days))| u32::from(*ended) - days);
        // How long may what it waits for be missing?
        let asked = Asked { place: 0, gated: (0..steps.len()).collect(), away: vec![] };
        let answer = answers(plan, &[asked], 5).swap_remove(0);
        let latest = answer.choose.iter().map(|(_, day)| u32::from(*day));
        (u32::from(played.finished[0]), earliest.zip(latest).collect())
    })
}

/// The method is that of Kelley, "Critical-Path Planning and Scheduling", Proceedings of the Eastern Joint Computer
/// Conference, 1959, p. 160. The example: Milwaukee Paper Manufacturing, in Heizer and Render, "Operations
/// Management", chapter 3, table 3.2 (activities, predecessors and weeks; the critical path is A-C-E-G-H, 15 weeks).
#[test]
fn milwaukee_paper_takes_fifteen_weeks() {
    let week = 7;
    let network = [
        (vec![], 2 * week),     // A: build internal components
        (vec![], 3 * week),     // B: modify roof and floor
        (vec![0], 2 * week),    // C: construct collection stack
        (vec![0, 1], 4 * week), // D: pour concrete and install frame
        (vec![2], 4 * week),    // E: build high-temperature burner
        (vec![2], 3 * week),    // F: install pollution control system
        (vec![3, 4], 5 * week), // G: install air pollution device
        (vec![5, 6], 2 * week), // H: inspect and test
    ];
    let (all, starts) = schedule(&network);
    assert_eq!(all, 15 * week);
    let critical: String =
        starts.iter().zip('A'..).filter(|((es, ls), _)| es == ls).map(|(_, name)| name).collect();
    assert_eq!(critical, "ACEGH");
}

/// Taylor, "Introduction to Management Science", chapter 8 (Project Management), the printed solutions on pages 115
/// and 116: activities by the events that they join, their time, earliest and latest start, and slack.
#[test]
fn two_networks_have_their_printed_starts_and_slack() {
    type Row = (u32, u32, u32, u32, u32, u32);
    let first: [Row; 7] = [
        (1, 2, 7, 0, 2, 2),
        (1, 3, 10, 0, 0, 0),
        (2, 4, 6, 7, 9, 2),
        (3, 4, 5, 10, 10, 0),
        (3, 5, 4, 10, 14, 4),
        (4, 5, 3, 15, 15, 0),
        (5, 6, 2, 18, 18, 0),
    ];
    let second: [Row; 13] = [
        (1, 2, 8, 0, 1, 1),
        (1, 3, 10, 0, 0, 0),
        (1, 4, 9, 0, 6, 6),
        (2, 5, 6, 8, 9, 1),
        (2, 6, 4, 8, 16, 8),
        (3, 5, 5, 10, 10, 0),
        (4, 5, 0, 9, 15, 6),
        (4, 7, 7, 9, 20, 11),
        (5, 7, 12, 15, 15, 0),
        (5, 8, 15, 15, 16, 1),
        (6, 9, 18, 12, 20, 8),
        (7, 8, 4, 27, 27, 0),
        (8, 9, 7, 31, 31, 0),
    ];
    for (rows, whole) in [(&first[..], 20), (&second[..], 38)] {
        let before = |event: u32| (0..rows.len()).filter(|at| rows[*at].1 == event).collect();
        let network: Vec<(Vec<usize>, u32)> = rows.iter().map(|row| (before(row.0), row.2)).collect();
        let (all, starts) = schedule(&network);
        assert_eq!(all, whole);
        for ((from, to, _, earliest, latest, slack), (es, ls)) in rows.iter().zip(starts) {
            assert_eq!((es, ls, ls - es), (*earliest, *latest, *slack), "{from}-{to}");
        }
    }
}

#[test]
fn without_a_queue_starts_are_those_of_the_longest_paths_of_networkx() {
    let theirs = rows("paths.py", &[]);
    assert_eq!(theirs.len(), 200);
    for row in theirs {
        let number = |value: &serde_json::Value| u32::try_from(value.as_u64().unwrap()).unwrap();
        let each = row["steps"].as_array().unwrap();
        let after = |s: &serde_json::Value| -> Vec<usize> {
            s["after"].as_array().unwrap().iter().map(|n| number(n) as usize).collect()
        };
        let steps: Vec<(Vec<usize>, u32)> = each.iter().map(|s| (after(s), number(&s["days"]))).collect();
        let (all, starts) = schedule(&steps);
        assert_eq!(all, number(&row["longest"]), "{row}");
        for (step, starts) in each.iter().zip(starts) {
            assert_eq!(starts, (number(&step["earliest"]), number(&step["latest"])), "{row}");
        }
    }
}
