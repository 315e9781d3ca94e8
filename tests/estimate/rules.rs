//! The rules of one trial, on shops so small that the right answer is plain: hands, batches, rush, parcels.

use super::queue::{facts, open_piece, plain};
use crate::oracle::day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::{Facts, Likely, Parcels, PartnerPlan, StepPlan, StepWork};
use benchlight::door::work::estimate::choose::{Asked, answers};
use benchlight::door::work::estimate::plan::Newcomer;
use benchlight::door::work::estimate::windows::finished;
use chrono::Weekday;

const MONDAY: &str = "2026-01-05";

fn just(figure: u32) -> Likely<u32> {
    Likely { least: figure, likely: figure, most: figure }
}

fn step(after: &[usize], work: StepWork<usize>) -> StepPlan {
    StepPlan { after: after.to_vec(), work, gated: false }
}

/// One bench hour for each piece and two on each day; kinds of work take turns in line.
fn hourly(kinds: usize, pieces: u64) -> Facts {
    let route = || vec![step(&[], StepWork::Bench(just(60).map(Minutes)))];
    let mut facts = facts((0..kinds).map(|_| route()).collect(), vec![]);
    facts.hours = [Minutes(120); 7];
    for n in 0..pieces {
        let piece = open_piece(&facts, n + 1, n as usize % kinds, MONDAY);
        facts.pieces.push(piece);
    }
    facts
}

fn days(facts: &Facts, extra: &[Newcomer]) -> Vec<u16> {
    plain(facts, day(MONDAY), extra, |plan| finished(plan, 1).into_iter().map(|days| days[0]).collect())
}

#[test]
fn the_bench_takes_what_is_first_in_line() {
    let mut facts = hourly(1, 6);
    assert_eq!(days(&facts, &[]), [0, 0, 1, 1, 2, 2]);
    facts.pieces[4].rush = true;
    assert_eq!(days(&facts, &[]), [0, 1, 1, 2, 0, 2]);
    // Without a deposit it stands behind those who have paid.
    facts.pieces[0].in_line = None;
    facts.pieces[1..].iter_mut().for_each(|piece| piece.in_line = Some(day("2026-01-02")));
    assert_eq!(days(&facts, &[]), [2, 0, 1, 1, 0, 2]);
}

#[test]
fn two_hands_do_twice_as_much() {
    let mut facts = hourly(1, 8);
    facts.hands = 2;
    assert_eq!(days(&facts, &[]), [0, 0, 0, 0, 1, 1, 1, 1]);
}

#[test]
fn a_shop_that_works_in_batches_stays_with_one_kind() {
    let mut facts = hourly(2, 8);
    assert_eq!(days(&facts, &[]), [0, 0, 1, 1, 2, 2, 3, 3]);
    facts.batches = true;
    assert_eq!(days(&facts, &[]), [0, 2, 0, 2, 1, 3, 1, 3]);
}

/// Work, then a partner for about thirty days.
fn with_partner(parcels: Parcels, days: Likely<u32>) -> Facts {
    let steps =
        vec![step(&[], StepWork::Bench(just(60).map(Minutes))), step(&[0], StepWork::Away { partner: 0 })];
    let mut facts = facts(vec![steps], vec![PartnerPlan { key: 5, days, parcels }]);
    facts.hours = [Minutes(60); 7];
    for n in 0..3 {
        let piece = open_piece(&facts, n + 1, 0, MONDAY);
        facts.pieces.push(piece);
    }
    facts
}

#[test]
fn what_is_in_one_parcel_comes_back_together() {
    let fridays = Parcels::Weekly { weeks: 1, weekday: Weekday::Fri, from: None };
    let facts = with_partner(fridays, Likely { least: 20, likely: 30, most: 60 });
    plain(&facts, day(MONDAY), &[], |plan| {
        let days = finished(plan, 200);
        assert!(days[0] == days[1] && days[1] == days[2]);
        let (first, last) = (days[0].iter().min().unwrap(), days[0].iter().max().unwrap());
        // Friday is four days off, and the luck of the parcel differs from trial to trial.
        assert!(*first >= 24 && *last <= 64 && last - first > 15, "{first} to {last}");
    });
    let written = Parcels::On(vec![day("2026-01-06"), day("2026-02-02")]);
    assert_eq!(days(&with_partner(written, just(30)), &[]), [1 + 30, 1 + 30, 28 + 30]);
}

#[test]
fn a_parcel_that_waits_for_pieces_leaves_with_the_last_of_them() {
    let facts = with_partner(Parcels::Pieces(4), just(30));
    let fourth = Newcomer { key: 9, route: 0, rush: false, arrives: 12, brief: false };
    assert_eq!(days(&facts, &[fourth]), [12 + 30; 3]);
    // Without a fourth it does not wait for ever.
    assert_eq!(days(&facts, &[]), [90 + 30; 3].map(|days: u16| days + 1));
}

#[test]
fn what_waits_for_a_parcel_can_be_settled_until_it_leaves() {
    let monthly = Parcels::OfMonth { nth: 1, weekday: Weekday::Mon };
    let mut facts = with_partner(monthly, just(30));
    facts.routes[0].steps[1].gated = true;
    facts.pieces.truncate(1);
    facts.pieces[0].steps[0].reached = Some(day(MONDAY));
    facts.pieces[0].steps[1].gates_met = None;
    // On Tuesday the parcel of January has left; that of February leaves on the second.
    plain(&facts, day("2026-01-06"), &[], |plan| {
        let asked = Asked { place: 0, gated: vec![1], away: vec![] };
        assert_eq!(answers(plan, &[asked], 20)[0].choose, [(1, 27)]);
        assert_eq!(finished(plan, 1), [[27 + 30]]);
    });
}

/// Common random numbers: another figure for one piece leaves all before it as they were, trial by trial, and
/// what comes behind moves by no more than the hours that were added.
#[test]
fn an_edit_moves_others_only_as_far_as_it_does() {
    let mut facts = hourly(1, 30);
    facts.routes[0].steps[0].work = StepWork::Bench(Likely { least: 30, likely: 60, most: 180 }.map(Minutes));
    let mut longer = facts.clone();
    let mut route = facts.routes[0].clone();
    route.steps[0].work =
        StepWork::Bench(Likely { least: 30 + 240, likely: 60 + 240, most: 180 + 240 }.map(Minutes));
    longer.routes.push(route);
    longer.pieces[15].route = 1;
    let trials = |facts: &Facts| plain(facts, day(MONDAY), &[], |plan| finished(plan, 100));
    let (before, after) = (trials(&facts), trials(&longer));
    assert_eq!(before[..15], after[..15]);
    for (b, a) in before[16..].iter().zip(&after[16..]) {
        for (b, a) in b.iter().zip(a) {
            assert!((1..=3).contains(&(a - b)), "four hours are two days of this bench: {b} became {a}");
        }
    }
}
