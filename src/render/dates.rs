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
    near: String,
    week: String,
    thirds: Vec<String>,
}

/// How exactly a day can be told: the further off it is, the less.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    Day,
    Week,
    /// A third of a month.
    Third,
}

/// Days up to two weeks ahead, weeks up to four months.
const DAYS: i64 = 14;
const WEEKS: i64 = 122;

impl Grain {
    /// For a day that is estimated as of `today`.
    pub fn of(today: Day, day: Day) -> Grain {
        match day.since(today) {
            ahead if ahead < DAYS => Grain::Day,
            ahead if ahead < WEEKS => Grain::Week,
            _ => Grain::Third,
        }
    }
}

/// A day that is only known about, in words as exact as that.
#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct AboutWords {
    /// For `<time datetime>`: a date, a week or a month of the HTML Standard (2.3.5).
    pub iso: String,
    pub words: String,
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
            near: words.plain("date.near")?,
            week: words.plain("date.week")?,
            thirds: words.texts("date.thirds", 3)?,
        };
        let sample = Day::from_unix(0);
        let single = [&dates.long, &dates.short, &dates.tag, &dates.month, &dates.near, &dates.week];
        for pattern in single.into_iter().chain(&dates.thirds) {
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

    /// A day that is only known about.
    pub fn about(&self, day: Day, grain: Grain) -> AboutWords {
        let written = |pattern: &str, day: Day| self.fill(pattern, day).unwrap_or_else(|_| day.iso());
        match grain {
            Grain::Day => AboutWords { iso: day.iso(), words: written(&self.near, day) },
            Grain::Week => AboutWords { iso: day.iso_week(), words: written(&self.week, day.monday()) },
            Grain::Third => {
                let third = (day.day().saturating_sub(1) / 10).min(2) as usize;
                let pattern = self.thirds.get(third).unwrap_or(&self.month);
                AboutWords { iso: day.iso()[..7].to_owned(), words: written(pattern, day) }
            }
        }
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
            "[date]\nmonths = [{}]\nmonths-short = [{}]\nweekdays = [{}]\nlong = \"{long}\"\nshort = \"{{day}}. {{month-short}}\"\ntag = \"{{day}}\"\nmonth = \"{{month}} {{year}}\"\nnear = \"{{weekday}} {{day}}\"\nweek = \"week of {{day}} {{month}}\"\nthirds = [\"early {{month}}\", \"mid {{month}}\", \"late {{month}}\"]\n",
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
    fn what_is_further_off_is_told_less_exactly() {
        let today = Day::new(2026, 1, 1).unwrap();
        let dates = dates("{day}").unwrap();
        let told = |ahead: u32| {
            let day = today.plus(ahead);
            let about = dates.about(day, Grain::of(today, day));
            (about.iso, about.words)
        };
        let pair = |iso: &str, words: &str| (iso.to_owned(), words.to_owned());
        // 2026-01-01 is a Thursday, in the week that ISO 8601 calls 2026-W01 and that began on 29 December.
        assert_eq!(told(0), pair("2026-01-01", "day4 1"));
        assert_eq!(told(13), pair("2026-01-14", "day3 14"));
        assert_eq!(told(14), pair("2026-W03", "week of 12 month1"));
        assert_eq!(told(121), pair("2026-W18", "week of 27 month4"));
        assert_eq!(told(122), pair("2026-05", "early month5"));
        for (day, third) in [(10, "early"), (11, "mid"), (20, "mid"), (21, "late"), (31, "late")] {
            let about = dates.about(Day::new(2026, 7, day).unwrap(), Grain::Third);
            assert_eq!(about.words, format!("{third} month7"));
        }
        let first = dates.about(today, Grain::Week);
        assert_eq!((first.iso.as_str(), first.words.as_str()), ("2026-W01", "week of 29 month12"));
    }

    #[test]
    fn an_unknown_gap_is_told_when_the_theme_is_read() {
        assert!(format!("{:?}", dates("{dya}").unwrap_err()).contains("{dya}"));
    }
}
