//! What must hold for any shop: orders of windows, nothing before today, the same luck for the same piece.

use super::queue::plain;
use crate::oracle::day;
use crate::truth;
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::{Closure, Facts};
use benchlight::door::work::estimate::learn::{Figures, Learned, arrivals};
use benchlight::door::work::estimate::plan::{Newcomer, Plan};
use benchlight::door::work::estimate::shown::shown;
use benchlight::door::work::estimate::windows::{finished, simulate};
use benchlight::door::work::view::DayView;

const TRIALS: usize = 200;

/// Shops of several kinds, each on a day on which it has some past and a queue.
fn shops() -> Vec<(Facts, Day)> {
    let kinds = truth::TUNED.iter().enumerate();
    kinds
        .map(|(n, kind)| {
            let shop = truth::shop(kind, 900 + n as u64);
            let day = shop.first_asked.plus(30);
            (shop.facts, day)
        })
        .collect()
}

/// With the owner's figures alone, the line kept: all trials of all open pieces.
fn trials(facts: &Facts, today: Day, extra: &[Newcomer]) -> Vec<Vec<u16>> {
    plain(facts, today, extra, |plan| finished(plan, TRIALS))
}

fn means(trials: &[Vec<u16>]) -> Vec<f64> {
    trials.iter().map(|days| days.iter().map(|d| f64::from(*d)).sum::<f64>() / days.len() as f64).collect()
}

/// Later by no more than a step that was just begun may take: with less or more time, other steps meet at the bench
/// (Graham, "Bounds on Multiprocessing Timing Anomalies", SIAM J. Appl. Math. 17, 1969), so a single
/// piece may lose a turn; the queue as a whole never does.
fn never_later(before: &[Vec<u16>], after: &[Vec<u16>], what: &str) {
    let (before, after) = (means(before), means(after));
    let sum = |all: &[f64]| all.iter().sum::<f64>() / all.len() as f64;
    assert!(sum(&after) <= sum(&before) + 1e-9, "{what}: {} became {}", sum(&before), sum(&after));
    for (piece, (b, a)) in before.iter().zip(&after).enumerate() {
        assert!(*a <= b + 4.0, "{what}: piece {piece} {b} became {a}");
    }
}

#[test]
fn more_hours_never_mean_later() {
    for (facts, today) in shops() {
        let mut more = facts.clone();
        more.hours = facts.hours.map(|m| Minutes(m.0 * 5 / 4));
        never_later(&trials(&facts, today, &[]), &trials(&more, today, &[]), "a quarter more hours");
        let mut another_day = facts.clone();
        another_day.hours[4] = Minutes(120);
        never_later(&trials(&facts, today, &[]), &trials(&another_day, today, &[]), "another day");
    }
}

#[test]
fn a_closure_never_means_earlier() {
    for (facts, today) in shops() {
        let mut closed = facts.clone();
        let (from, to) = (today.plus(20), today.plus(40));
        closed.closures.push(Closure { from, to, announced: Some(today), why: None });
        never_later(&trials(&closed, today, &[]), &trials(&facts, today, &[]), "without the closure");
        // Announced tomorrow, it is not known today.
        closed.closures.last_mut().unwrap().announced = Some(today.plus(1));
        assert_eq!(trials(&closed, today, &[]), trials(&facts, today, &[]));
    }
}

#[test]
fn a_piece_behind_never_delays_one_before() {
    for (facts, today) in shops() {
        let before = trials(&facts, today, &[]);
        let behind: Vec<Newcomer> = (0..6)
            .map(|n| Newcomer {
                key: 77 + n,
                route: facts.pieces[n as usize].route,
                rush: false,
                arrives: 3 * n as u32,
                brief: false,
            })
            .collect();
        // Not one trial of one piece changes: each has its own luck.
        assert_eq!(before, trials(&facts, today, &behind));
    }
}

#[test]
fn a_rush_before_the_line_never_means_earlier() {
    for (facts, today) in shops() {
        let rush: Vec<Newcomer> = (0..6)
            .map(|n| Newcomer {
                key: 77 + n,
                route: facts.pieces[0].route,
                rush: true,
                arrives: 0,
                brief: false,
            })
            .collect();
        never_later(&trials(&facts, today, &rush), &trials(&facts, today, &[]), "without the rush");
    }
}

