//! What several parts of the board share: how it writes hours and days, and the job at one of its places.

use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::render::dates::DayWords;
use crate::render::desk::{Desk, JobAtHand};
use rust_decimal::Decimal;

/// Hours as a plain number: `0.75`.
pub(super) fn hours(desk: &Desk<'_>, minutes: Minutes) -> String {
    let hours = Decimal::from(minutes.0) / Decimal::from(60);
    // Whole figures say enough once there are many.
    desk.theme.amounts.measure(hours.round_dp(if minutes.0 >= 600 { 0 } else { 2 }))
}

/// A day whose short form leaves no doubt about the year.
pub(super) fn brief(desk: &Desk<'_>, day: Day) -> DayWords {
    let words = desk.theme.dates.day(day);
    if day.year() == desk.worked.today.year() {
        return words;
    }
    DayWords { short: words.long.clone(), ..words }
}

/// The job at a place of the board.
pub(super) fn open<'a>(desk: &Desk<'a>, at: usize) -> Option<JobAtHand<'a>> {
    desk.job(desk.worked.jobs.get(at)?)
}
