//! What the name of a photo's file tells: whether to show it, when it was taken, what the owner calls it.
//!
//! Phones and apps put the date into the name in a handful of ways; the shapes below are common
//! practice, no source. What stands inside the file is the photo room's business.

use super::wish::{self, Wish};
use crate::base::day::Day;
use std::ops::Range;

/// What a name says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::read) struct PhotoName {
    /// `hide …` and `show …`, as `wish` reads them.
    pub wish: Option<Wish>,
    /// The day, and the second of that day where the name has a time.
    pub taken: Option<(Day, Option<u32>)>,
    /// Words that a person typed; none for a camera's own name.
    pub caption: Option<String>,
}

/// No phone took photos before this year; such digits are something else.
const FIRST_YEAR: i32 = 1990;

/// Words that cameras, phones and apps put into names.
const CAMERA_WORDS: [&str; 50] = [
    "img",
    "image",
    "images",
    "pxl",
    "vid",
    "video",
    "mvimg",
    "mvi",
    "dsc",
    "dscn",
    "dscf",
    "dcim",
    "pic",
    "pics",
    "picture",
    "photo",
    "photos",
    "foto",
    "screenshot",
    "screen",
    "shot",
    "wa",
    "whatsapp",
    "signal",
    "at",
    "am",
    "pm",
    "hdr",
    "mp",
    "night",
    "portrait",
    "pano",
    "burst",
    "cover",
    "edited",
    "edit",
    "copy",
    "original",
    "received",
    "snapchat",
    "fb",
    "resized",
    "scaled",
    "compressed",
    "heic",
    "jpg",
    "jpeg",
    "png",
    "gopr",
    "untitled",
];

/// Reads a file's name.
pub(in crate::read) fn read(name: &str) -> PhotoName {
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    let dated = find_date(stem);
    let (wish, stem) = wish::take(stem);
    let found = find_date(stem);
    let words = match &found {
        Some(found) => {
            let (before, after) = (&stem[..found.place.start], &stem[found.place.end..]);
            // What a camera writes before a date is no part of what somebody typed behind it.
            let typed = before.split([' ', '_', '-']).any(is_typed_word);
            format!("{} {after}", if typed { before } else { "" })
        }
        None => stem.to_owned(),
    };
    // A camera's name and its date can stand before the wish.
    let (wish, words) = match wish {
        Some(wish) => (Some(wish), words.as_str()),
        None => wish::take(&words),
    };
    let typed = caption(words);
    let (wish, caption) = match (wish, typed) {
        // `tanned hide` is words and `IMG_4032 hide` is a wish.
        (Some(Wish::EndsInHide { .. }), None) => (Some(Wish::Hide), None),
        (Some(Wish::EndsInHide { show }), Some(typed)) => {
            let wish = if show { Wish::Show } else { Wish::EndsInHide { show } };
            (Some(wish), Some(cut(&format!("{typed} {}", wish::SKIN))))
        }
        other => other,
    };
    PhotoName { wish, taken: dated.map(|f| (f.day, f.second)), caption }
}

/// A date in a name, perhaps with a time, and where it stands.
struct DateInName {
    place: Range<usize>,
    day: Day,
    second: Option<u32>,
}

/// The first date: `20260428`, `2026-04-28`, `20260428171502` and the like.
fn find_date(stem: &str) -> Option<DateInName> {
    let bytes = stem.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let run = digits_from(bytes, at);
        if run == 0 {
            at += 1;
            continue;
        }
        if let Some((day, end)) = day_at(bytes, at, run) {
            let time = if run > 8 { clock_run(bytes, end, run - 8) } else { time_after(stem, end) };
            let (second, end) = time.map_or((None, end), |(second, end)| (Some(second), end));
            return Some(DateInName { place: at..end, day, second });
        }
        at += run;
    }
    None
}

/// A day that begins at `at`, where `run` digits stand, and where it ends.
fn day_at(bytes: &[u8], at: usize, run: usize) -> Option<(Day, usize)> {
    let (month, day, end) = match run {
        8 | 14 | 17 => (at + 4, at + 6, at + 8),
        4 => {
            let mark = *bytes.get(at + 4)?;
            let parted = b"-_.".contains(&mark) && digits_from(bytes, at + 5) == 2;
            if !parted || bytes.get(at + 7) != Some(&mark) || digits_from(bytes, at + 8) != 2 {
                return None;
            }
            (at + 5, at + 8, at + 10)
        }
        _ => return None,
    };
    let day = Day::new(number(bytes, at, 4)? as i32, number(bytes, month, 2)?, number(bytes, day, 2)?)?;
    (day.year() >= FIRST_YEAR).then_some((day, end))
}

/// A time of day behind a date: `_171502`, `-171502123`, ` 17.15.02`, ` at 5.15.02 PM`.
fn time_after(stem: &str, end: usize) -> Option<(u32, usize)> {
    let bytes = stem.as_bytes();
    let rest = &stem[end..];
    let gap = rest.len() - rest.trim_start_matches(['_', '-', ' ', 'T', '.', ',']).len();
    let word = stem[end + gap..]
        .strip_prefix("at")
        .map_or(0, |after| 2 + after.len() - after.trim_start_matches(['_', '-', ' ']).len());
    let at = end + gap + word;
    if gap == 0 || gap > 3 {
        return None;
    }
    match digits_from(bytes, at) {
        run @ (6 | 9) => clock_run(bytes, at, run),
        run @ (1 | 2) => clock_parts(stem, at, run),
        _ => None,
    }
}

