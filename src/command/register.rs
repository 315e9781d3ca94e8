//! `register`: the log over a span of days, as a page and for spreadsheets.

use super::Outcome;
use super::printing::{self, Wanted};
use super::terminal::say;
use crate::base::day::Day;
use crate::base::words::count;
use crate::problem::{Code, Problem, Problems, Severity};
use crate::render::printed;
use crate::work::register::register;
use std::path::Path;

/// The span asked for; left out, from the first of January of this year until today.
#[derive(Clone, Copy, Debug)]
pub struct Span {
    pub from: Option<Day>,
    pub to: Option<Day>,
}

/// Makes the register.
pub fn run(shop: &Path, as_of: Option<Day>, span: Span, wanted: &Wanted) -> Outcome {
    printing::end(made(shop, as_of, span, wanted))
}

fn made(shop: &Path, as_of: Option<Day>, span: Span, wanted: &Wanted) -> Result<Outcome, Problems> {
    let press = printing::press(shop, as_of)?;
    let worked = &press.found.worked;
    let to = span.to.unwrap_or(worked.today);
    let from = span.from.or_else(|| Day::new(to.year(), 1, 1)).unwrap_or(to);
    if from > to {
        let problem =
            Problem::new(Code::BadDate, format!("the span ends on {to}, before it begins on {from}"));
        let problem = problem.with_severity(Severity::Stop).hint("turn `--from` and `--to` round");
        return Err(Problems::from_iter([problem]));
    }
    let register = register(&press.found.shop, worked, from, to);
    let made = printed::register(&press.found.shop, worked, &press.theme, wanted.paper, &register)?;
    let entries = count(register.entries.len(), "entry|entries");
    say(&format!("The register from {from} to {to}: {entries}."));
    if !register.gaps.is_empty() {
        let gaps: Vec<&str> = register.gaps.iter().map(|gap| gap.number.as_str()).collect();
        let jobs = count(gaps.len(), "job");
        say(&format!("  something is missing for {jobs}: {}", short(&gaps)));
    }
    say("  What must stand in it differs by state and changes; your own state governs.");
    printing::put_list(shop, wanted, &format!("register {from} to {to}"), &made)?;
    Ok(Outcome::of(&press.found.problems))
}

/// The first few numbers.
fn short(numbers: &[&str]) -> String {
    const SHOWN: usize = 8;
    let first: Vec<&str> = numbers.iter().take(SHOWN).copied().collect();
    let more = if numbers.len() > SHOWN { " …" } else { "" };
    format!("{}{more}", first.join(", "))
}
