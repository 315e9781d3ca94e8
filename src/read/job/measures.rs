//! `[measures]` of a job: lengths in inches with fractions, weights in pounds and ounces, read exactly.
//!
//! What they come to is `work::measures`'.

use crate::base::money::plain_decimal;
use crate::base::words::ticked;
use crate::model::measures::{Antlers, Measures, Skull};
use crate::problem::Code;
use crate::read::toml::table::Table;
use crate::read::toml::value::Value;
use rust_decimal::Decimal;

/// Nothing on a bench is longer, in inches, or heavier, in pounds.
const LONGEST: u32 = 400;
const HEAVIEST: u32 = 2_000;

/// How finely a length is measured.
#[derive(Clone, Copy)]
enum Finest {
    Eighths,
    Sixteenths,
    Any,
}

/// The measures, if there are any.
pub(in crate::read) fn take(root: &Table<'_>) -> Option<Measures> {
    let table = root.table("measures", "the measures")?;
    let measures = Measures {
        show: table.get("show").and_then(|v| v.flag()).unwrap_or(false),
        weight: table.get("weight").and_then(|v| weight(&v)),
        beards: table.get("beard").map(|v| one_or_more(&v)).unwrap_or_default(),
        spurs: table.get("spurs").and_then(|v| exactly(&v, Finest::Sixteenths, "[\"1 4/16\", \"1 3/16\"]")),
        antlers: antlers(&table),
        skull: skull(&table),
        length: table.get("length").and_then(|v| length(&v, Finest::Any)),
        girth: table.get("girth").and_then(|v| length(&v, Finest::Any)),
        divisor: table.get("divisor").and_then(|v| v.whole(100, 5_000)).unwrap_or(800),
    };
    table.finish();
    Some(measures)
}

fn antlers(measures: &Table<'_>) -> Option<Antlers> {
    let table = measures.table("antlers", "`[measures.antlers]`")?;
    let long = |key, example: &str| {
        table.need(key, &format!("{key} = {example}")).and_then(|v| length(&v, Finest::Eighths))
    };
    let spread = long("spread", "\"17 4/8\"");
    let beams = needed(&table, "beams", "[\"21 7/8\", \"21 6/8\"]");
    let points = ["right-points", "left-points"].map(|key| {
        let value = table.need(key, &format!("{key} = [\"3 4/8\", \"7 4/8\"]"))?;
        Some(value.list("[\"3 4/8\", \"7 4/8\"]", |one| length(one, Finest::Eighths)))
    });
    let girths = ["right-girths", "left-girths"]
        .map(|key| needed(&table, key, "[\"4 5/8\", \"4 5/8\", \"4 5/8\", \"3 6/8\"]"));
    let abnormal = table.get("abnormal").map(|v| length(&v, Finest::Eighths));
    table.finish();
    let ([right_points, left_points], [right_girths, left_girths]) = (points, girths);
    Some(Antlers {
        spread: spread?,
        beams: beams?,
        points: [right_points?, left_points?],
        girths: [right_girths?, left_girths?],
        abnormal: abnormal.unwrap_or(Some(Decimal::ZERO))?,
    })
}

fn skull(measures: &Table<'_>) -> Option<Skull> {
    let table = measures.table("skull", "`[measures.skull]`")?;
    let long = |key| {
        let value = table.need(key, &format!("{key} = \"12 3/16\""));
        value.and_then(|v| length(&v, Finest::Sixteenths))
    };
    let (length, width) = (long("length"), long("width"));
    table.finish();
    Some(Skull { length: length?, width: width? })
}

fn needed<const N: usize>(table: &Table<'_>, key: &'static str, example: &str) -> Option<[Decimal; N]> {
    exactly(&table.need(key, &format!("{key} = {example}"))?, Finest::Eighths, example)
}

/// A list of exactly so many lengths.
fn exactly<const N: usize>(value: &Value<'_>, finest: Finest, example: &str) -> Option<[Decimal; N]> {
    if value.is_list() && value.items().len() != N {
        let message = format!("{} needs {N} figures, not {}", ticked(value.key), value.items().len());
        value.bad(Code::BadValue, message, format!("write them like `{} = {example}`", value.key));
        return None;
    }
    value.list(example, |one| length(one, finest)).try_into().ok()
}

/// One beard, or a list of them.
fn one_or_more(value: &Value<'_>) -> Vec<Decimal> {
    match value.is_list() {
        true => value.list("[\"11 3/16\", \"4\"]", |one| length(one, Finest::Sixteenths)),
        false => length(value, Finest::Sixteenths).into_iter().collect(),
    }
}