/// `171502`, perhaps with thousandths: six or nine digits.
fn clock_run(bytes: &[u8], at: usize, run: usize) -> Option<(u32, usize)> {
    let second = second_of(number(bytes, at, 2)?, number(bytes, at + 2, 2)?, number(bytes, at + 4, 2)?)?;
    Some((second, at + run))
}

/// `17.15.02`, or `5.15.02 PM`.
fn clock_parts(stem: &str, at: usize, run: usize) -> Option<(u32, usize)> {
    let bytes = stem.as_bytes();
    let mark = |place: usize| bytes.get(place).is_some_and(|b| b".:-_h".contains(b));
    let (minute, second) = (at + run + 1, at + run + 4);
    if !mark(minute - 1)
        || !mark(second - 1)
        || digits_from(bytes, minute) != 2
        || digits_from(bytes, second) != 2
    {
        return None;
    }
    let (hour, end) = (number(bytes, at, run)?, second + 2);
    let rest = stem[end..].trim_start_matches([' ', '\u{a0}', '\u{202f}']);
    let half = rest.get(..2).map(str::to_ascii_lowercase);
    let (hour, end) = match half.as_deref() {
        Some("am") if (1..=12).contains(&hour) => (hour % 12, stem.len() - rest.len() + 2),
        Some("pm") if (1..=12).contains(&hour) => (hour % 12 + 12, stem.len() - rest.len() + 2),
        _ => (hour, end),
    };
    Some((second_of(hour, number(bytes, minute, 2)?, number(bytes, second, 2)?)?, end))
}

fn second_of(hour: u32, minute: u32, second: u32) -> Option<u32> {
    (hour < 24 && minute < 60 && second < 60).then_some(hour * 3600 + minute * 60 + second)
}

fn digits_from(bytes: &[u8], at: usize) -> usize {
    bytes.iter().skip(at).take_while(|b| b.is_ascii_digit()).count()
}

fn number(bytes: &[u8], at: usize, len: usize) -> Option<u32> {
    std::str::from_utf8(bytes.get(at..at + len)?).ok()?.parse().ok()
}

/// The words that a person typed: no counters, no words of a camera. None if nothing of that is left.
fn caption(words: &str) -> Option<String> {
    // Where words are parted by blanks, a hyphen belongs to its word.
    let typed = words.trim();
    let parted: &[char] = if typed.contains(' ') { &[' ', '_'] } else { &[' ', '_', '-'] };
    let mut tokens: Vec<&str> = typed.split(parted).filter(|t| !t.is_empty()).collect();
    let is_counter =
        |token: &str| token.trim_matches(['(', ')', '.', '-']).bytes().all(|b| b.is_ascii_digit());
    // `2 front` stands second, `front (1)` is a copy.
    while tokens.first().is_some_and(|t| is_counter(t)) {
        tokens.remove(0);
    }
    while tokens.last().is_some_and(|t| is_counter(t)) {
        tokens.pop();
    }
    if !tokens.iter().any(|t| is_typed_word(t)) || tokens.iter().any(|t| is_machine_word(t)) {
        return None;
    }
    Some(cut(&tokens.join(" ")))
}

/// A caption is no longer than a line or two.
fn cut(words: &str) -> String {
    words.chars().take(120).collect()
}

/// A word of letters that no camera writes.
fn is_typed_word(token: &str) -> bool {
    let letters: String = token.chars().filter(|c| c.is_alphabetic()).collect();
    let folded = letters.to_lowercase();
    letters.chars().count() > 1 && !CAMERA_WORDS.contains(&folded.as_str())
}

