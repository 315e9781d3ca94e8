//! What the shop's own record teaches: pace and rest times come out as they were lived, are wide while the record
//! is young, and are hardly moved by dates that are wrong.

use super::queue::{facts, open_piece};
use crate::oracle::day;
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::{Facts, Likely, StepPlan, StepWork};
use benchlight::door::work::estimate::learn::{Figures, Learned, SHARES};
use benchlight::door::work::view::DayView;

const BEGAN: &str = "2024-01-01";

/// A shop with five hours a week on paper that gets through two and a half: for so many weeks, five pieces of half
/// an hour are done, and rest for 40 days where the owner's figures say 10, 21 and 35.
fn lived(weeks: u32) -> (Facts, Day) {
    let half = Likely { least: 30, likely: 30, most: 30 };
    let steps = vec![
        StepPlan { after: vec![], work: StepWork::Bench(half.map(Minutes)), gated: false },
        StepPlan {
            after: vec![0],
            work: StepWork::Rest(Likely { least: 10, likely: 21, most: 35 }),
            gated: false,
        },
    ];
    let mut facts = facts(vec![steps], vec![]);
    facts.hours = [60, 60, 60, 60, 60, 0, 0].map(Minutes);
    let (began, today) = (day(BEGAN), day(BEGAN).plus(7 * weeks));
    // More than enough to do all the time.
    for n in 0..5 * weeks + 40 {
        let mut piece = open_piece(&facts, u64::from(n) + 1, 0, BEGAN);
        let done = began.plus(n / 5 * 7 + n % 5);
        if done < today {
            piece.steps[0].reached = Some(done);
            piece.steps[1].reached = Some(done.plus(40)).filter(|rested| *rested <= today);
        }
        facts.pieces.push(piece);
    }
    (facts, today)
}

fn learned(facts: &Facts, today: Day) -> Learned {
    Learned::from(facts, &Figures::new(facts), &DayView::on(facts, today))
}

/// The 10, 50 and 90 percent days of the rest.
fn rest(learned: &Learned) -> [u32; 3] {
    let from = learned.step_table(0, 1) as usize;
    let table = &learned.tables[from..from + SHARES];
    [10, 50, 90].map(|percent| table[SHARES * percent / 100])
}

#[test]
fn pace_and_rest_come_out_as_they_were_lived() {
    let (facts, today) = lived(100);
    let own = learned(&facts, today);
    assert!((own.pace.level - 0.5).abs() < 0.05, "{}", own.pace.level);
    let [low, middle, high] = rest(&own);
    assert!((38..=42).contains(&middle) && low >= 30 && high <= 46, "{low}, {middle}, {high}");
}

#[test]
fn a_young_shop_is_told_by_its_owners_figures_and_widely() {
    let young = learned(&lived(0).0, day(BEGAN));
    let some = lived(10);
    let some = learned(&some.0, some.1);
    let (facts, today) = lived(100);
    let old = learned(&facts, today);
    assert!(young.pace.spread > some.pace.spread && some.pace.spread > old.pace.spread);
    assert!(young.pace.level > some.pace.level && some.pace.level > old.pace.level);
    let [low, middle, high] = rest(&young);
    assert!((18..=28).contains(&middle) && low < 16 && high > 33, "{low}, {middle}, {high}");
}

#[test]
fn wrong_dates_are_outvoted() {
    let (mut facts, today) = lived(100);
    let right = learned(&facts, today);
    for (n, piece) in facts.pieces.iter_mut().enumerate().filter(|(n, _)| n % 20 == 3) {
        // The wrong year, the wrong month, or both days in one.
        for step in &mut piece.steps {
            step.reached = step.reached.map(|day| match n % 3 {
                0 => day.minus(366),
                1 => day.plus(30).min(today),
                _ => today,
            });
        }
    }
    let wrong = learned(&facts, today);
    assert!((wrong.pace.level / right.pace.level - 1.0).abs() < 0.15, "{}", wrong.pace.level);
    assert!(rest(&wrong)[1].abs_diff(rest(&right)[1]) <= 2, "{:?} and {:?}", rest(&wrong), rest(&right));
}
