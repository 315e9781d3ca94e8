//! Every kind of page in Chromium, at the widths of a phone and of a desktop, by day and by night.
//!
//! `look.mjs` looks, this judges. The rules: axe-core (WCAG 2.2 A and AA and good practice), and WCAG 2.2's own
//! success criteria where a rule engine cannot know; each is named beside its check.

use super::demo;
use crate::builder::tools;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::process::Command;
use std::sync::{Mutex, MutexGuard, OnceLock, PoisonError};

/// What was seen, by check and page: a list of what is wrong.
fn seen() -> &'static Value {
    static SEEN: OnceLock<Value> = OnceLock::new();
    SEEN.get_or_init(|| {
        let served = tools::Served::folder(&demo().out);
        let kinds = demo().kinds();
        assert!(kinds.len() >= 16, "{} kinds of pages", kinds.len());
        look(&served, &kinds, json!({}))
    })
}

/// Runs `look.mjs` on some pages.
pub fn look(served: &tools::Served, kinds: &[(String, String)], more: Value) -> Value {
    let pages: Vec<Value> = kinds.iter().map(|(name, path)| json!({"name": name, "path": path})).collect();
    let mut asked = json!({
        "base": served.address(""),
        "npm": tools::npm("axe-core").parent().unwrap(),
        "chromium": chromium(),
        "pages": pages,
    });
    for (key, value) in more.as_object().unwrap() {
        asked[key] = value.clone();
    }
    tools::npm("puppeteer-core/package.json");
    let mut command = Command::new("node");
    command.arg(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/pages/look.mjs"));
    let _turn = turn();
    serde_json::from_str(&tools::answered(&mut command, &asked.to_string())).expect("it tells in JSON")
}

/// One browser at a time, so that Lighthouse measures the page and not the neighbours.
pub fn turn() -> MutexGuard<'static, ()> {
    static TURN: Mutex<()> = Mutex::new(());
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}

pub fn chromium() -> String {
    tools::printed(Command::new("sh").args(["-c", "command -v chromium"])).trim().to_owned()
}

/// All that is wrong by one check; the check must have looked at that many.
fn wrong(check: &str, at_least: usize) -> Vec<String> {
    let lists: BTreeMap<String, Vec<String>> = serde_json::from_value(seen()[check].clone()).expect(check);
    assert!(lists.len() >= at_least, "{check} looked at {}", lists.len());
    lists.iter().flat_map(|(name, list)| list.iter().map(move |one| format!("{name}: {one}"))).collect()
}

fn none(check: &str, at_least: usize) {
    let wrong = wrong(check, at_least);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn axe_finds_nothing_on_phone_or_desktop_by_day_or_by_night() {
    none("axe", 64);
}

#[test]
fn nothing_moves_while_a_page_loads() {
    none("shift", 32);
}

#[test]
fn no_page_asks_another_host_for_anything_or_complains() {
    none("elsewhere", 32);
    none("complaints", 32);
}

#[test]
fn no_page_scrolls_sideways_at_four_times_the_size() {
    // WCAG 2.2, 1.4.10: 320 CSS pixels are 1,280 at 400 %. 1.4.4: letters at 200 %.
    none("reflow", 48);
}

#[test]
fn the_keyboard_reaches_everything_and_shows_where_it_is() {
    // WCAG 2.2, 2.1.1, 2.4.7 and 2.4.11.
    none("keyboard", 16);
}

#[test]
fn nothing_moves_for_those_who_asked_for_stillness() {
    none("motion", 16);
}

#[test]
fn colors_that_the_reader_forces_leave_everything_readable() {
    none("forced", 16);
}

#[test]
fn pages_can_be_used_without_style_and_without_pictures() {
    none("bare", 16);
}

#[test]
fn nobody_hears_where_a_reader_came_from() {
    // Referrer Policy (W3C), "no-referrer": the address of a private page goes to no other page.
    none("referrer", 16);
}

#[test]
fn labels_of_the_drawn_route_lie_inside_their_tags() {
    none("labels", 16);
}

#[test]
fn pages_are_drawn_with_the_typefaces_that_the_tests_know() {
    // Widths of text, and so the checks above, hang on it: Debian's package `fonts-dejavu-core`.
    let fonts: Vec<String> = serde_json::from_value(seen()["fonts"].clone()).unwrap();
    assert_eq!(fonts, ["DejaVu Serif", "DejaVu Sans"], "`bash tests/all.sh` installs fonts-dejavu-core");
}

#[test]
fn a_page_with_sixty_photos_loads_only_what_is_seen() {
    let shop = crate::builder::TestShop::healthy();
    for at in 0..60 {
        let name = format!("IMG_202605{:02}_0912{at:02}.jpg", 1 + at % 19);
        let mut photo = crate::builder::PHONE_PHOTO.to_vec();
        // What stands behind the end of a JPEG is no part of the picture, but makes it another photo.
        photo.extend_from_slice(name.as_bytes());
        shop.file(&format!("content/jobs/26-041 Fenn gobbler/{name}"), photo);
    }
    shop.make(0);
    let (path, html) = shop.private_page("26-041").unwrap();
    assert!(html.matches("<figure").count() > 60, "{path}");
    let served = tools::Served::folder(&shop.at("public"));
    let seen = look(&served, &[("many".to_owned(), path)], json!({}));
    let first = seen["first"]["many phone"].as_array().unwrap().len();
    assert!(first <= 12, "{first} photos are asked for before anybody scrolls");
    for check in ["axe", "shift", "reflow"] {
        for (name, list) in seen[check].as_object().unwrap() {
            assert_eq!(list.as_array().unwrap().len(), 0, "{check}: {name} {list}");
        }
    }
}

#[test]
fn the_checks_do_see_what_is_wrong() {
    let folder = tempfile::tempdir().unwrap();
    let page = "<!doctype html><title>x</title><style>p { color: #ccc; width: 900px } a:focus { outline: 0 }</style>\
        <main><h1>A</h1><p>Pale</p><a href=\"#\">go</a><a href=\"b.html\">on</a><img src=\"a.png\"><svg class=way><g><path d=\"M0 0h5v5z\"/>\
        <text x=0 y=4>too long</text></g></svg></main>";
    benchlight::door::base::files::create_new(&folder.path().join("a.html"), page.as_bytes()).unwrap();
    let served = tools::Served::folder(folder.path());
    let seen = look(&served, &[("a".to_owned(), "a.html".to_owned())], json!({}));
    for (check, name) in [
        ("axe", "a phone light"),
        ("reflow", "a at 400 %"),
        ("keyboard", "a"),
        ("bare", "a"),
        ("labels", "a"),
        ("referrer", "a"),
        ("complaints", "a phone"),
    ] {
        assert!(!seen[check][name].as_array().unwrap().is_empty(), "{check}");
    }
}
