//! The one clock of the program: which day is today, decided once at the start of a pass.

use crate::base::day::Day;
use crate::model::{Studio, Today};
use crate::problem::{Code, Problem, Severity};
use chrono::Datelike;
use std::time::SystemTime;

/// Today is `--as-of`; else the pinned day of a made-up studio; else `SOURCE_DATE_EPOCH`
/// (reproducible-builds.org, "SOURCE_DATE_EPOCH specification"); else the system's local date.
///
/// # Errors
/// A `SOURCE_DATE_EPOCH` that is no number of seconds: guessing would publish wrong days.
pub fn today(as_of: Option<Day>, studio: &Studio) -> Result<Today, Problem> {
    if let Some(day) = as_of {
        return Ok(Today { day, asked: true });
    }
    if let Some(day) = studio.made_up {
        return Ok(Today { day, asked: false });
    }
    if let Ok(text) = std::env::var("SOURCE_DATE_EPOCH") {
        let day = text.parse().ok().and_then(Day::from_unix);
        return day.map(|day| Today { day, asked: false }).ok_or_else(|| {
            let message = format!(
                "the environment's SOURCE_DATE_EPOCH is `{text}`, which is no number of seconds since 1970"
            );
            Problem::new(Code::BadDate, message)
                .with_severity(Severity::Stop)
                .hint("unset it, or use `--as-of`")
        });
    }
    Ok(Today { day: system(), asked: false })
}

/// This moment, for telling how long a file has been still.
#[expect(clippy::disallowed_methods, reason = "this is the clock")]
pub fn moment() -> SystemTime {
    SystemTime::now()
}

/// The day that the system's clock shows here, for whoever waits for the next one.
#[expect(clippy::disallowed_methods, reason = "this is the clock")]
pub fn system() -> Day {
    let now = chrono::Local::now().date_naive();
    // A clock before 1900 or after 2199 is broken; any day is as good then.
    Day::new(now.year(), now.month(), now.day()).unwrap_or_else(Day::epoch)
}
