//! The calendar day: the one unit of time that the shop reckons in.
//!
//! A day has no clock and no time zone. Who decides which day is today is `command::clock`;
//! bench hours and closures are reckoned in `work`.

use chrono::{Datelike, Days, NaiveDate, Weekday};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

/// A day of the Gregorian calendar, between the years 1900 and 2199.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(NaiveDate);

const FIRST_YEAR: i32 = 1900;
const LAST_YEAR: i32 = 2199;

impl Day {
    /// The day of that year, month (1 to 12) and day of the month, if there is one.
    pub fn new(year: i32, month: u32, day: u32) -> Option<Day> {
        let in_range = (FIRST_YEAR..=LAST_YEAR).contains(&year);
        NaiveDate::from_ymd_opt(year, month, day).filter(|_| in_range).map(Day)
    }

    /// Reads `2026-05-02` (ISO 8601, the calendar date in its extended form), and nothing else.
    pub fn parse(text: &str) -> Option<Day> {
        let shaped = text.len() == 10 && text.is_ascii();
        let digits = |range: std::ops::Range<usize>| {
            let part = &text[range];
            part.bytes().all(|b| b.is_ascii_digit()).then(|| part.parse::<u32>().ok()).flatten()
        };
        if !shaped || &text[4..5] != "-" || &text[7..8] != "-" {
            return None;
        }
        Day::new(digits(0..4)? as i32, digits(5..7)?, digits(8..10)?)
    }

    pub fn year(self) -> i32 {
        self.0.year()
    }

    /// The month, 1 to 12.
    pub fn month(self) -> u32 {
        self.0.month()
    }

    /// The day of the month, 1 to 31.
    pub fn day(self) -> u32 {
        self.0.day()
    }

    pub fn weekday(self) -> Weekday {
        self.0.weekday()
    }

    /// This day and `days` more; stays at the calendar's end where it would run over.
    pub fn plus(self, days: u32) -> Day {
        let later = self.0.checked_add_days(Days::new(u64::from(days)));
        later.filter(|d| d.year() <= LAST_YEAR).map_or(Day::last(), Day)
    }

    /// This day less `days`; stays at the calendar's beginning where it would run over.
    pub fn minus(self, days: u32) -> Day {
        let earlier = self.0.checked_sub_days(Days::new(u64::from(days)));
        earlier.filter(|d| d.year() >= FIRST_YEAR).map_or(Day::first(), Day)
    }

    /// Whole days from `earlier` to this day; negative when `earlier` is the later one.
    pub fn since(self, earlier: Day) -> i64 {
        (self.0 - earlier.0).num_days()
    }

    /// The same day of the month `months` later, or that month's last day where it has no such day.
    pub fn plus_months(self, months: u32) -> Day {
        let later = self.0.checked_add_months(chrono::Months::new(months));
        later.filter(|d| d.year() <= LAST_YEAR).map_or(Day::last(), Day)
    }

    /// The first day of this day's month.
    pub fn first_of_month(self) -> Day {
        Day(self.0.with_day(1).unwrap_or(self.0))
    }

    /// The Monday of this day's week.
    pub fn monday(self) -> Day {
        self.minus(self.0.weekday().num_days_from_monday())
    }

    /// The ISO 8601 week that this day is in, such as `2026-W18`.
    pub fn iso_week(self) -> String {
        self.0.format("%G-W%V").to_string()
    }

    /// The day of a moment given in seconds since 1970 (UTC), as in `SOURCE_DATE_EPOCH`.
    pub fn from_unix(seconds: i64) -> Option<Day> {
        let moment = chrono::DateTime::from_timestamp(seconds, 0)?;
        Day::new(moment.year(), moment.month(), moment.day())
    }

    /// The first of January 1970, for want of any better day.
    pub fn epoch() -> Day {
        Day(NaiveDate::default())
    }

    /// `2026-05-02`
    pub fn iso(self) -> String {
        self.0.format("%Y-%m-%d").to_string()
    }

    fn first() -> Day {
        Day(NaiveDate::from_ymd_opt(FIRST_YEAR, 1, 1).unwrap_or(NaiveDate::MIN))
    }

    fn last() -> Day {
        Day(NaiveDate::from_ymd_opt(LAST_YEAR, 12, 31).unwrap_or(NaiveDate::MAX))
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.iso())
    }
}

impl fmt::Debug for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.iso())
    }
}

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Day, D::Error> {
        let text = String::deserialize(deserializer)?;
        Day::parse(&text).ok_or_else(|| D::Error::custom("no day"))
    }
}

impl Serialize for Day {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.iso())
    }
}

/// A day that may be missing, as records have it: an empty text then.
pub mod or_empty {
    use super::Day;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub fn serialize<S: Serializer>(day: &Option<Day>, to: S) -> Result<S::Ok, S::Error> {
        match day {
            Some(day) => day.serialize(to),
            None => to.serialize_str(""),
        }
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Day>, D::Error> {
        Ok(Day::parse(&String::deserialize(from)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_iso_form_is_a_day() {
        assert_eq!(Day::parse("2026-05-02"), Day::new(2026, 5, 2));
        for bad in
            ["2026-5-2", "2026-02-30", "02.05.2026", "2026-05-02 ", "+026-05-02", "1899-12-31", "२०२६-05-02"]
        {
            assert_eq!(Day::parse(bad), None, "{bad}");
        }
    }

    #[test]
    fn leap_years_and_month_ends() {
        // The Gregorian rule, ISO 8601:2019 3.2.1: 2000 and 2028 are leap years, 2100 is not.
        assert!(Day::new(2000, 2, 29).is_some() && Day::new(2028, 2, 29).is_some());
        assert!(Day::new(2100, 2, 29).is_none());
        let january_end = Day::new(2027, 1, 31).unwrap();
        assert_eq!(january_end.plus_months(1).iso(), "2027-02-28");
        assert_eq!(january_end.plus(1).since(january_end), 1);
    }

    #[test]
    fn the_calendar_has_ends_and_no_panic() {
        let day = Day::new(2026, 1, 1).unwrap();
        assert_eq!(day.plus(u32::MAX).iso(), "2199-12-31");
        assert_eq!(day.minus(u32::MAX).iso(), "1900-01-01");
        assert_eq!(day.plus_months(u32::MAX).iso(), "2199-12-31");
    }
}