#[test]
fn a_step_reached_never_widens_what_is_known() {
    for (mut facts, today) in shops() {
        let wide = |trials: &[Vec<u16>], at: usize| {
            let mut days = trials[at].clone();
            days.sort_unstable();
            i64::from(days[TRIALS * 9 / 10]) - i64::from(days[TRIALS / 10])
        };
        let view = DayView::on(&facts, today);
        let before = trials(&facts, today, &[]);
        let open: Vec<usize> = view.open().map(|p| p.piece).collect();
        for (at, piece) in open.into_iter().enumerate().take(12) {
            let own = &view.pieces.iter().find(|p| p.piece == piece).unwrap().steps;
            let next =
                own.iter().position(|s| !matches!(s, benchlight::door::model::StepState::Reached { .. }));
            let next = next.unwrap();
            let was = facts.pieces[piece].steps[next];
            facts.pieces[piece].steps[next].reached = Some(today);
            let after = trials(&facts, today, &[]);
            // The piece may have become ready by that.
            if DayView::on(&facts, today).open().nth(at).is_some_and(|p| p.piece == piece) {
                let (b, a) = (wide(&before, at), wide(&after, at));
                assert!(a <= b + 3, "piece {piece}, step {next}: {b} days wide became {a}");
            }
            facts.pieces[piece].steps[next] = was;
        }
    }
}

#[test]
fn windows_are_in_order_and_never_before_today() {
    for (facts, today) in shops() {
        // Not a Monday: what was reckoned before must not reach back.
        for today in [today, today.plus(3), today.plus(6)] {
            let (pieces, routes) = shown(&facts, today);
            assert_eq!(pieces.len(), DayView::on(&facts, today).open().count());
            for window in pieces.iter().filter_map(|p| p.window).chain(routes.into_iter().flatten()) {
                assert!(
                    today <= window.soonest
                        && window.soonest <= window.likely
                        && window.likely <= window.latest
                );
            }
            for own in &pieces {
                assert!(own.reckoned_on <= today && today.since(own.reckoned_on) < 7);
                assert!(own.choose.iter().chain(&own.back).all(|(_, day)| *day >= today));
            }
        }
    }
}

#[test]
fn within_a_week_nothing_moves_but_what_itself_moved() {
    for (facts, today) in shops() {
        let monday = benchlight::door::work::calendar::bench::monday_of(today);
        let (before, _) = shown(&facts, monday);
        let (after, _) = shown(&facts, monday.plus(6));
        let mut still = 0;
        for own in after.iter().filter(|own| own.reckoned_on == monday) {
            let was = before.iter().find(|b| b.piece == own.piece).unwrap();
            let not_past = |day: Day| day.max(monday.plus(6));
            let (a, b) = (own.window.unwrap(), was.window.unwrap());
            assert_eq!(a.soonest, not_past(b.soonest));
            assert_eq!(a.likely, not_past(b.likely));
            assert_eq!(a.latest, not_past(b.latest));
            still += 1;
        }
        assert!(still > 0);
    }
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let (facts, today) = shops().swap_remove(4);
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            (shown(&facts, today), simulate(&facts, &Figures::new(&facts), &DayView::on(&facts, today), 300))
        })
    };
    assert_eq!(with(1), with(5));
}

#[test]
fn what_is_dated_later_is_not_known() {
    let (facts, today) = shops().swap_remove(0);
    let mut cut = facts.clone();
    cut.pieces.retain(|p| p.taken_in <= today);
    for piece in &mut cut.pieces {
        let known = |fact: Option<Day>| fact.filter(|d| *d <= today);
        (piece.in_line, piece.collected) = (known(piece.in_line), known(piece.collected));
        for step in &mut piece.steps {
            step.reached = known(step.reached);
            step.sent = known(step.sent);
            step.gates_met = known(step.gates_met);
        }
    }
    assert_eq!(shown(&cut, today), shown(&facts, today));
}

#[test]
fn several_hands_and_batches_end_too() {
    for (mut facts, today) in shops() {
        let alone = means(&trials(&facts, today, &[]));
        facts.hands = 3;
        let three = means(&trials(&facts, today, &[]));
        assert!(three.iter().sum::<f64>() < alone.iter().sum::<f64>());
        facts.hands = 1;
        facts.batches = true;
        let batches = means(&trials(&facts, today, &[]));
        assert!(batches.iter().all(|days| *days < 3000.0));
    }
}

#[test]
fn a_shop_without_hours_or_pieces_gives_no_windows_and_no_panic() {
    let (mut facts, today) = shops().swap_remove(5);
    facts.hours = [Minutes(0); 7];
    let (pieces, routes) = shown(&facts, today);
    assert!(pieces.iter().any(|p| p.window.is_none()) && routes.iter().all(Option::is_none));
    facts.pieces.clear();
    assert_eq!(shown(&facts, today).0, []);
    let figures = Figures::new(&facts);
    let view = DayView::on(&facts, day("2026-01-05"));
    let learned = Learned::from(&facts, &figures, &view);
    assert!(arrivals::expected(&facts, &view, &learned).is_empty());
    assert!(finished(&Plan::new(&facts, &view, &learned, &[]), 10).is_empty());
}
