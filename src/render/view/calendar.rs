//! `ready.ics` beside a private page: one all-day event of the piece, for calendars (RFC 5545). While it is worked on
//! the event is the likely window, once it is ready the days on which it can be collected without a charge. There is none where no day is
//! known, and none once the piece was collected.
//!
//! Nothing here looks at a clock: `DTSTAMP` and `SEQUENCE` come from the day since which the event is known.
//!
//! - While it is worked on, that day is a Monday, or the day on which the piece itself moved; today, once the window has begun. Once it is
//!   ready, it is the day on which it got ready, or on which the customer heard of it.
//! - `SEQUENCE` has four numbers for each day, so that what is ready, and what the customer has heard, comes after what was likely on the same day.
//! - The event's name is a digest of the private address, which it does not give away. (`news` names its entries the same way.)
//! - An edit to *other* pieces that moves a window within the week changes the event without a new number. Calendars that fetch the file
//!   again take it all the same.

use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::model::{Job, PageLife, WorkedJob};
use crate::render::desk::Desk;
use crate::render::markup::is_showable;

/// The file's name in the private folder.
pub const FILE: &str = "ready.ics";

/// What the calendar shows of the piece.
struct Event {
    from: Day,
    /// The last day; an event ends on the day after it.
    to: Day,
    key: &'static str,
    likely: Option<Day>,
    /// The day from which this is known.
    known: Day,
    /// How far the piece had come: two events of one day are told apart by it.
    phase: i64,
}

/// The file, if there is any day to tell.
pub fn make(desk: &Desk<'_>, job: &Job, worked: &WorkedJob) -> Option<Vec<u8>> {
    let event = event(desk, job, worked)?;
    let stamp = format!("{}T000000Z", compact(event.known));
    let value = |name: &str| match name {
        "piece" => Some(job.piece.clone()),
        "number" => Some(job.number.clone()),
        "shop" => Some(desk.shop.studio.name.clone()),
        "likely" => event.likely.map(|day| desk.theme.dates.day(day).long),
        "day" => Some(desk.theme.dates.day(event.to).long),
        _ => None,
    };
    let say = |part: &str| {
        let key = format!("calendar.{}-{part}", event.key);
        desk.theme.words.say(&key, None, &value).unwrap_or_else(|_| job.piece.clone())
    };
    let lines = [
        "BEGIN:VCALENDAR".to_owned(),
        "VERSION:2.0".to_owned(),
        "PRODID:-//Benchlight//ready//EN".to_owned(),
        // RFC 7986, section 5.7: how often to look again.
        "REFRESH-INTERVAL;VALUE=DURATION:P1D".to_owned(),
        "BEGIN:VEVENT".to_owned(),
        // From the private address, but not the address: calendars are shared more freely than pages.
        format!(
            "UID:{}@benchlight.invalid",
            Digest::of(format!("ready {}", worked.address).as_bytes()).hex()
        ),
        format!("DTSTAMP:{stamp}"),
        format!("SEQUENCE:{}", event.sequence()),
        format!("DTSTART;VALUE=DATE:{}", compact(event.from)),
        format!("DTEND;VALUE=DATE:{}", compact(event.to.plus(1))),
        format!("SUMMARY:{}", escaped(&say("summary"))),
        format!("DESCRIPTION:{}", escaped(&say("says"))),
        "CLASS:PRIVATE".to_owned(),
        "TRANSP:TRANSPARENT".to_owned(),
        "END:VEVENT".to_owned(),
        "END:VCALENDAR".to_owned(),
    ];
    Some(lines.iter().map(|line| folded(line)).collect::<String>().into_bytes())
}

fn event(desk: &Desk<'_>, job: &Job, worked: &WorkedJob) -> Option<Event> {
    let today = desk.worked.today;
    if worked.page != PageLife::Open {
        return None;
    }
    if let Some(ready) = worked.ready {
        let told = job.told.as_ref().map(|mark| mark.day).filter(|day| *day <= today);
        return Some(match worked.grace_ends {
            Some(ends) => Event {
                from: ready,
                to: ends.max(ready),
                key: "grace",
                likely: None,
                known: told.map_or(ready, |told| told.max(ready)),
                phase: 2,
            },
            None => Event { from: ready, to: ready, key: "ready", likely: None, known: ready, phase: 1 },
        });
    }
    let (window, reason) = worked.window().zip(worked.reason())?;
    // A window never begins before today: one that would moves on every day.
    let moves = window.soonest <= today;
    Some(Event {
        from: window.soonest,
        to: window.latest,
        key: "window",
        likely: Some(window.likely),
        known: if moves { today } else { reason.reckoned_on },
        phase: 0,
    })
}

impl Event {
    /// Grows with the day from which this is known, and within a day with how far the piece has come.
    fn sequence(&self) -> i64 {
        self.known.since(Day::epoch()).max(0) * 4 + self.phase
    }
}

/// `20260502`: a date of RFC 5545, section 3.3.4.
fn compact(day: Day) -> String {
    day.iso().replace('-', "")
}

/// Text as RFC 5545, section 3.3.11, wants it; what may not stand there is left out.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars().filter(|c| is_showable(*c)) {
        match c {
            '\n' => out.push_str("\\n"),
            '\\' | ';' | ',' => out.extend(['\\', c]),
            c => out.push(c),
        }
    }
    out
}

/// A content line of at most 75 octets, the rest on lines that begin with a blank (RFC 5545, section 3.1); no
/// character is torn apart.
fn folded(line: &str) -> String {
    let (mut out, mut used) = (String::new(), 0);
    for c in line.chars() {
        if used + c.len_utf8() > 75 {
            out.push_str("\r\n ");
            used = 1;
        }
        out.push(c);
        used += c.len_utf8();
    }
    out.push_str("\r\n");
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_folded_between_characters() {
        // RFC 5545, section 3.1: lines SHOULD NOT be longer than 75 octets, excluding the line break.
        for text in ["x".repeat(75), "x".repeat(76), "é".repeat(120), "🦃".repeat(60)] {
            let made = folded(&text);
            assert!(made.ends_with("\r\n"));
            assert!(made.split("\r\n").all(|line| line.len() <= 75), "{made}");
            assert_eq!(made.replace("\r\n ", "").trim_end(), text);
        }
        assert_eq!(folded(&"x".repeat(75)).matches("\r\n").count(), 1);
    }

    #[test]
    fn text_is_escaped() {
        assert_eq!(escaped("a;b,c\\d\ne\u{7}"), "a\\;b\\,c\\\\d\\ne");
    }
}
