//! The door for fuzzing, there for tests and fuzzers alone: one function a target, which hands its bytes to a reader. A reader may
//! say what it likes of them, but it never panics, takes time and memory in the measure of its input, and keeps to what
//! `claims` holds to be true.
//!
//! `bash tests/fuzz.sh` runs all of it; what was found and what was gathered lies in `tests/attack/seeds/` and is handed in again by
//! `cargo test --lib fuzz`, without a fuzzer.

#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod claims;
#[cfg(test)]
mod replay;
mod site;
mod stored;

use crate::base::day::Day;
use crate::base::owner_file::{self, NotWritten};
use crate::base::{names, passing, person};
use crate::command::open::key_text;
use crate::model::{Format, PageKey};
use crate::{photo, read, render, seal};
use claims::{bounded, harmless, told};

/// A reader of bytes.
pub type Target = fn(&[u8]);

/// All targets, by the names that `tests/fuzz.sh` calls them by.
pub const TARGETS: [(&str, Target); 18] = [
    ("shop", |input| told(read::door::shop(input), input)),
    ("job", job),
    ("route", |input| told(read::door::route(input), input)),
    ("partners", |input| told(read::door::partners(input), input)),
    ("pose", |input| told(read::door::pose(input), input)),
    ("page", page),
    ("name", name),
    ("key", key),
    ("sealed", sealed),
    ("record", stored::record),
    ("listing", stored::listing),
    ("exif", exif),
    ("jpeg", |input| photo(Format::Jpeg, input)),
    ("png", |input| photo(Format::Png, input)),
    ("gif", |input| photo(Format::Gif, input)),
    ("webp", |input| photo(Format::WebP, input)),
    ("heic", |input| photo(Format::Heic, input)),
    ("site", site::whole),
];

/// `job.toml`; and the one line that the program writes into it.
fn job(input: &[u8]) {
    told(read::door::job(input), input);
    let Ok(text) = std::str::from_utf8(input) else { return };
    let day = Day::new(2026, 5, 20).expect("a day");
    let Ok(written) = owner_file::with_day(text, "reached", "mounted", day) else { return };
    let again = owner_file::with_day(&written, "reached", "mounted", day);
    assert_eq!(again, Err(NotWritten::IsThere), "{written:?}");
    bounded(written.len(), input, 2);
    // Every line of the owner's is still there, in its order.
    let mut lines = written.lines();
    let kept =
        |line: &str| lines.any(|other| other == line || other.starts_with(line.trim_end_matches([' ', '}'])));
    assert!(text.lines().all(kept), "{text:?} became {written:?}");
}

/// A page of the owner's, and a text that stands in a sheet.
fn page(input: &[u8]) {
    if let Some((title, rest)) = read::door::page(input) {
        bounded(title.len(), input, 4);
        let (html, small, notes) = render::door::page(&rest);
        harmless(&html);
        bounded(html.len(), input, 60);
        bounded(small.len(), input, 60);
        told(notes.iter().cloned().collect(), input);
    }
    let text = String::from_utf8_lossy(input);
    harmless(&render::door::note(&text));
    let _ = read::door::picture_name(&text);
}

/// The name of a photo's file, of a folder, of a person.
fn name(input: &[u8]) {
    let name = String::from_utf8_lossy(input);
    let (shown, taken, caption) = read::door::photo(&name);
    if let Some((day, second)) = taken {
        assert_eq!(Day::parse(&day.iso()), Some(day));
        assert!(day.year() >= 1990 && second.is_none_or(|second| second < 86_400), "{name:?}");
    }
    assert!(caption.is_none_or(|caption| caption.chars().count() <= 120), "{name:?}");
    // Whatever stands behind it, this word hides.
    assert!(!read::door::photo(&format!("hide {name}")).0, "{name:?}");
    // What is hidden stays so under a number or a bracket.
    assert!(shown || !read::door::photo(&format!("2 {name}")).0, "{name:?}");
    let word = names::address_word(&name);
    assert!(
        word.is_empty() || names::is_address_word(word.trim_end_matches('-')),
        "{name:?} became {word:?}"
    );
    let shown = person::first_name_and_initial(&name);
    assert!(!shown.contains(char::is_numeric) && !shown.contains('@'), "{name:?} is shown as {shown:?}");
    let _ = (
        person::gives_away(&name, "Ada Fenn", "Fenn gobbler"),
        person::initial(&name),
        person::last_name(&name),
    );
    let _ = (passing::passing(&name), names::is_hidden(&name));
}

/// `shop.key` and `post.key`.
fn key(input: &[u8]) {
    if let Some(key) = read::door::key(input) {
        assert_eq!(read::door::key(key_text(&key).as_bytes()), Some(key), "written again it reads the same");
    }
    if let Ok(text) = std::str::from_utf8(input) {
        let _ = crate::post::door::secret(text, "password");
    }
}

/// A sealed file: none opens that was not sealed, and one that was opens as itself alone.
fn sealed(input: &[u8]) {
    let key = PageKey::new("0123456789abcdefghjkmnpqrs".to_owned());
    assert_eq!(seal::file::opened(&key, "index.html", input), None);
    let (flip, content) = input.split_at(input.len().min(2));
    let mut made = seal::file::sealed(&key, "index.html", content);
    assert_eq!(seal::file::opened(&key, "index.html", &made).as_deref(), Some(content));
    if let [high, low] = flip {
        let at = usize::from(u16::from_be_bytes([*high, *low])) % made.len();
        made[at] ^= 1 + (low & 0x7f);
        assert_eq!(seal::file::opened(&key, "index.html", &made), None, "changed at {at}");
    }
}

/// The EXIF of a photo.
fn exif(input: &[u8]) {
    if let Some((day, second)) = photo::door::taken(input) {
        assert!(Day::parse(&day.iso()) == Some(day) && second < 86_400, "{day:?} {second}");
    }
}

/// A photo of one format, from its header to what a page shows of it.
fn photo(format: Format, input: &[u8]) {
    let Ok((size, Some(shown))) = photo::door::photo(format, input) else { return };
    claims::bare_jpeg(&shown, size);
}
