//! `tag`: printable hang tags, and the code for a quick look in the terminal.

use super::Outcome;
use super::issued;
use super::printing::{self, Press, Wanted};
use super::terminal::{say, say_code, tell, tell_problems};
use crate::base::day::Day;
use crate::base::qr::Qr;
use crate::problem::{Problems, Severity};
use crate::render::printed::{self, Sheets};
use crate::write::ShopLock;
use std::path::Path;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct Tags {
    pub jobs: Vec<String>,
    /// Each on a sheet of its own.
    pub single: bool,
    /// Whether the codes are drawn in the terminal as well.
    pub show: bool,
}

/// Makes the page of these jobs' hang tags.
pub fn run(shop: &Path, as_of: Option<Day>, tags: &Tags, wanted: &Wanted) -> Outcome {
    printing::end(made(shop, as_of, tags, wanted))
}

fn made(shop: &Path, as_of: Option<Day>, tags: &Tags, wanted: &Wanted) -> Result<Outcome, Problems> {
    let press = printing::press(shop, as_of)?;
    print(&press, shop, tags, wanted)?;
    note_down(shop, &press);
    Ok(Outcome::Done)
}

/// Notes that these addresses are given; a tag is printed all the same where that cannot be noted.
pub(super) fn note_down(shop: &Path, press: &Press) {
    let wait = || tell("Another Benchlight is at work on this shop; waiting for it.");
    let lock = ShopLock::take(shop, wait);
    let noted = lock.and_then(|_lock| issued::note_down(shop, &press.found.shop, &press.found.worked));
    if let Err(problem) = noted {
        tell_problems(&Problems::from_iter([problem.with_severity(Severity::Note)]));
    }
}

/// Makes the page from a shop that was read already.
///
/// # Errors
/// `unknown-job`, `no-web-address`, or what keeps the page from being written.
pub fn print(press: &Press, shop: &Path, tags: &Tags, wanted: &Wanted) -> Result<(), Problems> {
    let found = &press.found;
    let mut places = Vec::new();
    let mut unknown = Problems::default();
    for number in &tags.jobs {
        match printing::job(&found.shop, &found.worked, number) {
            Ok(at) if places.contains(&at) => {}
            Ok(at) => places.push(at),
            Err(problem) => unknown.push(problem),
        }
    }
    if !unknown.is_empty() {
        return Err(unknown);
    }
    let sheets = Sheets { paper: wanted.paper, single: tags.single };
    let html = printed::tags(&found.shop, &found.worked, &press.theme, sheets, &places)?;
    for worked in places.iter().filter_map(|at| found.worked.job(*at)) {
        let number = found.shop.job(worked.job).map_or("", |job| job.number.as_str());
        let web = found.shop.studio.web_address(worked);
        let web = web.as_ref().map_or("", |web| web.reveal());
        if let Some(code) = Qr::of(web).filter(|_| tags.show) {
            say_code(&code);
        }
        say(&format!("{number}: {web}"));
    }
    printing::put(shop, wanted, &name(&tags.jobs), &html)?;
    Ok(())
}

/// `tag 26-041`, `tags 26-041 to 26-044`.
fn name(jobs: &[String]) -> String {
    match jobs {
        [only] => format!("tag {}", only.trim()),
        [first, .., last] => format!("tags {} to {}", first.trim(), last.trim()),
        [] => "tags".to_owned(),
    }
}
