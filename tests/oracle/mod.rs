//! Runs the Python scripts of this folder, which come to the same results by another way, and builds the
//! smallest shop that a result can be compared on.
//!
//! Python missing, or a package of `tests/requirements.txt`, is a failed test, never a skipped one.

use crate::builder::{bare, tools};
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::base::money::Money;
use benchlight::door::model::*;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// The objects that a script writes, one a line.
pub fn rows(script: &str, arguments: &[&str]) -> Vec<Value> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle").join(script);
    let text = tools::printed(tools::python().arg(path).args(arguments));
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

pub use bare::rules;

pub fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

/// A shop with one route of one step, `finished`.
pub fn shop(money: MoneyRules, jobs: Vec<Job>) -> Shop {
    let hour = Minutes(60);
    let work = StepWork::Bench(Likely { least: hour, likely: hour, most: hour });
    let route = bare::route("fish", vec![bare::step("finished", vec![], work)]);
    Shop { routes: BTreeMap::from([("fish".to_owned(), route)]), jobs, ..bare::shop(money) }
}

/// A job taken in on 5 January 2026 that nothing else is known of.
pub fn job(number: String) -> Job {
    bare::job(&number, "fish", day("2026-01-05"))
}

pub fn charge(kind: &str, amount: Amount, on: Day) -> Charge {
    Charge { what: "a charge".into(), amount, kind: kind.into(), on }
}

pub fn flat(minor: i128) -> Amount {
    Amount::Flat(Money::from_minor(minor))
}
