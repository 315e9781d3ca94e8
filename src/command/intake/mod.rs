//! `intake`: takes in a piece. Asks at the counter or takes flags, checks the new file as the reader will, lays
//! out the job's folder whole or not at all, and prints its hang tag.
//!
//! The questions and their order are `counter`'s, what was answered is `answers`', charges are `charge`'s, the next number is `number`'s.
//!
//! # How a piece comes in
//!
//! 1. `Answers` are gathered, by flags or questions, and turned into the text of a `job.toml`.
//! 2. That text is read as if it were there. `read::draft` reads the one file by itself, after each answer. `pass::with_drafts` reads the whole
//!    shop with it (`read::shop_with_drafts`). So gates, deposit and address are known before anything is written.
//! 3. `base::whole` puts the folder in place, whole or not at all. Nothing is overwritten.
//!
//! `parcel --sent` works the same way: `base::owner_file` writes one line into each hand-written file and keeps every other byte, all changed
//! files are read with `pass::with_drafts`, and `base::whole` puts all of them in place or none.
//!
//! **A price stands in one place**: that of a pose in its `pose.toml`, that of plain work in its route's `price-from`, whatever can be added in
//! the route's `[[price]]`.
//!
//! # What is printed
//!
//! Printed pages (`render::printed`; `themes/hangtag/` `sheet.html`, `tags.html`, `parcel.html`, `register.html`, `print*.css`) are no part of a
//! `Site`. They are handed back as text and written by `write::put_printed`, which refuses every place that is or could be published.
//! `work::parcel` and `work::register` decide what is on them. `command::printing` is what the commands share.

mod answers;
mod ask;
mod charge;
mod counter;
mod number;

use super::Outcome;
use super::issued;
use super::pass;
use super::printing::{self, Press, Wanted};
use super::tag::{self, Tags};
use super::terminal::{say, tell, tell_problems};
use crate::base::day::Day;
use crate::base::drawn::Drawn;
use crate::base::whole;
use crate::model::{Route, Shop, Spoilt, Today, Worked, gate};
use crate::photo;
use crate::problem::{Code, Location, Problem, Problems, Severity};
use crate::read::{self, Draft};
use crate::write::{self, ShopLock};
use answers::Answers;
use ask::Asker;
use counter::Counter;
use std::collections::BTreeSet;
use std::io::{BufRead, IsTerminal};
use std::path::Path;

/// What flags say; what none says is asked, if there is a terminal.
#[derive(Clone, Debug, Default)]
pub struct Flags {
    pub customer: Option<String>,
    pub phone: Option<String>,
    pub email: Option<String>,
    pub address: Option<String>,
    pub piece: Option<String>,
    pub route: Option<String>,
    pub pose: Option<String>,
    pub taken_in: Option<Day>,
    pub tag: Option<String>,
    pub permit: Option<String>,
    pub hunter: Option<String>,
    pub signed: Option<Day>,
    pub taken_on: Option<Day>,
    pub place: Option<String>,
    pub species: Option<String>,
    pub sex: Option<String>,
    pub license: Option<String>,
    pub charges: Vec<String>,
    pub paid: Option<String>,
    pub how: Option<String>,
    pub note: Option<String>,
    pub bench_note: Option<String>,
    pub rush: bool,
    pub number: Option<String>,
    pub label: Option<String>,
}

/// Why nothing is written.
#[derive(Debug)]
enum Halt {
    Told(Problems),
    /// The answer cannot stand; a terminal asks again.
    Again(Problem),
    /// The input came to its end, or the owner said no.
    Ended,
}

/// Takes in one piece.
pub fn run(shop: &Path, as_of: Option<Day>, flags: &Flags, wanted: &Wanted) -> Outcome {
    let stdin = std::io::stdin();
    let asker = stdin.is_terminal().then(|| Asker::new(stdin.lock()));
    let taken = super::is_shop(shop).map_err(Halt::Told).and_then(|()| taken_in(shop, as_of, flags, asker));
    match taken {
        Ok((press, answers)) => finish(shop, &press, &answers, wanted),
        Err(halt) => {
            match halt {
                Halt::Told(problems) => tell_problems(&problems),
                Halt::Again(problem) => tell_problems(&Problems::from_iter([problem])),
                Halt::Ended => {}
            }
            tell("Nothing was written.");
            Outcome::CouldNot
        }
    }
}

