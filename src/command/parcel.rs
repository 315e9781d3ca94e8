//! `parcel`: the packing list of the next parcel, and writing down that it left.

use super::Outcome;
use super::clock;
use super::pass;
use super::printing::{self, Press, Wanted};
use super::terminal::say;
use crate::base::day::Day;
use crate::base::files;
use crate::base::owner_file::{self, NotWritten};
use crate::base::whole::{self, Change};
use crate::base::words::{count, ticked};
use crate::model::{PackingList, Shop, Worked};
use crate::problem::{Code, Location, Problem, Problems, Severity};
use crate::read::Draft;
use crate::render::printed;
use crate::work::parcel::packing_list;
use crate::write::ShopLock;
use std::path::Path;

/// No file that a person writes is longer.
const LARGEST: u64 = 1 << 20;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct Parcel {
    /// The partner's key.
    pub partner: String,
    /// The day on which it left, if that is to be written down.
    pub sent: Option<Day>,
    /// Numbers of jobs that stay out of it.
    pub without: Vec<String>,
}

/// Makes the packing list, or writes down that the parcel left.
pub fn run(shop: &Path, as_of: Option<Day>, parcel: &Parcel, wanted: &Wanted) -> Outcome {
    printing::end(made(shop, as_of, parcel, wanted))
}

fn made(shop: &Path, as_of: Option<Day>, parcel: &Parcel, wanted: &Wanted) -> Result<Outcome, Problems> {
    super::is_shop(shop)?;
    // Changing the owner's files and making pages from them do not go on at the same time.
    let _lock = match parcel.sent {
        Some(_) => Some(ShopLock::take(shop, || {}).map_err(one)?),
        None => None,
    };
    // What could go on the day it left is what went.
    let press = printing::press(shop, parcel.sent.or(as_of))?;
    let list = list(&press, parcel)?;
    let name = format!("parcel {} {}", parcel.partner, list.leaves.unwrap_or(press.found.worked.today));
    let (of, worked) = (&press.found.shop, &press.found.worked);
    let made = printed::parcel(of, worked, &press.theme, wanted.paper, &list)?;
    account(of, worked, &list);
    if let Some(day) = parcel.sent {
        write_down(shop, of, worked, &list, day, as_of)?;
        let pieces = count(list.goes.len(), "piece");
        say(&format!("Written down for {pieces}: sent on {day}."));
    }
    printing::put_list(shop, wanted, &name, &made)?;
    Ok(Outcome::of(&press.found.problems))
}

/// The packing list, less what the owner leaves out.
fn list(press: &Press, parcel: &Parcel) -> Result<PackingList, Problems> {
    let (shop, worked) = (&press.found.shop, &press.found.worked);
    let partner = shop.partners.get(&parcel.partner).ok_or_else(|| {
        let message = format!("partners.toml has no partner {}", ticked(&parcel.partner));
        let problem = Problem::new(Code::UnknownPartner, message).with_severity(Severity::Stop);
        one(problem.did_you_mean(&parcel.partner, shop.partners.keys().map(String::as_str)))
    })?;
    let mut list = packing_list(shop, worked, partner);
    for number in &parcel.without {
        let at = printing::job(shop, worked, number).map_err(one)?;
        list.goes.retain(|packed| packed.at != at);
    }
    if let Some(day) = parcel.sent {
        list.leaves = Some(day);
        if list.goes.is_empty() {
            let message = format!("nothing could go to {} on {day}", partner.name);
            let problem = Problem::new(Code::BadValue, message).with_severity(Severity::Stop);
            return Err(
                one(problem.hint("without `--sent` the packing list says what each piece waits for")),
            );
        }
    }
    Ok(list)
}

