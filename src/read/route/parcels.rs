//! On which days a parcel leaves: the few sentences that `parcels` understands.
//!
//! `any`, `first Monday` to `last Friday` (of each month), `every Monday`,
//! `every second Friday from 2026-01-02`, a list of dates, or `{ pieces = 6 }`.

use crate::base::day::Day;
use crate::base::words::ticked;
use crate::model::Parcels;
use crate::problem::{Code, nearest};
use crate::read::toml::value::Value;
use chrono::Weekday;

const WEEKDAYS: [(&str, Weekday); 7] = [
    ("Monday", Weekday::Mon),
    ("Tuesday", Weekday::Tue),
    ("Wednesday", Weekday::Wed),
    ("Thursday", Weekday::Thu),
    ("Friday", Weekday::Fri),
    ("Saturday", Weekday::Sat),
    ("Sunday", Weekday::Sun),
];

const PLACES: [(&str, u8); 5] = [("first", 1), ("second", 2), ("third", 3), ("fourth", 4), ("last", 5)];

const EXAMPLES: &str = "write `\"first Monday\"`, `\"every Friday\"`, `\"every second Friday from 2026-01-02\"`, dates or `{ pieces = 6 }`";

/// Why a sentence is not understood, and what to write.
type Wrong = (String, String);

/// The days on which parcels leave.
pub(in crate::read) fn take(value: &Value<'_>) -> Option<Parcels> {
    if value.is_list() {
        return dates(value);
    }
    if value.is_table() {
        let table = value.table("`parcels`")?;
        let pieces = table.need("pieces", "parcels = { pieces = 6 }").and_then(|v| v.whole(1, 1000));
        table.finish();
        return pieces.map(Parcels::Pieces);
    }
    if !value.is_text() {
        value.wrong_kind("words in quotes, a list of dates or a number of pieces", "{ pieces = 6 }");
        return None;
    }
    let text = value.text()?;
    match sentence(&text) {
        Ok(parcels) => Some(parcels),
        Err((why, hint)) => {
            value.bad(Code::BadValue, why, hint);
            None
        }
    }
}

fn dates(value: &Value<'_>) -> Option<Parcels> {
    let items = value.items();
    let mut days: Vec<Day> = items.iter().filter_map(Value::date).collect();
    if items.is_empty() {
        value.bad(
            Code::BadValue,
            "no parcel ever leaves",
            "write dates such as `[2026-05-04, 2026-06-01]`, or take the line out",
        );
        return None;
    }
    let all = days.len() == items.len();
    days.sort_unstable();
    days.dedup();
    all.then_some(Parcels::On(days))
}

fn sentence(text: &str) -> Result<Parcels, Wrong> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let folded: Vec<String> = words.iter().map(|w| w.to_lowercase()).collect();
    let folded: Vec<&str> = folded.iter().map(String::as_str).collect();
    match folded.as_slice() {
        ["any"] => Ok(Parcels::Any),
        ["every", day] => Ok(Parcels::Weekly { weeks: 1, weekday: weekday(day)?, from: None }),
        ["every", day, "from", from] => weekly(1, day, from),
        ["every", nth, day, "from", from] => match place(nth)? {
            weeks @ 2..=4 => weekly(weeks, day, from),
            _ => Err((format!("{} is not understood", ticked(text)), EXAMPLES.to_owned())),
        },
        ["every", nth, day] if place(nth).is_ok() && weekday(day).is_ok() => {
            let hint = format!("name one such day, as in {}", ticked(&format!("{text} from 2026-01-02")));
            Err((format!("{} does not say which weeks", ticked(text)), hint))
        }
        [nth, day] => Ok(Parcels::OfMonth { nth: place(nth)?, weekday: weekday(day)? }),
        _ => Err((format!("{} is not understood", ticked(text)), EXAMPLES.to_owned())),
    }
}

fn weekly(weeks: u8, day: &str, from: &str) -> Result<Parcels, Wrong> {
    let weekday = weekday(day)?;
    let Some(from) = Day::parse(from) else {
        return Err((
            format!("{} is not a date", ticked(from)),
            "write it as year-month-day, such as `2026-01-02`".into(),
        ));
    };
    if from.weekday() != weekday {
        let names =
            |wanted: Weekday| WEEKDAYS.iter().find(|(_, day)| *day == wanted).map_or("", |(name, _)| name);
        let why = format!("{from} is a {}, not a {}", names(from.weekday()), names(weekday));
        return Err((why, "name a day on which a parcel does leave".into()));
    }
    Ok(Parcels::Weekly { weeks, weekday, from: Some(from) })
}

fn weekday(word: &str) -> Result<Weekday, Wrong> {
    look_up(word, &WEEKDAYS, "is no day of the week")
}

fn place(word: &str) -> Result<u8, Wrong> {
    look_up(word, &PLACES, "is not understood")
}

fn look_up<T: Copy>(word: &str, known: &[(&str, T)], why: &str) -> Result<T, Wrong> {
    if let Some((_, meaning)) = known.iter().find(|(name, _)| name.eq_ignore_ascii_case(word)) {
        return Ok(*meaning);
    }
    let near = nearest(word, known.iter().map(|(name, _)| *name));
    let hint = near.map_or_else(|| EXAMPLES.to_owned(), |near| format!("did you mean `{near}`?"));
    Err((format!("{} {why}", ticked(word)), hint))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_sentence_has_one_meaning() {
        let friday = Day::new(2026, 1, 2);
        for (text, want) in [
            ("any", Parcels::Any),
            ("first Monday", Parcels::OfMonth { nth: 1, weekday: Weekday::Mon }),
            ("Last  friday", Parcels::OfMonth { nth: 5, weekday: Weekday::Fri }),
            ("every Monday", Parcels::Weekly { weeks: 1, weekday: Weekday::Mon, from: None }),
            (
                "every friday from 2026-01-02",
                Parcels::Weekly { weeks: 1, weekday: Weekday::Fri, from: friday },
            ),
            (
                "every second Friday from 2026-01-02",
                Parcels::Weekly { weeks: 2, weekday: Weekday::Fri, from: friday },
            ),
            (
                "every fourth Friday from 2026-01-02",
                Parcels::Weekly { weeks: 4, weekday: Weekday::Fri, from: friday },
            ),
        ] {
            assert_eq!(sentence(text), Ok(want), "{text}");
        }
    }

    #[test]
    fn other_sentences_say_why() {
        for (text, why) in [
            ("", "`` is not understood"),
            ("first Mondy", "`mondy` is no day of the week"),
            ("frist Monday", "`frist` is not understood"),
            ("every second Friday", "`every second Friday` does not say which weeks"),
            ("every second Friday from 2026-01-03", "2026-01-03 is a Saturday, not a Friday"),
            ("every second Friday from soon", "`soon` is not a date"),
            ("every first Friday from 2026-01-02", "`every first Friday from 2026-01-02` is not understood"),
            ("when the crate is full", "`when the crate is full` is not understood"),
        ] {
            assert_eq!(sentence(text).unwrap_err().0, why, "{text}");
        }
    }
}
