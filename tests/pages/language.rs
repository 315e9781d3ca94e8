//! Every word comes from `words.toml`: a second complete file in German, and a page that is read from the right.

use super::browser::look;
use super::{demo, made_in, texts};
use crate::builder::tools;
use scraper::{Html, Selector};
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};

const GERMAN: &str = include_str!("words-de.toml");

fn english() -> String {
    std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/themes/hangtag/words.toml")).unwrap()
}

fn gaps(text: &str) -> BTreeSet<&str> {
    text.split('{').skip(1).filter_map(|rest| rest.split('}').next()).collect()
}

#[test]
fn the_german_words_are_complete_and_their_gaps_the_same() {
    let (english, german) = (texts(&english()), texts(GERMAN));
    let keys = |texts: &BTreeMap<String, String>| texts.keys().cloned().collect::<BTreeSet<_>>();
    let (missing, surplus): (Vec<_>, Vec<_>) = (
        keys(&english).difference(&keys(&german)).cloned().collect(),
        keys(&german).difference(&keys(&english)).cloned().collect(),
    );
    assert!(missing.is_empty() && surplus.is_empty(), "missing {missing:?}, surplus {surplus:?}");
    for (key, text) in english.iter().filter(|(key, _)| !key.starts_with("date.")) {
        // A form for one may do without the number.
        let (own, other) = (gaps(&german[key]), gaps(text));
        assert!(own == other || key.ends_with(".one") && own.is_subset(&other), "{key}: {own:?}, {other:?}");
    }
}

#[test]
fn german_pages_have_no_english_words_of_the_theme() {
    let site = made_in("de", GERMAN);
    // Fragments of the English file between gaps, of two words or more, that the German file does not have.
    let german = texts(GERMAN).into_values().collect::<Vec<_>>().join("\n").to_lowercase();
    let english = texts(&english());
    let fragments = english.values().flat_map(|text| text.split(['{', '}']).step_by(2));
    let fragments: Vec<String> = fragments
        .map(|part| part.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase())
        .filter(|part| part.contains(' ') && !german.contains(part.as_str()))
        .collect();
    assert!(fragments.len() > 200, "{}", fragments.len());
    let pages = site.files.iter().filter(|(path, _)| path.ends_with(".html"));
    // The owner's own texts stay as the owner wrote them.
    let own = demo_texts();
    let mut left = Vec::new();
    for (path, bytes) in pages {
        let said = said(&String::from_utf8_lossy(bytes)).to_lowercase();
        left.extend(
            fragments
                .iter()
                .filter(|part| said.contains(part.as_str()) && !own.contains(part.as_str()))
                .map(|part| format!("{path}: {part}")),
        );
    }
    assert!(left.is_empty(), "{}", left.join("\n"));
    let front = site.text("index.html");
    assert!(front.contains("lang=de>") && front.contains("15. Juni 2026"), "dates are German");
    let private = site.text(&site.private()["at-bench"]);
    assert!(private.contains(",00\u{a0}$"), "amounts are German");
}

/// All that the owner of the demo wrote.
fn demo_texts() -> String {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let files = crate::builder::tree(&root);
    let texts = files.iter().filter(|(path, _)| path.ends_with(".toml") || path.ends_with(".md"));
    texts.map(|(_, bytes)| String::from_utf8_lossy(bytes).to_lowercase()).collect()
}

/// What a page says: its text, and what it says to those who do not see it.
fn said(html: &str) -> String {
    let page = Html::parse_document(html);
    let mut said: Vec<String> = page.root_element().text().map(str::to_owned).collect();
    for name in ["alt", "aria-label", "title", "content"] {
        let with = Selector::parse(&format!("[{name}]")).unwrap();
        said.extend(page.select(&with).filter_map(|e| e.value().attr(name)).map(str::to_owned));
    }
    said.join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn pages_can_be_read_from_the_right() {
    let words = english().replacen("direction = \"ltr\"", "direction = \"rtl\"", 1);
    let site = made_in("ar", &words);
    assert!(site.text("index.html").contains("dir=rtl"));
    let mut kinds: Vec<(String, String)> = demo().kinds().into_iter().take(6).collect();
    kinds.extend(
        site.private().into_iter().filter(|(stage, _)| ["at-bench", "ready"].contains(&stage.as_str())),
    );
    let served = tools::Served::folder(&site.out);
    let seen = look(&served, &kinds, json!({}));
    for check in ["axe", "reflow", "labels", "keyboard", "sides", "shift"] {
        let lists = seen[check].as_object().unwrap();
        assert!(lists.len() >= kinds.len(), "{check}");
        for (name, list) in lists {
            assert_eq!(list.as_array().unwrap().len(), 0, "{check}: {name} {list}");
        }
    }
}