/// Asks, checks and writes. The shop that is handed back has the new piece in it.
fn taken_in<R: BufRead>(
    folder: &Path,
    as_of: Option<Day>,
    flags: &Flags,
    asker: Option<Asker<R>>,
) -> Result<(Press, Answers), Halt> {
    let Press { found, .. } = printing::press(folder, as_of).map_err(Halt::Told)?;
    let (shop, today) = (&found.shop, found.today.day);
    let jobs: Vec<(&str, Day)> = shop.jobs.iter().map(|job| (job.number.as_str(), job.taken_in)).collect();
    let taken = numbers_in_use(folder, shop);
    let offered = number::next(&jobs, &taken, flags.taken_in.unwrap_or(today));
    let mut answers = Answers::new(offered, drawn().map_err(Halt::Told)?, flags.taken_in.unwrap_or(today));

    let looks = photo::Looks::open(&write::hidden_folder(folder));
    let currency = shop.studio.money.currency;
    let draft = |answers: &Answers| Draft {
        folder: answers.folder(),
        text: answers.text(shop.routes.get(&answers.route), currency),
    };
    let check = |answers: &Answers| {
        let draft = draft(answers);
        read::draft(folder, &|path| looks.look(path), &draft).unwrap_or_else(|stops| stops)
    };
    let mut counter = Counter::new(shop, flags, asker, &check);
    counter.piece(&mut answers)?;
    counter.charges(&mut answers)?;
    counter.folder(&mut answers, &|number| taken.contains(&number.to_ascii_lowercase()))?;
    let asked = match counter.asker.is_some() {
        true => deposit_asked(folder, found.today, &draft(&answers), &answers.number).map_err(Halt::Told)?,
        false => Default::default(),
    };
    counter.deposit(&mut answers, asked)?;

    let draft = draft(&answers);
    let press = as_it_will_be(folder, found.today, &draft, &answers.number)?;
    warn(&press, &answers);
    if !counter.agrees(&format!("Write content/jobs/{}?", draft.folder))? {
        return Err(Halt::Ended);
    }
    write_down(folder, &draft, shop.routes.get(&answers.route), &answers.number, &press)
        .map_err(Halt::Told)?;
    Ok((press, answers))
}

/// A word that no piece had before.
fn drawn() -> Result<Drawn, Problems> {
    let mut bytes = [0u8; 10];
    let filled = getrandom::fill(&mut bytes);
    filled.map(|()| Drawn::new(bytes)).map_err(|e| {
        let message = format!("the system gives no random bytes ({e})");
        Problems::from_iter([Problem::new(Code::OutputFailed, message).hint("run this again")])
    })
}

/// Every number that a folder or a broken job has or that was ever given, in small letters.
fn numbers_in_use(folder: &Path, shop: &Shop) -> BTreeSet<String> {
    let spoilt = shop.spoilt.iter().filter_map(|part| match part {
        Spoilt::Job(number) => Some(number.to_ascii_lowercase()),
        Spoilt::Pose(..) | Spoilt::Page(_) => None,
    });
    let sound = shop.jobs.iter().map(|job| job.number.to_ascii_lowercase());
    let entries = std::fs::read_dir(folder.join("content").join("jobs")).into_iter().flatten().flatten();
    let on_disk = entries.filter_map(|entry| {
        let name = entry.file_name().to_string_lossy().into_owned();
        Some(name.split_whitespace().next()?.to_ascii_lowercase())
    });
    on_disk.chain(sound).chain(spoilt).chain(shop.issued.numbers().cloned()).collect()
}

/// The deposit that the piece as it stands would be asked.
fn deposit_asked(
    folder: &Path,
    today: Today,
    draft: &Draft,
    number: &str,
) -> Result<crate::base::money::Money, Problems> {
    let found = pass::with_drafts(folder, today, std::slice::from_ref(draft))?;
    let at = printing::job(&found.shop, &found.worked, number).ok();
    Ok(at.and_then(|at| found.worked.job(at)).map(|job| job.ledger.deposit_asked).unwrap_or_default())
}

