//! On which days a parcel leaves for a partner.
//!
//! A parcel that waits for a number of pieces has no days of its own; whoever simulates counts the pieces.

use crate::base::day::Day;
use crate::model::Parcels;
use chrono::Weekday;

/// The first day on or after `from` on which a parcel leaves; none where that depends on how many pieces wait.
///
/// Written dates that have run out are taken to go on at their own average distance.
pub fn next_leaving(parcels: &Parcels, from: Day) -> Option<Day> {
    match parcels {
        Parcels::Any => Some(from),
        Parcels::OfMonth { nth, weekday } => Some(next_of_month(*nth, *weekday, from)),
        Parcels::Weekly { weeks, weekday, from: anchor } => {
            Some(next_weekly(*weeks, *weekday, *anchor, from))
        }
        Parcels::On(days) => Some(next_written(days, from)),
        Parcels::Pieces(_) => None,
    }
}

fn next_of_month(nth: u8, weekday: Weekday, from: Day) -> Day {
    let month = from.first_of_month();
    let candidates = (0..3).map(|ahead| of_month(nth, weekday, month.plus_months(ahead)));
    candidates.filter(|day| *day >= from).min().unwrap_or(from)
}

/// The `nth` such weekday (5: the last) of the month that begins on `first`.
fn of_month(nth: u8, weekday: Weekday, first: Day) -> Day {
    let first_one = on_or_after(weekday, first);
    if nth < 5 {
        return first_one.plus(7 * u32::from(nth.saturating_sub(1)));
    }
    let next_month = first.plus_months(1);
    on_or_after(weekday, next_month.minus(7))
}

fn on_or_after(weekday: Weekday, from: Day) -> Day {
    let ahead = (7 + weekday.num_days_from_monday() - from.weekday().num_days_from_monday()) % 7;
    from.plus(ahead)
}

fn next_weekly(weeks: u8, weekday: Weekday, anchor: Option<Day>, from: Day) -> Day {
    let stride = 7 * i64::from(weeks.max(1));
    let first = on_or_after(weekday, anchor.unwrap_or(from));
    let behind = from.since(first);
    if behind <= 0 {
        return first;
    }
    let ahead = (stride - behind % stride) % stride;
    from.plus(u32::try_from(ahead).unwrap_or(0))
}

fn next_written(days: &[Day], from: Day) -> Day {
    if let Some(day) = days.iter().find(|day| **day >= from) {
        return *day;
    }
    let (Some(first), Some(last)) = (days.first(), days.last()) else { return from };
    let gaps = i64::try_from(days.len()).unwrap_or(1) - 1;
    // One date alone tells no distance: a month.
    let gap = if gaps > 0 { (last.since(*first) / gaps).max(1) } else { 30 };
    let behind = from.since(*last);
    from.plus(u32::try_from((gap - behind % gap) % gap).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse(text).unwrap()
    }

    #[test]
    fn rules_of_the_month_and_of_the_week() {
        // Days of the week of 2026 by the calendar rule of ISO 8601: 2026-01-01 is a Thursday.
        let first_monday = Parcels::OfMonth { nth: 1, weekday: Weekday::Mon };
        assert_eq!(next_leaving(&first_monday, day("2026-05-04")), Some(day("2026-05-04")));
        assert_eq!(next_leaving(&first_monday, day("2026-05-05")), Some(day("2026-06-01")));
        let last_friday = Parcels::OfMonth { nth: 5, weekday: Weekday::Fri };
        assert_eq!(next_leaving(&last_friday, day("2026-01-02")), Some(day("2026-01-30")));
        assert_eq!(next_leaving(&last_friday, day("2026-01-31")), Some(day("2026-02-27")));
        let second_friday =
            Parcels::Weekly { weeks: 2, weekday: Weekday::Fri, from: Some(day("2026-01-02")) };
        for (from, leaves) in
            [("2025-12-01", "2026-01-02"), ("2026-01-02", "2026-01-02"), ("2026-01-03", "2026-01-16")]
        {
            assert_eq!(next_leaving(&second_friday, day(from)), Some(day(leaves)), "{from}");
        }
    }

    #[test]
    fn written_dates_go_on_at_their_own_distance() {
        let days = Parcels::On(vec![day("2026-01-01"), day("2026-01-15"), day("2026-01-29")]);
        assert_eq!(next_leaving(&days, day("2026-01-02")), Some(day("2026-01-15")));
        assert_eq!(next_leaving(&days, day("2026-01-30")), Some(day("2026-02-12")));
        assert_eq!(next_leaving(&Parcels::On(Vec::new()), day("2026-01-30")), Some(day("2026-01-30")));
        assert_eq!(next_leaving(&Parcels::Pieces(6), day("2026-01-30")), None);
    }
}
