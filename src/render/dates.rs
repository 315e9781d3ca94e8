//! A day in words, by the patterns of `words.toml`.

use super::theme::{Words, fill};
use crate::base::day::Day;
use crate::problem::Problems;
use serde::Serialize;

/// How days are written.
#[derive(Debug)]
pub struct Dates {
    months: Vec<String>,
    months_short: Vec<String>,
    weekdays: Vec<String>,
    long: String,
    short: String,
    tag: String,
    month: String,
}

/// A day as a template may show it.
#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct DayWords {
    /// For `<time datetime>`.
    pub iso: String,
    pub long: String,
    pub short: String,
}

impl Dates {
    /// The patterns, tried out so that none fails later.
    pub fn read(words: &Words) -> Result<Dates, Problems> {
        let dates = Dates {
            months: words.texts("date.months", 12)?,
            months_short: words.texts("date.months-short", 12)?,
            weekdays: words.texts("date.weekdays", 7)?,
            long: words.plain("date.long")?,
            short: words.plain("date.short")?,
            tag: words.plain("date.tag")?,
            month: words.plain("date.month")?,
        };
        let sample = Day::from_unix(0);
        for pattern in [&dates.long, &dates.short, &dates.tag, &dates.month] {
            if let Some(Err(gap)) = sample.map(|day| dates.fill(pattern, day)) {
                return Err(words.problem(format!("a date has no `{{{gap}}}`")));
            }
        }
        Ok(dates)
    }

    fn fill(&self, pattern: &str, day: Day) -> Result<String, String> {
        let month = day.month().saturating_sub(1) as usize;
        let weekday = day.weekday().num_days_from_monday() as usize;
        fill(pattern, &|name| match name {
            "day" => Some(day.day().to_string()),
            "day-two" => Some(format!("{:02}", day.day())),
            "month" => self.months.get(month).cloned(),
            "month-short" => self.months_short.get(month).cloned(),
            "month-number" => Some(day.month().to_string()),
            "month-two" => Some(format!("{:02}", day.month())),
            "year" => Some(day.year().to_string()),
            "weekday" => self.weekdays.get(weekday).cloned(),
            _ => None,
        })
    }

    pub fn day(&self, day: Day) -> DayWords {
        let written = |pattern: &str| self.fill(pattern, day).unwrap_or_else(|_| day.iso());
        DayWords { iso: day.iso(), long: written(&self.long), short: written(&self.short) }
    }

    /// A day with its year in few letters, for a tag.
    pub fn on_tag(&self, day: Day) -> String {
        self.fill(&self.tag, day).unwrap_or_else(|_| day.iso())
    }

    /// The short name of a month.
    pub fn month_short(&self, day: Day) -> String {
        self.fill("{month-short}", day).unwrap_or_else(|_| day.iso())
    }

    /// The name of a day's weekday.
    pub fn weekday(&self, day: Day) -> String {
        let name = self.weekdays.get(day.weekday().num_days_from_monday() as usize);
        name.cloned().unwrap_or_default()
    }

    /// A month and its year.
    pub fn month(&self, day: Day) -> String {
        self.fill(&self.month, day).unwrap_or_else(|_| day.iso())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::Source;

    fn dates(long: &str) -> Result<Dates, Problems> {
        let list = |n: usize, stem: &str| {
            let all: Vec<String> = (1..=n).map(|i| format!("\"{stem}{i}\"")).collect();
            all.join(", ")
        };
        let text = format!(
            "[date]\nmonths = [{}]\nmonths-short = [{}]\nweekdays = [{}]\nlong = \"{long}\"\nshort = \"{{day}}. {{month-short}}\"\ntag = \"{{day}}\"\nmonth = \"{{month}} {{year}}\"\n",
            list(12, "month"),
            list(12, "m"),
            list(7, "day")
        );
        Dates::read(&Words::read(Source::new("words.toml", text)).unwrap())
    }

    #[test]
    fn order_and_words_are_the_themes() {
        let day = Day::new(2026, 5, 2).unwrap();
        let dates = dates("{weekday}, {day-two}.{month-two}.{year}").unwrap();
        // 2 May 2026 is a Saturday: RFC 3339, appendix B (day of the week).
        assert_eq!(dates.day(day).long, "day6, 02.05.2026");
        assert_eq!(dates.day(day).short, "2. m5");
        assert_eq!(dates.month(day), "month5 2026");
    }

    #[test]
    fn an_unknown_gap_is_told_when_the_theme_is_read() {
        assert!(format!("{:?}", dates("{dya}").unwrap_err()).contains("{dya}"));
    }
}
