//! Every word of a page is the theme's or the owner's: with all words of both put into another script, no word
//! in Latin letters is left but those that are names of folders and steps.

use super::check::pages;
use super::example;
use benchlight::door::render;
use scraper::{Html, Selector};
use std::collections::BTreeSet;

/// The theme's words with each letter outside gaps in another script.
fn other_script(file: &str) -> String {
    let mut out = String::new();
    for line in file.lines() {
        let (mut quoted, mut gap) = (false, false);
        for c in line.chars() {
            match c {
                '"' => quoted = !quoted,
                '{' => gap = quoted,
                '}' => gap = false,
                _ => {}
            }
            out.push(if quoted && !gap && c.is_ascii_alphabetic() { 'ж' } else { c });
        }
        out.push('\n');
    }
    out.replacen("direction = \"жжж\"", "direction = \"ltr\"", 1)
}

/// The owner's words in a third script; what must keep its form stays.
fn owners(text: &str) -> String {
    let formed = text.contains(['@', '(', '<', '[']) || text == "in" || text.starts_with("http");
    if formed {
        return text.to_owned();
    }
    text.chars().map(|c| if c.is_ascii_alphabetic() { 'ω' } else { c }).collect()
}

fn latin_words(text: &str) -> BTreeSet<String> {
    let parts = text.split(|c: char| !c.is_ascii_alphabetic());
    parts.filter(|word| word.len() > 1).map(str::to_lowercase).collect()
}

/// All that a page says to somebody: its text, what it says to those who do not see it, and its ready messages.
fn said(html: &str) -> String {
    let page = Html::parse_document(html);
    let skipped = Selector::parse("style").unwrap();
    let hidden: String = page.select(&skipped).flat_map(|style| style.text()).collect();
    let mut said = page.root_element().text().collect::<Vec<_>>().join(" ").replace(&hidden, " ");
    for name in ["alt", "aria-label", "title", "placeholder"] {
        for element in page.select(&Selector::parse(&format!("[{name}]")).unwrap()) {
            said.push_str(&format!(" {}", element.value().attr(name).unwrap()));
        }
    }
    for element in page.select(&Selector::parse("meta[name=description]").unwrap()) {
        said.push_str(&format!(" {}", element.value().attr("content").unwrap()));
    }
    for element in page.select(&Selector::parse("a[href*='?']").unwrap()) {
        for part in element.value().attr("href").unwrap().split(['?', '&']).skip(1) {
            said.push_str(&format!(" {}", decoded(part.split_once('=').unwrap().1)));
        }
    }
    said
}

/// RFC 3986, 2.1.
fn decoded(text: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        match byte {
            b'%' => {
                let pair = [rest.next().unwrap(), rest.next().unwrap()];
                bytes.push(u8::from_str_radix(std::str::from_utf8(&pair).unwrap(), 16).unwrap());
            }
            other => bytes.push(other),
        }
    }
    String::from_utf8(bytes).unwrap()
}

#[test]
fn no_word_of_a_page_stands_in_the_program_or_in_a_template() {
    let words =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/themes/hangtag/words.toml")).unwrap();
    let root = tempfile::tempdir().unwrap();
    let own = root.path().join("themes/hangtag/words.toml");
    benchlight::door::base::files::create_new(&own, other_script(&words).as_bytes()).unwrap();
    let (theme, _) = render::theme::load(root.path()).unwrap();
    let example = example::written_by(&owners);
    let (site, _) = example.site(&theme).unwrap();

    let mut allowed: BTreeSet<String> = ["in".to_owned()].into();
    let steps = example.shop.routes.values().flat_map(|route| &route.steps);
    allowed.extend(steps.flat_map(|step| latin_words(&step.name)));
    allowed.extend(example.shop.poses.iter().flat_map(|pose| latin_words(&pose.animal)));
    let gates = example.worked.jobs.iter().flat_map(|job| &job.gates);
    allowed.extend(gates.flat_map(|gate| latin_words(&gate.name)));
    for kept in [example.shop.studio.email.as_deref(), example.shop.studio.money.policy.as_deref()]
        .into_iter()
        .flatten()
    {
        allowed.extend(latin_words(kept));
    }
    for page in &example.shop.pages {
        allowed.extend(latin_words(&page.text.text));
    }
    let mut checked = 0;
    for (path, html) in pages(&site) {
        let said = said(&html);
        checked += said.matches('ж').count();
        let left: Vec<String> = latin_words(&said).difference(&allowed).cloned().collect();
        assert!(left.is_empty(), "{path} says {left:?}");
    }
    assert!(checked > 10_000, "{checked} letters");
}