/// A length in inches: `11`, `11.5`, `"3/4"` or `"11 3/16"`.
fn length(value: &Value<'_>, finest: Finest) -> Option<Decimal> {
    if !value.is_text() && !value.is_number() {
        value.wrong_kind("a length in inches", "\"11 3/16\"");
        return None;
    }
    let written = value.written();
    let Some(inches) = inches(written) else {
        let hint = "write inches and a fraction in quotes, such as `\"11 3/16\"`, or a number such as `11.5`";
        value.bad(Code::BadValue, format!("{} is no length in inches", ticked(written)), hint);
        return None;
    };
    if inches > Decimal::from(LONGEST) {
        let message = format!("{} is too long to be right", ticked(written));
        value.bad(Code::BadValue, message, "lengths are in inches");
        return None;
    }
    let (parts, name) = match finest {
        Finest::Eighths => (8, "eighths"),
        Finest::Sixteenths => (16, "sixteenths"),
        Finest::Any => return Some(inches),
    };
    if !(inches * Decimal::from(parts)).is_integer() {
        let message = format!("{} is not in {name} of an inch", ticked(written));
        value.bad(
            Code::BadValue,
            message,
            format!("this is measured to the nearest {parts}th, as the books do"),
        );
        return None;
    }
    Some(inches)
}

fn inches(written: &str) -> Option<Decimal> {
    let text = written.trim_end_matches(['"', '″']).trim_end_matches("in").trim();
    let (whole, part) = match text.rsplit_once(char::is_whitespace) {
        Some((whole, part)) if part.contains('/') => (plain(whole)?, part),
        None if text.contains('/') => (Decimal::ZERO, text),
        Some(_) => return None,
        None => return plain(text),
    };
    let (above, below) = part.split_once('/')?;
    let small = |digits: &str| -> Option<u32> {
        let sound = !digits.is_empty() && digits.len() <= 2 && digits.bytes().all(|b| b.is_ascii_digit());
        sound.then(|| digits.parse().ok()).flatten()
    };
    let (above, below) = (small(above)?, small(below)?);
    // Halves to sixteenths are exact in decimals, and no tape has other parts.
    let sound = above < below && [2, 4, 8, 16].contains(&below) && whole.is_integer();
    sound.then(|| whole + Decimal::from(above) / Decimal::from(below))
}

/// A weight in pounds: `21.4`, `"21.4 lb"`, `"20 lb 7 oz"` or `"7 oz"`.
fn weight(value: &Value<'_>) -> Option<Decimal> {
    if !value.is_text() && !value.is_number() {
        value.wrong_kind("a weight", "\"20 lb 7 oz\"");
        return None;
    }
    let written = value.written();
    match pounds(written) {
        Some(pounds) if pounds <= Decimal::from(HEAVIEST) => Some(pounds),
        Some(_) => {
            let message = format!("{} is too heavy to be right", ticked(written));
            value.bad(Code::BadValue, message, "weights are in pounds");
            None
        }
        None => {
            let hint = "write pounds and ounces in quotes, such as `\"20 lb 7 oz\"`, or pounds alone, such as `21.4`";
            value.bad(Code::BadValue, format!("{} is no weight in pounds and ounces", ticked(written)), hint);
            None
        }
    }
}

fn pounds(written: &str) -> Option<Decimal> {
    let spaced = written.replace("lb", " lb ").replace("oz", " oz ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let ounces = |text: &str| {
        let ounces = plain(text).filter(|ounces| *ounces < Decimal::from(16));
        ounces.map(|ounces| ounces / Decimal::from(16))
    };
    match words.as_slice() {
        [pounds] | [pounds, "lb"] => plain(pounds),
        [few, "oz"] => ounces(few),
        [pounds, "lb", few, "oz"] => {
            let pounds = plain(pounds).filter(Decimal::is_integer)?;
            Some(pounds + ounces(few)?)
        }
        _ => None,
    }
}

/// A plain number that is not below nothing, with no more digits than a tape or a scale gives.
fn plain(text: &str) -> Option<Decimal> {
    plain_decimal(text.trim()).filter(|number| !number.is_sign_negative() && number.scale() <= 4)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dec(text: &str) -> Option<Decimal> {
        Some(text.parse().unwrap())
    }

    #[test]
    fn inches_with_fractions() {
        // 11 3/16 in = 11.1875: "Want To Score Your Turkey?", its conversion example.
        for (written, want) in [
            ("11 3/16", "11.1875"),
            ("3/4", "0.75"),
            ("29", "29"),
            ("10.5", "10.5"),
            ("21 7/8\"", "21.875"),
            ("1 4/16 in", "1.25"),
        ] {
            assert_eq!(inches(written), dec(want), "{written}");
        }
        for bad in [
            "", "11 3", "11 3/7", "11 17/16", "3/0", "1.5 1/2", "-3", "11,5", "1 1 1/2", "a", "1e3", "/",
            "1/",
        ] {
            assert_eq!(inches(bad), None, "{bad}");
        }
    }

    #[test]
    fn pounds_and_ounces() {
        // 20 lb 7 oz = 20.4375: the same page.
        for (written, want) in [
            ("20 lb 7 oz", "20.4375"),
            ("20lb 7oz", "20.4375"),
            ("21.4", "21.4"),
            ("21.4 lb", "21.4"),
            ("8 oz", "0.5"),
        ] {
            assert_eq!(pounds(written), dec(want), "{written}");
        }
        for bad in ["", "20 lb 16 oz", "20.5 lb 3 oz", "20 7", "lb", "20 kg", "-1", "20 lb oz", "7 oz 20 lb"]
        {
            assert_eq!(pounds(bad), None, "{bad}");
        }
    }
}
