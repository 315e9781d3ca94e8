//! Lighthouse on public pages and a private one: 100 for speed, access and good practice; and for search, where a
//! page is meant to be found.

use super::browser::{chromium, turn};
use super::demo;
use crate::builder::tools;
use serde_json::{Value, json};
use std::process::Command;

#[test]
fn lighthouse_gives_a_hundred() {
    let served = tools::Served::folder(&demo().out);
    let page = |name: &str, path: &str, search: bool| json!({"name": name, "path": path, "search": search});
    let private = demo().private();
    let pages = [
        page("front", "index.html", true),
        page("animal", "showroom/turkey/index.html", true),
        page("beside", "showroom/turkey/side-by-side.html", true),
        page("pose", "showroom/turkey/full-strut/index.html", true),
        page("private", &private["at-bench"], false),
    ];
    let asked = json!({
        "base": served.address(""),
        "npm": tools::npm("lighthouse").parent().unwrap(),
        "chromium": chromium(),
        "pages": pages,
    });
    let mut command = Command::new("node");
    command.arg(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/pages/lighthouse.mjs"));
    let _turn = turn();
    let told: Value = serde_json::from_str(&tools::answered(&mut command, &asked.to_string())).unwrap();
    let mut short = Vec::new();
    for page in &pages {
        let name = page["name"].as_str().unwrap();
        let scores = told[name]["scores"].as_object().unwrap();
        println!("{name}: {}", told[name]["scores"]);
        assert_eq!(scores.len(), if page["search"] == true { 4 } else { 3 }, "{name}");
        if scores.values().any(|score| score != 100) {
            short.push(format!("{name}: {}", told[name]));
        }
    }
    assert!(short.is_empty(), "{}", short.join("\n"));
}
