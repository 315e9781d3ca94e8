//! A window on a line of months, with today.

use crate::base::day::Day;
use crate::model::Window;
use serde::Serialize;

/// A line of months, drawn: places from left to right in units of the drawing.
#[derive(Debug, Serialize)]
pub struct MonthsDrawing {
    pub wide: u32,
    pub months: Vec<MonthMark>,
    pub today: u32,
    pub soonest: u32,
    pub likely: u32,
    pub latest: u32,
}

/// Where a month begins.
#[derive(Debug, Serialize)]
pub struct MonthMark {
    pub at: u32,
    /// Its name, where there is room for it.
    pub name: Option<String>,
    /// Its year, where it is the first one of the line or of its year.
    pub year: Option<i32>,
}

const WIDE: u32 = 300;
/// Kept free on both sides.
const SIDE: u32 = 8;
/// The room that the short name of a month takes.
const NAME: u32 = 48;

impl MonthsDrawing {
    /// The line from the month of today to that of the latest day; `name` gives a month's short name.
    pub fn of(today: Day, window: Window, name: &dyn Fn(Day) -> String) -> MonthsDrawing {
        let first = today.min(window.soonest).first_of_month();
        let last = today.max(window.latest).first_of_month().plus_months(1);
        let all = last.since(first).max(1);
        let at = |day: Day| {
            let run = day.since(first).clamp(0, all) * i64::from(WIDE - 2 * SIDE) / all;
            SIDE + u32::try_from(run).unwrap_or_default()
        };
        let count = (0..).take_while(|n| first.plus_months(*n) < last).count() as u32;
        // Names stand so far apart that none touches the next; years wherever there is room too.
        let every = (count * NAME).div_ceil(WIDE - 2 * SIDE).max(1);
        let mut shown_year = None;
        let months = (0..count).map(|n| {
            let month = first.plus_months(n);
            let named = n % every == 0 && at(month) + NAME * 3 / 4 < WIDE;
            let fresh = named && shown_year != Some(month.year());
            if fresh {
                shown_year = Some(month.year());
            }
            MonthMark { at: at(month), name: named.then(|| name(month)), year: fresh.then(|| month.year()) }
        });
        MonthsDrawing {
            wide: WIDE,
            months: months.collect(),
            today: at(today),
            soonest: at(window.soonest),
            likely: at(window.likely),
            latest: at(window.latest),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse(text).unwrap()
    }

    fn drawn(today: &str, days: [&str; 3]) -> MonthsDrawing {
        let [soonest, likely, latest] = days.map(day);
        let window = Window { soonest, likely, latest };
        MonthsDrawing::of(day(today), window, &|month| month.month().to_string())
    }

    #[test]
    fn days_lie_on_the_line_in_their_order() {
        let line = drawn("2026-06-15", ["2026-10-05", "2026-11-29", "2027-02-11"]);
        assert_eq!(line.months.len(), 9, "June to February");
        assert!(line.today < line.soonest && line.soonest < line.likely && line.likely < line.latest);
        assert_eq!((line.months[0].at, line.months[0].year), (SIDE, Some(2026)));
        // 273 days from 1 June to 1 March: 126 of them on 5 October.
        assert_eq!(line.soonest, SIDE + 126 * 284 / 273);
    }

    #[test]
    fn names_never_touch_and_each_year_is_told_once() {
        for latest in ["2026-06-15", "2026-07-01", "2027-01-31", "2029-05-05", "2036-12-31"] {
            let line = drawn("2026-06-15", ["2026-06-15", "2026-06-15", latest]);
            let named: Vec<u32> = line.months.iter().filter(|m| m.name.is_some()).map(|m| m.at).collect();
            assert!(!named.is_empty());
            assert!(named.windows(2).all(|two| two[1] - two[0] >= NAME - 2), "{latest}: {named:?}");
            let years: Vec<i32> = line.months.iter().filter_map(|m| m.year).collect();
            assert!(years.windows(2).all(|two| two[0] < two[1]) && years[0] == 2026, "{years:?}");
            assert!(line.latest <= WIDE - SIDE);
        }
    }
}
