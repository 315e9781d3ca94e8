//! A photo file becomes a [`Photo`]: looked at, dated, named; or a problem that says why not.
//!
//! The looking itself is handed in, since it belongs to the photo room. `photo_name` reads a file's name and `wish` whether
//! it is to be shown; `remains` looks through the photos of what cannot be made.

pub(in crate::read) mod photo_name;
pub(in crate::read) mod remains;
pub(in crate::read) mod wish;

use self::wish::Wish;
use crate::base::day::Day;
use crate::base::private::Private;
use crate::base::words::ticked;
use crate::model::{Look as Header, Photo, Taken, TakenBy};
use crate::problem::{Code, Problem};
use crate::read::Look;
use crate::read::disk::folder::{self, FolderEntry};
use chrono::{Datelike, Local, TimeZone};
use std::path::Path;
use std::time::UNIX_EPOCH;

/// Looks at one photo. `step` is the step whose folder it lies in; `shown` whether photos there are
/// shown without being asked for, which the photo's own name can overrule; a name that leaves a doubt is told.
pub(in crate::read) fn photo(
    look: Look<'_>,
    entry: &FolderEntry,
    step: Option<&str>,
    shown: bool,
    problems: &mut Vec<Problem>,
) -> Result<Photo, Problem> {
    let header = look(&entry.path).map_err(|fault| fault.problem(&entry.file))?;
    let name = photo_name::read(&entry.name);
    let taken = taken(&header, name.taken, &entry.path);
    let taken = taken.ok_or_else(|| {
        let problem =
            Problem::new(Code::BadPhoto, format!("no date can be found for {}", ticked(&entry.name)));
        folder::at(problem.hint("put the day into its name, such as `2026-04-28 eyes set.jpg`"), &entry.file)
    })?;
    let shown = match name.wish {
        Some(Wish::Hide) => false,
        Some(Wish::Show) => true,
        Some(Wish::Unclear(word)) => {
            problems.extend(shown.then(|| unclear(entry, word)));
            false
        }
        Some(Wish::EndsInHide { .. }) => {
            problems.extend(shown.then(|| hide_or_skin(entry)));
            false
        }
        None => shown,
    };
    Ok(Photo {
        path: Private::new(entry.path.clone()),
        file: Private::new(entry.file.clone()),
        caption: name.caption,
        step: step.map(str::to_owned),
        shown,
        taken,
        look: header,
    })
}

/// EXIF knows best, then the name, then the file's own time.
fn taken(header: &Header, named: Option<(Day, Option<u32>)>, path: &Path) -> Option<Taken> {
    if let Some((day, second)) = header.exif_taken {
        return Some(Taken { day, second: Some(second), by: TakenBy::Exif });
    }
    if let Some((day, second)) = named {
        return Some(Taken { day, second, by: TakenBy::Name });
    }
    let day = file_day(path)?;
    Some(Taken { day, second: None, by: TakenBy::File })
}

/// A name that only begins like a word that hides; not showing it is the safe answer.
fn unclear(entry: &FolderEntry, word: &str) -> Problem {
    let message = format!("{} is not shown, as its name begins like {}", ticked(&entry.name), ticked(word));
    let hint = format!("put a blank behind {} if that is meant, else give it another name", ticked(word));
    folder::at(Problem::new(Code::UnclearName, message).hint(hint), &entry.file)
}

/// A name that ends in `hide` is of a skin, or wishes not to be shown; not showing it is the safe answer.
fn hide_or_skin(entry: &FolderEntry) -> Problem {
    let message = format!("{} is not shown, as its name ends in `hide`", ticked(&entry.name));
    let hint = "put `show` in front if it is a picture of a hide, or `hide` in front if it is not to be seen";
    folder::at(Problem::new(Code::UnclearName, message).hint(hint), &entry.file)
}

/// The day on which a file was last written, where this computer stands: a photo of the evening is not of
/// the next day.
fn file_day(path: &Path) -> Option<Day> {
    let time = std::fs::metadata(path).and_then(|m| m.modified()).ok()?;
    let seconds = match time.duration_since(UNIX_EPOCH) {
        Ok(after) => i64::try_from(after.as_secs()).ok()?,
        Err(before) => -i64::try_from(before.duration().as_secs()).ok()?,
    };
    day_at(seconds, &Local)
}

/// The day of a moment in a time zone.
fn day_at(seconds: i64, zone: &impl TimeZone) -> Option<Day> {
    // A time far outside the calendar cannot be told in every zone.
    Day::from_unix(seconds)?;
    let there = chrono::DateTime::from_timestamp(seconds, 0)?.with_timezone(zone).date_naive();
    Day::new(there.year(), there.month(), there.day())
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{FixedOffset, Utc};

    #[test]
    fn the_day_is_that_of_the_place() {
        // 2026-05-21 01:00 by UTC is the evening before in Chicago (UTC-5 in May) and the same day in Oslo.
        let moment = 1_779_325_200;
        let day = |hours: i32| day_at(moment, &FixedOffset::east_opt(hours * 3600).unwrap()).unwrap().iso();
        assert_eq!(day_at(moment, &Utc).unwrap().iso(), "2026-05-21");
        assert_eq!((day(-5).as_str(), day(2).as_str()), ("2026-05-20", "2026-05-21"));
    }

    #[test]
    fn no_time_is_too_far() {
        for seconds in [i64::MIN, i64::MAX, -2_208_988_800, 7_258_118_399] {
            for hours in [-14, 14] {
                let _ = day_at(seconds, &FixedOffset::east_opt(hours * 3600).unwrap());
            }
            let _ = day_at(seconds, &Local);
        }
    }
}