/// The shop with the new piece in it; the problems of that piece where it could not stand.
fn as_it_will_be(folder: &Path, today: Today, draft: &Draft, number: &str) -> Result<Press, Halt> {
    let found = pass::with_drafts(folder, today, std::slice::from_ref(draft)).map_err(Halt::Told)?;
    let file = format!("content/jobs/{}", draft.folder);
    let of_draft = |problem: &&Problem| {
        let placed = problem.place.as_ref().is_some_and(|place| place.file.starts_with(&file));
        placed || problem.job.as_deref() == Some(number)
    };
    let wrong: Vec<Problem> =
        found.problems.iter().filter(of_draft).filter(|p| p.severity >= Severity::Mend).cloned().collect();
    if !wrong.is_empty() {
        return Err(Halt::Told(wrong.into_iter().map(|p| p.with_severity(Severity::Stop)).collect()));
    }
    if printing::job(&found.shop, &found.worked, number).is_err() {
        // It is not known on the day of the pass, as it comes in later than that.
        let message = format!("the piece would come in later than on {}, the day of today", found.today.day);
        let problem = Problem::new(Code::InTheFuture, message).with_severity(Severity::Stop);
        return Err(Halt::Told(Problems::from_iter([problem.hint("look at `--taken-in`")])));
    }
    let notes = found.problems.iter().filter(of_draft).cloned().collect();
    tell_problems(&notes);
    let (theme, _) = crate::render::theme::load(folder).map_err(Halt::Told)?;
    Ok(Press { found, theme })
}

/// What the route needs and does not have yet.
fn warn(press: &Press, answers: &Answers) {
    let (shop, worked): (&Shop, &Worked) = (&press.found.shop, &press.found.worked);
    let Ok(at) = printing::job(shop, worked, &answers.number) else { return };
    let Some(job) = worked.job(at) else { return };
    let open = |name: &str| job.gates.iter().find(|gate| gate.name == name && gate.met.is_none());
    for (gate, lacks) in [
        (gate::TAG, "no tag number yet"),
        (gate::SIGNATURE, "no signed tag yet: a migratory bird is not accepted without one (50 CFR 20.36)"),
        (gate::POSE, "no pose yet"),
        (gate::DEPOSIT, "the deposit is not paid in full"),
    ] {
        if let Some(gate) = open(gate) {
            tell(&format!("  {lacks}; `{}` waits for it", gate.step));
        }
    }
    tell(
        "  Rules on tags, licenses and records differ by state and change: your license and your agency govern.",
    );
}

/// Lays the folder out, unless its number was taken meanwhile.
fn write_down(
    folder: &Path,
    draft: &Draft,
    route: Option<&Route>,
    number: &str,
    press: &Press,
) -> Result<(), Problems> {
    let one = |problem| Problems::from_iter([problem]);
    let wait = || tell("Another Benchlight is at work on this shop; waiting for it.");
    let _lock = ShopLock::take(folder, wait).map_err(one)?;
    let jobs = folder.join("content").join("jobs");
    let path = jobs.join(&draft.folder);
    let entries = std::fs::read_dir(&jobs).into_iter().flatten().flatten();
    let mut first_words = entries.filter_map(|entry| {
        let name = entry.file_name().to_string_lossy().into_owned();
        Some(name.split_whitespace().next()?.to_owned())
    });
    if first_words.any(|word| word.eq_ignore_ascii_case(number)) {
        let problem = Problem::new(Code::SameNumber, format!("there is a job `{number}` by now"));
        return Err(one(problem
            .with_severity(Severity::Stop)
            .hint("run this again: it takes the next number")));
    }
    let steps = route.map(|route| route.steps.iter().map(|step| step.name.as_str())).into_iter().flatten();
    let steps = steps.enumerate().map(|(at, step)| format!("{} {step}", at + 1));
    let folders: Vec<String> = steps.chain(["not shown".to_owned()]).collect();
    whole::new_folder(&path, &[("job.toml", draft.text.as_bytes())], &folders).map_err(|e| {
        let place = Location::file(path.display().to_string());
        one(Problem::new(Code::OutputFailed, e.to_string())
            .at(place)
            .hint("choose another name with `--label`"))
    })?;
    // The piece is in; the next one that comes in notes it, too.
    if let Err(problem) = issued::note_down(folder, &press.found.shop, &press.found.worked) {
        tell_problems(&Problems::from_iter([problem.with_severity(Severity::Note)]));
    }
    Ok(())
}

/// Says where it lies, and prints the hang tag.
fn finish(shop: &Path, press: &Press, answers: &Answers, wanted: &Wanted) -> Outcome {
    say(&format!("{} is taken in: content/jobs/{}", answers.number, answers.folder()));
    let tags = Tags { jobs: vec![answers.number.clone()], single: false, show: true };
    match tag::print(press, shop, &tags, wanted) {
        Ok(()) => Outcome::Done,
        Err(problems) => {
            // The piece is in; only its tag is not printed.
            tell_problems(&problems);
            tell(&format!("The hang tag can be printed later: benchlight tag {}", answers.number));
            Outcome::Mending
        }
    }
}