fn account(shop: &Shop, worked: &Worked, list: &PackingList) {
    let partner = shop.partners.get(&list.partner).map_or("", |partner| partner.name.as_str());
    let leaves = match (list.leaves, list.pieces) {
        (Some(day), _) => format!("leaves on {day}"),
        (None, Some(pieces)) => format!("leaves when {pieces} pieces are ready to go"),
        (None, None) => "has no day".to_owned(),
    };
    say(&format!("The parcel to {partner} {leaves}:"));
    for packed in &list.goes {
        let Some(job) = worked.job(packed.at).and_then(|w| shop.job(w.job)) else { continue };
        let pose = job.pose.as_ref().map_or("no pose", |choice| choice.words.as_str());
        say(&format!("  {}  {}, {pose}", job.number, job.piece));
    }
    if list.goes.is_empty() {
        say("  nothing can go yet");
    }
    if !list.stays.is_empty() {
        say(&format!("  {} cannot go yet; the list says why", count(list.stays.len(), "piece")));
    }
}

/// Writes the `…-sent` line into every job of the list, all or none.
fn write_down(
    folder: &Path,
    shop: &Shop,
    worked: &Worked,
    list: &PackingList,
    day: Day,
    as_of: Option<Day>,
) -> Result<(), Problems> {
    let (mut changes, mut drafts): (Vec<Change>, Vec<Draft>) = (Vec::new(), Vec::new());
    let mut wrong = Problems::default();
    for packed in &list.goes {
        let Some(job) = worked.job(packed.at).and_then(|w| shop.job(w.job)) else { continue };
        let path = folder.join(job.folder.reveal()).join("job.toml");
        let edited = read_text(&path).and_then(|before| {
            let after = owner_file::with_day(&before, "reached", &packed.sent, day)
                .map_err(|why| not_written(job.file(), &why))?;
            Ok((before, after))
        });
        let (before, after) = match edited {
            Ok(texts) => texts,
            Err(problem) => {
                wrong.push(problem.of_job(&job.number));
                continue;
            }
        };
        let name = job.folder.reveal().rsplit('/').next().unwrap_or_default().to_owned();
        drafts.push(Draft { folder: name, text: after.trim_start_matches('\u{feff}').to_owned() });
        changes.push(Change { path, before: before.into_bytes(), after: after.into_bytes() });
    }
    if wrong.is_empty() {
        wrong = complaints(folder, shop, worked, list, &drafts, as_of)?;
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    whole::change_all(&changes).map_err(|e| {
        one(Problem::new(Code::OutputFailed, e.to_string())
            .hint("no job was changed; mend that and run this again"))
    })
}

/// What would be wrong with these jobs if the lines stood in them.
fn complaints(
    folder: &Path,
    shop: &Shop,
    worked: &Worked,
    list: &PackingList,
    drafts: &[Draft],
    as_of: Option<Day>,
) -> Result<Problems, Problems> {
    // The day of today, whichever day the parcel left on.
    let today = clock::today(as_of, &shop.studio).map_err(|p| Problems::from_iter([p]))?;
    let numbers: Vec<&str> = list
        .goes
        .iter()
        .filter_map(|packed| shop.job(worked.job(packed.at)?.job))
        .map(|job| job.number.as_str())
        .collect();
    let then = pass::with_drafts(folder, today, drafts)?;
    let of_these = then.problems.into_iter().filter(|problem| {
        problem.severity >= Severity::Mend && problem.job.as_deref().is_some_and(|n| numbers.contains(&n))
    });
    Ok(of_these.map(|problem| problem.with_severity(Severity::Stop)).collect())
}

fn read_text(path: &Path) -> Result<String, Problem> {
    let bytes = files::read_up_to(path, LARGEST).map_err(|e| e.cause);
    let text = bytes.and_then(|bytes| String::from_utf8(bytes).map_err(std::io::Error::other));
    text.map_err(|e| {
        Problem::new(Code::Unreadable, format!("the file could not be read ({e})"))
            .at(Location::file(path.display().to_string()))
            .with_severity(Severity::Stop)
    })
}

fn not_written(file: Location, why: &NotWritten) -> Problem {
    let message = match why {
        NotWritten::Syntax(told) => format!("the line could not be written into this file ({told})"),
        NotWritten::NoTable => "`reached` is no group of lines here".to_owned(),
        NotWritten::IsThere => "the day it left is already here".to_owned(),
    };
    Problem::new(Code::BadValue, message).at(file).with_severity(Severity::Stop)
}

fn one(problem: Problem) -> Problems {
    Problems::from_iter([problem])
}
