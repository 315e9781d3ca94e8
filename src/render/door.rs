//! The door through which the room `fuzz` hands texts to the Markdown of pages and notes.
//!
//! There for tests and fuzzers alone.

use super::markdown::{self, Around};
use super::minify;
use crate::problem::{Location, Problems, Source};
use std::collections::BTreeSet;

/// A text as a page shows it, before and after it is made small, and what is noted of it.
pub fn page(source: &Source) -> (String, String, Problems) {
    let mut notes = Problems::default();
    let html = around(|around| markdown::of_source(source, around, &mut notes));
    let page =
        format!("<!doctype html><html lang=en><head><title>x</title></head><body>{html}</body></html>");
    (html, minify::minified(&page), notes)
}

/// A text that stands in a sheet, as a page shows it.
pub fn note(text: &str) -> String {
    let mut notes = Problems::default();
    around(|around| markdown::of_part(text, &Location::file("content/shop.toml"), around, &mut notes))
}

fn around<T>(of: impl FnOnce(&Around<'_>) -> T) -> T {
    let pages: BTreeSet<String> =
        ["index.html", "prices/index.html", "showroom/index.html"].map(str::to_owned).into();
    of(&Around { root: "../", pages: &pages, heading: 2, picture: None })
}
