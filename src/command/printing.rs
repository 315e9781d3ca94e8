//! What `tag`, `parcel` and `register` share: reading the shop and its theme, finding jobs by number, and
//! putting printed pages in place.

use super::Outcome;
use super::pass::{self, PassMode, Reckoned};
use super::terminal::{say, tell_problems};
use crate::base::day::Day;
use crate::base::words::ticked;
use crate::model::{Shop, Spoilt, Worked};
use crate::problem::{Code, Problem, Problems};
use crate::render::printed::Printed;
use crate::render::theme::Theme;
use crate::{render, write};
use std::path::{Path, PathBuf};

pub use crate::render::printed::Paper;

/// Where a page goes and for which paper it is laid out.
#[derive(Clone, Debug)]
pub struct Wanted {
    pub out: Option<PathBuf>,
    pub paper: Paper,
}

/// A shop that was read, with the theme it prints by.
#[derive(Debug)]
pub struct Press {
    pub found: Reckoned,
    pub theme: Theme,
}

/// Reads and works out, and loads the theme.
///
/// # Errors
/// The problems, among them a `Stop`.
pub fn press(shop: &Path, as_of: Option<Day>) -> Result<Press, Problems> {
    super::is_shop(shop)?;
    let found = pass::reckoned(shop, as_of, PassMode::LookOnly)?;
    let (theme, _) = render::theme::load(shop)?;
    Ok(Press { found, theme })
}

/// Ends a command that prints: what stopped it is told.
pub fn end(made: Result<Outcome, Problems>) -> Outcome {
    made.unwrap_or_else(|problems| {
        tell_problems(&problems);
        Outcome::CouldNot
    })
}

/// The place in `Worked::jobs` of the job with this number.
///
/// # Errors
/// `unknown-job`, with the nearest number there is.
pub fn job(shop: &Shop, worked: &Worked, number: &str) -> Result<usize, Problem> {
    let is_it = |other: &str| other.eq_ignore_ascii_case(number.trim());
    let found = worked.jobs.iter().position(|w| shop.jobs.get(w.job).is_some_and(|job| is_it(&job.number)));
    let spoilt = shop.spoilt.iter().any(|part| matches!(part, Spoilt::Job(other) if is_it(other)))
        || worked.spoilt.iter().any(|other| is_it(other));
    found.ok_or_else(|| {
        if spoilt {
            let message = format!("the file of job {} needs mending first", ticked(number));
            return Problem::new(Code::UnknownJob, message)
                .hint("`benchlight proof` tells what is wrong with it");
        }
        let numbers = shop.jobs.iter().map(|job| job.number.as_str());
        Problem::new(Code::UnknownJob, format!("no job has the number {}", ticked(number)))
            .did_you_mean(number, numbers)
    })
}

/// Puts a page in place and says where.
///
/// # Errors
/// As `write::put_printed`.
pub fn put(shop: &Path, wanted: &Wanted, name: &str, html: &str) -> Result<PathBuf, Problems> {
    let path = wanted.out.clone().unwrap_or_else(|| write::printed_file(shop, &format!("{name}.html")));
    write::put_printed(shop, &path, html).map_err(|problem| Problems::from_iter([problem]))?;
    say(&format!("To be printed: {}", path.display()));
    Ok(path)
}

/// Puts a list in place, the page and beside it the same for spreadsheets.
///
/// # Errors
/// As `write::put_printed`.
pub fn put_list(shop: &Path, wanted: &Wanted, name: &str, printed: &Printed) -> Result<(), Problems> {
    let page = put(shop, wanted, name, &printed.html)?;
    let path = page.with_extension("csv");
    write::put_printed(shop, &path, &printed.csv).map_err(|problem| Problems::from_iter([problem]))?;
    say(&format!("For a spreadsheet: {}", path.display()));
    Ok(())
}
