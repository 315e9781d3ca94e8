//! Bench hours by weekday, less the closures that were known on a day.

use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::Closure;
use chrono::Weekday;

/// When the bench is worked at, as far as it was known on some day.
#[derive(Clone, Debug)]
pub struct BenchCalendar {
    /// Minutes by weekday, Monday first.
    by_weekday: [u32; 7],
    /// Closed spans, both ends included, in order.
    closed: Vec<(Day, Day)>,
}

impl BenchCalendar {
    /// The calendar with those closures that had been announced by `day`.
    pub fn known_on(hours: &[Minutes; 7], closures: &[Closure], day: Day) -> BenchCalendar {
        let known = closures.iter().filter(|c| c.announced.is_none_or(|told| told <= day));
        let mut closed: Vec<(Day, Day)> = known.map(|c| (c.from, c.to)).collect();
        closed.sort();
        // A day has at most 24 hours, whatever was written.
        BenchCalendar { by_weekday: hours.map(|m| m.0.min(24 * 60)), closed }
    }

    /// Scheduled minutes of a day.
    pub fn minutes_on(&self, day: Day) -> u32 {
        if self.closed.iter().any(|(from, to)| (*from..=*to).contains(&day)) {
            return 0;
        }
        self.by_weekday.get(place(day.weekday())).copied().unwrap_or(0)
    }

    /// Scheduled minutes of the days from `from` up to, but without, `to`.
    pub fn minutes_between(&self, from: Day, to: Day) -> u64 {
        days(from, to).map(|day| u64::from(self.minutes_on(day))).sum()
    }
}

/// Place of a weekday in a week that begins on Monday.
fn place(weekday: Weekday) -> usize {
    weekday.num_days_from_monday() as usize
}

/// The days from `from` up to, but without, `to`.
fn days(from: Day, to: Day) -> impl Iterator<Item = Day> {
    let count = u32::try_from(to.since(from)).unwrap_or(0);
    (0..count).map(move |n| from.plus(n))
}

/// The Monday of a day's week.
pub fn monday_of(day: Day) -> Day {
    day.minus(place(day.weekday()) as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse(text).unwrap()
    }

    fn closed(from: &str, to: &str, announced: Option<&str>) -> Closure {
        Closure { from: day(from), to: day(to), announced: announced.map(day), why: None }
    }

    #[test]
    fn a_closure_counts_from_the_day_it_was_announced() {
        let hours = [360, 0, 0, 0, 0, 180, 0].map(Minutes);
        let spring = [closed("2026-04-10", "2026-04-24", Some("2026-02-01"))];
        let before = BenchCalendar::known_on(&hours, &spring, day("2026-01-31"));
        let after = BenchCalendar::known_on(&hours, &spring, day("2026-02-01"));
        // 2026-04-13 is a Monday (ISO 8601 week 16).
        assert_eq!((before.minutes_on(day("2026-04-13")), after.minutes_on(day("2026-04-13"))), (360, 0));
        assert_eq!(before.minutes_between(day("2026-04-06"), day("2026-04-27")), 3 * 540);
        assert_eq!(after.minutes_between(day("2026-04-06"), day("2026-04-27")), 360 + 180);
    }

    #[test]
    fn no_hours_and_backward_spans_give_nothing() {
        let none = BenchCalendar::known_on(&[Minutes(0); 7], &[], day("2026-01-01"));
        assert_eq!(none.minutes_between(day("2026-01-05"), day("2026-01-01")), 0);
        assert_eq!(monday_of(day("2026-05-03")), day("2026-04-27"));
    }
}