/// Letters and digits mixed as people do not write: `6F9619FF`, `a1b2c3`.
fn is_machine_word(token: &str) -> bool {
    let mut changes = 0;
    let mut last = None;
    for c in token.chars().filter(|c| c.is_alphanumeric()) {
        let digit = c.is_ascii_digit();
        changes += usize::from(last.replace(digit).is_some_and(|was| was != digit));
    }
    changes >= 2 || token.chars().filter(char::is_ascii_digit).count() >= 5
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(name: &str) -> (String, Option<u32>, Option<String>) {
        let name = read(name);
        let (day, second) = name.taken.map_or((String::new(), None), |(day, second)| (day.iso(), second));
        (day, second, name.caption)
    }

    #[test]
    fn the_usual_shapes_of_phones_and_apps_are_dated() {
        // Shapes from memory: Android cameras, a Pixel, Dropbox, WhatsApp, Signal, macOS and iOS.
        let second = Some(17 * 3600 + 15 * 60 + 2);
        for (name, want) in [
            ("IMG_20260428_171502.jpg", second),
            ("IMG_20260428_171502_1.jpg", second),
            ("PXL_20260428_171502123.jpg", second),
            ("PXL_20260428_171502123.PORTRAIT.jpg", second),
            ("20260428_171502.jpg", second),
            ("20260428171502.jpg", second),
            ("2026-04-28 17.15.02.jpg", second),
            ("2026-04-28_17-15-02.jpg", second),
            ("photo_2026-04-28_17-15-02.jpg", second),
            ("signal-2026-04-28-171502.jpg", second),
            ("signal-2026-04-28-17-15-02-123.jpg", second),
            ("WhatsApp Image 2026-04-28 at 17.15.02.jpeg", second),
            ("WhatsApp Image 2026-04-28 at 5.15.02 PM (1).jpeg", second),
            ("Screenshot 2026-04-28 at 5.15.02\u{202f}PM.png", second),
            ("Screenshot_20260428-171502.png", second),
            ("Screenshot_2026-04-28-17-15-02.png", second),
            ("Screenshot_20260428_171502_Gallery app.jpg", second),
            ("IMG-20260428-WA0003.jpg", None),
            ("IMG_20260428.jpg", None),
            ("private 2026-04-28.jpg", None),
            ("IMG_4032 (hide) 2026-04-28.jpg", None),
            ("2026-04-28.jpg", None),
            ("VID_20260428_250000.mp4", None),
        ] {
            let (day, second, caption) = told(name);
            assert_eq!((day.as_str(), second), ("2026-04-28", want), "{name}");
            if !name.contains("Gallery") {
                assert_eq!(caption, None, "{name}");
            }
        }
    }

    #[test]
    fn other_digits_are_no_date() {
        for name in [
            "IMG_4032.jpg",
            "DSC01234.JPG",
            "20261345_1.jpg",
            "18000101.jpg",
            "1714300000000.jpg",
            "2026-04.jpg",
            "2026-4-28.jpg",
            "2026-04_28.jpg",
            ".jpg",
            "",
            "123456789.jpg",
        ] {
            assert_eq!(told(name).0, "", "{name}");
        }
    }

    #[test]
    fn captions_are_what_a_person_typed() {
        for (name, want) in [
            ("eyes set.jpg", Some("eyes set")),
            ("eyes_set.jpg", Some("eyes set")),
            ("eyes-set.jpg", Some("eyes set")),
            ("half-strut from the left.jpg", Some("half-strut from the left")),
            ("2 front.jpg", Some("front")),
            ("front (1).jpg", Some("front")),
            ("hide messy bench.jpg", Some("messy bench")),
            ("SHOW the skin.jpg", Some("the skin")),
            ("hide_messy_bench.jpg", Some("messy bench")),
            ("messy bench (hide).jpg", Some("messy bench")),
            ("show tanned hide.jpg", Some("tanned hide")),
            ("IMG_20260428_171502 hide left wing.jpg", Some("left wing")),
            ("hide IMG_20260428_171502 left wing.jpg", Some("left wing")),
            ("2026-04-28 eyes set.jpg", Some("eyes set")),
            ("IMG_20260428_171502 left wing.jpg", Some("left wing")),
            ("Ohr sitzt schön 🦃.jpg", Some("Ohr sitzt schön 🦃")),
            ("\"quoted\".jpg", Some("\"quoted\"")),
            ("IMG_4032.jpg", None),
            ("6F9619FF-8B86-D011-B42D-00C04FC964FF.jpg", None),
            ("FB_IMG_1714300000000.jpg", None),
            ("image0.jpeg", None),
            ("photo (2).jpg", None),
            ("12.jpg", None),
            ("a.jpg", None),
            ("🦃.jpg", None),
        ] {
            assert_eq!(told(name).2.as_deref(), want, "{name}");
        }
    }

    #[test]
    fn wishes_are_words_of_their_own() {
        for (name, want) in [
            ("hide x.jpg", Some(Wish::Hide)),
            ("Show x.jpg", Some(Wish::Show)),
            ("hideous.jpg", Some(Wish::Unclear("hide"))),
            ("showroom.jpg", None),
            ("hide.jpg", Some(Wish::Hide)),
            ("IMG_20260428_171502 hide.jpg", Some(Wish::Hide)),
            ("IMG_20260428_171502_hide_wing.jpg", Some(Wish::Hide)),
            ("20260428_hide.jpg", Some(Wish::Hide)),
            ("hide IMG_20260428_171502.jpg", Some(Wish::Hide)),
            ("wing hide 2026-04-28.jpg", Some(Wish::EndsInHide { show: false })),
            ("wing (hide) 2026-04-28.jpg", Some(Wish::Hide)),
            ("tanned hide.jpg", Some(Wish::EndsInHide { show: false })),
            ("IMG_20260428_171502 tanned hide.jpg", Some(Wish::EndsInHide { show: false })),
            ("show tanned hide.jpg", Some(Wish::Show)),
            ("IMG_4032_hide.jpg", Some(Wish::Hide)),
            ("show IMG_4032 hide.jpg", Some(Wish::Hide)),
            ("héde x.jpg", None),
        ] {
            assert_eq!(read(name).wish, want, "{name}");
        }
    }
}
