//! How the windows held that were given about three months before a piece was ready: the one sentence that an
//! owner may show. Made again from what was known by then, on the same past days that today's windows are
//! corrected by, so that little has to be worked out twice.

use super::past::{Estimator, past_days};
use crate::base::day::Day;
use crate::model::PastHeld;
use crate::work::view::DayView;
use std::collections::BTreeMap;

/// The sentence is about so many pieces at most, and about windows given so many days before.
const PIECES: usize = 80;
const BEFORE: i64 = 91;
/// The past days are four weeks apart.
const NEAR: i64 = 14;
/// The first weeks of a record are not looked at.
const YOUNG: u32 = 56;

/// Counts; none where no piece has such a past.
pub fn held(estimator: &mut Estimator<'_>, today: Day) -> Option<PastHeld> {
    let facts = estimator.facts;
    let begun = facts.pieces.iter().map(|p| p.taken_in).min()?.plus(YOUNG);
    let days: Vec<Day> = past_days(today).take_while(|day| *day >= begun).collect();
    let now = DayView::on(facts, today);
    let mut asked: Vec<(Day, usize, Day)> = Vec::new();
    for own in &now.pieces {
        let Some((ready, piece)) = own.ready.zip(facts.pieces.get(own.piece)) else { continue };
        let off = |day: &Day| (ready.since(*day) - BEFORE).abs();
        let known = days.iter().filter(|day| **day >= piece.taken_in && off(day) <= NEAR);
        asked.extend(known.min_by_key(|day| off(day)).map(|day| (ready, own.piece, *day)));
    }
    asked.sort_by_key(|(ready, piece, _)| (std::cmp::Reverse(*ready), *piece));
    asked.truncate(PIECES);
    let mut by_day: BTreeMap<Day, Vec<(usize, Day)>> = BTreeMap::new();
    for (ready, piece, day) in asked {
        by_day.entry(day).or_default().push((piece, ready));
    }
    let (mut pieces, mut held) = (0, 0);
    for (day, asked) in by_day {
        let windows = estimator.past_windows(day);
        for (piece, ready) in asked {
            let Some(window) = windows.iter().find(|raw| raw.piece == piece) else { continue };
            let [soonest, _, latest] = window.days.map(i64::from);
            pieces += 1;
            held += usize::from((soonest..=latest).contains(&ready.since(day)));
        }
    }
    (pieces > 0).then_some(PastHeld { pieces, held, days_before: BEFORE })
}
