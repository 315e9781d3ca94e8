//! When a piece will be ready, in words no more exact than what is known; why, and what moved it.
//!
//! What stands in line before it is told by the month it was taken in, never by another customer's piece.

use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::model::{Moved, MovedBy, NoWindow, Outlook, Reason, Window, WorkedJob};
use crate::render::dates::{AboutWords, DayWords, Grain};
use crate::render::desk::Desk;
use crate::render::gate_words;
use serde::Serialize;

/// More months than that are summed up.
const MONTHS: usize = 6;
/// What moved by less than two weeks is told in days.
const WEEKS: i64 = 14;

/// Soonest, likely and latest, all as exact as the likely one can be.
#[derive(Debug, Serialize)]
pub struct WindowView {
    soonest: AboutWords,
    likely: AboutWords,
    latest: AboutWords,
    /// Whether all three come to the same words.
    one: bool,
}

/// How a window came about.
#[derive(Debug, Serialize)]
pub struct ReasonView {
    reckoned: DayWords,
    /// `over` where the bench has nothing left to do on it, `clear` where nothing is before it, or `line`.
    bench: &'static str,
    /// Whole hours before it.
    hours: u32,
    /// Hours that the bench gets through in a usual week; none where that is less than one.
    week: Option<u32>,
    pieces: usize,
    /// Those before it by month, as a list.
    months: String,
    back: Vec<BackView>,
    /// The gates that are taken as met today, as a list.
    open: Option<String>,
    moved: Option<MovedView>,
}

/// What is due back from a partner.
#[derive(Debug, Serialize)]
struct BackView {
    partner: Option<String>,
    day: AboutWords,
}

/// How the likely day moved.
#[derive(Debug, Serialize)]
struct MovedView {
    since: DayWords,
    /// `later`, `earlier` or `still`.
    way: &'static str,
    unit: &'static str,
    n: i64,
    by: &'static str,
}

impl WindowView {
    pub fn of(desk: &Desk<'_>, window: Window) -> WindowView {
        let grain = Grain::of(desk.worked.today, window.likely);
        let [soonest, likely, latest] =
            [window.soonest, window.likely, window.latest].map(|day| desk.theme.dates.about(day, grain));
        let one = soonest == likely && likely == latest;
        WindowView { soonest, likely, latest, one }
    }
}

impl ReasonView {
    pub fn of(desk: &Desk<'_>, job: &WorkedJob) -> Option<ReasonView> {
        let reason = job.reason()?;
        let open: Vec<String> =
            job.gates.iter().filter(|gate| gate.met.is_none()).map(|gate| gate.name.clone()).collect();
        let back = reason.back.iter().map(|back| BackView {
            partner: desk.shop.partners.get(&back.partner).map(|partner| partner.name.clone()),
            day: about(desk, back.day),
        });
        let week = hours(reason.week);
        Some(ReasonView {
            reckoned: desk.theme.dates.day(reason.reckoned_on),
            bench: match (reason.hours_own.0, hours(reason.hours_before)) {
                (0, _) => "over",
                (_, 0) => "clear",
                _ => "line",
            },
            hours: hours(reason.hours_before),
            week: (week > 0).then_some(week),
            pieces: reason.pieces_before(),
            months: months(desk, reason),
            back: back.collect(),
            open: (!open.is_empty()).then(|| gate_words::of_all(desk.theme, &open)),
            moved: reason.moved.as_ref().map(|moved| moved_view(desk, moved)),
        })
    }
}

/// A day as exact as it can be told by itself.
pub fn about(desk: &Desk<'_>, day: Day) -> AboutWords {
    desk.theme.dates.about(day, Grain::of(desk.worked.today, day))
}

/// Why an open piece has no window: a part of a key of `words.toml`.
pub fn missing(job: &WorkedJob) -> Option<&'static str> {
    match job.outlook {
        Outlook::Unknown(NoWindow::BenchHours) => Some("bench-hours"),
        Outlook::Unknown(NoWindow::TooFar) => Some("too-far"),
        Outlook::Expected { .. } | Outlook::Over => None,
    }
}

fn hours(minutes: Minutes) -> u32 {
    (minutes.0 + 30) / 60
}

/// "3 from March 2026, 5 from April 2026 and 1 from May 2026".
fn months(desk: &Desk<'_>, reason: &Reason) -> String {
    let older = reason.months_before.len().saturating_sub(MONTHS);
    let (old, new) = reason.months_before.split_at(older);
    let mut told: Vec<(&str, Day, usize)> = Vec::new();
    if let Some((month, _)) = old.last() {
        told.push(("when.before-older", *month, old.iter().map(|(_, count)| count).sum()));
    }
    told.extend(new.iter().map(|(month, count)| ("when.before-month", *month, *count)));
    let words = told.into_iter().map(|(key, month, count)| {
        let value = |name: &str| match name {
            "n" => Some(count.to_string()),
            "month" => Some(desk.theme.dates.month(month)),
            _ => None,
        };
        desk.theme.words.say(key, i64::try_from(count).ok(), &value).unwrap_or_else(|_| count.to_string())
    });
    desk.theme.list(&words.collect::<Vec<_>>())
}

fn moved_view(desk: &Desk<'_>, moved: &Moved) -> MovedView {
    let days = moved.days.unwrap_or(0);
    let (unit, n) = match days.abs() {
        few if few < WEEKS => ("days", few),
        many => ("weeks", (many + 3) / 7),
    };
    MovedView {
        since: desk.theme.dates.day(moved.since),
        way: match days {
            0 => "still",
            later if later > 0 => "later",
            _ => "earlier",
        },
        unit,
        n,
        by: match moved.by {
            MovedBy::Piece => "piece",
            MovedBy::Partner => "partner",
            MovedBy::Bench => "bench",
            MovedBy::Line => "line",
            MovedBy::Several => "several",
        },
    }
}
