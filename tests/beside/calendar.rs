//! `ready.ics`, read by PyPI `icalendar` (RFC 5545).

use super::{JOB, folder_of, python, shop};
use crate::builder::{TODAY, TestShop};

const READ: &str = r#"
import json, sys
from icalendar import Calendar
data = sys.stdin.buffer.read()
assert data.endswith(b"\r\n") and b"\n" not in data.replace(b"\r\n", b""), "lines end with CRLF"
assert all(len(line) <= 75 for line in data.split(b"\r\n")), "lines of at most 75 octets"
calendar = Calendar.from_ical(data)
assert calendar["VERSION"] == "2.0" and calendar["PRODID"]
assert not calendar.errors, calendar.errors
events = list(calendar.walk("VEVENT"))
assert len(events) == 1, events
event = events[0]
assert not event.errors, event.errors
start, end = event.decoded("DTSTART"), event.decoded("DTEND")
print(json.dumps({
    "uid": str(event["UID"]), "sequence": int(event["SEQUENCE"]), "start": start.isoformat(), "end": end.isoformat(),
    "kind": type(start).__name__, "summary": str(event["SUMMARY"]), "says": str(event["DESCRIPTION"]),
    "stamp": event.decoded("DTSTAMP").isoformat(),
}))
"#;

fn read(shop: &TestShop, number: &str) -> serde_json::Value {
    let path = format!("{}ready.ics", folder_of(shop, number));
    python(READ, &shop.tree("public")[&path])
}

#[test]
fn the_days_to_pick_it_up_are_all_day_and_the_last_is_the_grace() {
    let shop = shop();
    shop.edit(JOB, "bench-note", "told = 2026-05-04\nbench-note");
    shop.make(0);
    let event = read(&shop, "26-077");
    // Told on the 4th, 30 days of grace: the last day is June 3. RFC 5545, 3.6.1: DTEND is not part of the event.
    assert_eq!(
        (&event["start"], &event["end"], &event["kind"]),
        (&"2026-05-02".into(), &"2026-06-04".into(), &"date".into())
    );
    let summary = event["summary"].as_str().unwrap();
    assert!(summary.starts_with("Gobbler, “Old; Tom”, a bird") && summary.contains("🦃"), "{summary}");
    assert!(event["says"].as_str().unwrap().contains("until June 3, 2026"), "{event}");
    assert_eq!(event["stamp"], "2026-05-04T00:00:00+00:00");
}

#[test]
fn one_event_goes_with_the_piece_from_its_window_to_its_pick_up() {
    let shop = shop();
    shop.edit(JOB, "dried     = 2026-05-02", "# not dried yet");
    shop.make(0);
    let (window, again) = (read(&shop, "26-077"), read(&shop, "26-077"));
    assert_eq!(window, again);
    assert!(window["says"].as_str().unwrap().contains("not a promise"), "{window}");
    assert!(window["start"].as_str().unwrap() >= TODAY && window["end"].as_str() > window["start"].as_str());
    let sequence = |event: &serde_json::Value| event["sequence"].as_i64().unwrap();
    // Another day: the number is not smaller.
    shop.run(&["make", "--as-of", "2026-05-27"]).exits(0);
    let later = read(&shop, "26-077");
    assert!(sequence(&later) >= sequence(&window));
    // Finished on the same day, then told on the same day: each time another event of the same name, and newer.
    shop.edit(JOB, "# not dried yet", "dried = 2026-05-27");
    shop.run(&["make", "--as-of", "2026-05-27"]).exits(0);
    let ready = read(&shop, "26-077");
    shop.edit(JOB, "bench-note", "told = 2026-05-27\nbench-note");
    shop.run(&["make", "--as-of", "2026-05-27"]).exits(0);
    let told = read(&shop, "26-077");
    assert!(
        sequence(&later) < sequence(&ready) && sequence(&ready) < sequence(&told),
        "{later} {ready} {told}"
    );
    assert!([&later, &ready, &told].iter().all(|event| event["uid"] == window["uid"]));
    assert_eq!(ready["start"], "2026-05-27");
}

#[test]
fn the_file_gives_neither_the_address_nor_anything_private_away() {
    let shop = shop();
    shop.make(0);
    let folder = folder_of(&shop, "26-077");
    let address = folder.trim_start_matches("see/").trim_end_matches('/').to_owned();
    let text = String::from_utf8(shop.tree("public")[&format!("{folder}ready.ics")].clone()).unwrap();
    let text = text.replace("\r\n ", "");
    assert!(!text.contains(&address) && !text.contains("CANARY"), "{text}");
    // The page leads to it.
    assert!(shop.page(&format!("{folder}index.html")).contains("href=ready.ics"));
}
