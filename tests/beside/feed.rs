//! `news.atom`, read by PyPI `feedparser` and held against the schema of RFC 4287 (`oracle/atom.rnc`) by `jing`.

use super::{JOB, folder_of, python, shop};
use crate::builder::{TestShop, tools};
use std::path::Path;
use std::process::Command;

const READ: &str = r#"
import json, sys
import feedparser
headers = {"content-location": "https://shop.example/see/x/news.atom", "content-type": "application/atom+xml"}
feed = feedparser.parse(sys.stdin.buffer.read(), response_headers=headers)
assert not feed.bozo, feed.get("bozo_exception")
assert feed.version == "atom10", feed.version
links = {link.rel: link.href for link in feed.feed.links}
print(json.dumps({
    "id": feed.feed.id, "title": feed.feed.title, "updated": feed.feed.updated, "links": links,
    "entries": [{"id": e.id, "title": e.title, "updated": e.updated, "link": e.link, "says": e.content[0].value} for e in feed.entries],
}))
"#;

fn bytes(shop: &TestShop, number: &str) -> Vec<u8> {
    shop.tree("public")[&format!("{}news.atom", folder_of(shop, number))].clone()
}

fn titles(feed: &serde_json::Value) -> Vec<(String, String)> {
    let text = |entry: &serde_json::Value, key: &str| entry[key].as_str().unwrap().to_owned();
    let entries = feed["entries"].as_array().unwrap().iter();
    entries.map(|entry| (text(entry, "updated")[..10].to_owned(), text(entry, "title"))).collect()
}

#[test]
fn its_news_are_those_of_the_page_the_newest_first() {
    let shop = shop();
    shop.make(0);
    let feed = python(READ, &bytes(&shop, "26-077"));
    let want = [
        ("2026-05-02", "It’s ready"),
        ("2026-05-02", "Done: Dried"),
        // The day that the camera wrote.
        ("2026-05-04", "New photos"),
        ("2026-04-22", "Done: Mounted"),
        ("2026-04-20", "Done: Head back"),
        ("2026-03-30", "Done: Skinned"),
        ("2026-03-28", "The pose is settled"),
        ("2026-03-28", "Taken in"),
    ];
    let mut told = titles(&feed);
    let mut want: Vec<(String, String)> =
        want.map(|(day, title)| (day.to_owned(), title.to_owned())).to_vec();
    assert!(told.windows(2).all(|two| two[0].0 >= two[1].0), "{told:?}");
    told.sort();
    want.sort();
    // Hidden photos are no news, nor is a step that is only implied (`washed`).
    assert_eq!(told, want);
    assert_eq!(feed["updated"], "2026-05-04T12:00:00Z");
    assert_eq!(feed["links"]["alternate"], "https://shop.example/see/x/index.html");
    assert_eq!(feed["links"]["self"], "https://shop.example/see/x/news.atom");
}

#[test]
fn names_of_news_stay_when_a_date_is_put_right_and_are_all_different() {
    let shop = shop();
    shop.make(0);
    let before = python(READ, &bytes(&shop, "26-077"));
    shop.edit(JOB, "mounted   = 2026-04-22", "mounted   = 2026-04-23");
    shop.make(0);
    let after = python(READ, &bytes(&shop, "26-077"));
    let id = |feed: &serde_json::Value, title: &str| {
        let entries = feed["entries"].as_array().unwrap().iter();
        entries.filter(|entry| entry["title"] == title).map(|entry| entry["id"].clone()).next().unwrap()
    };
    assert_eq!(before["id"], after["id"]);
    assert_eq!(id(&before, "Done: Mounted"), id(&after, "Done: Mounted"));
    let mut ids: Vec<String> =
        after["entries"].as_array().unwrap().iter().map(|e| e["id"].to_string()).collect();
    ids.push(after["id"].to_string());
    let all = ids.len();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), all);
}

#[test]
fn every_feed_of_the_demo_fits_the_schema() {
    let shop = TestShop::empty();
    let demo = env!("CARGO_MANIFEST_DIR");
    let out = shop.at("site");
    shop.run(&["--shop", demo, "make", "--out", out.to_str().unwrap()]).exits(0);
    let feeds: Vec<String> = shop.tree("site").into_keys().filter(|path| path.ends_with(".atom")).collect();
    assert!(feeds.len() >= 30, "{}", feeds.len());
    let schema = Path::new(demo).join("tests/oracle/atom.rnc");
    let check = |files: &[std::path::PathBuf]| {
        let mut jing = Command::new("jing");
        let output = tools::run(jing.arg("-c").arg(&schema).args(files));
        (output.status.success(), String::from_utf8_lossy(&output.stdout).into_owned())
    };
    let files: Vec<_> = feeds.iter().map(|feed| out.join(feed)).collect();
    let (fits, told) = check(&files);
    assert!(fits, "{told}");
    // The check finds fault where there is one.
    let bent = shop.at("bent.atom");
    let text = std::fs::read_to_string(&files[0]).unwrap().replacen("<updated>", "<updated>yesterday ", 1);
    benchlight::door::base::files::replace(&bent, text.as_bytes()).unwrap();
    assert!(!check(&[bent]).0);
}

#[test]
fn nothing_private_is_in_it() {
    let shop = shop();
    shop.make(0);
    let text = String::from_utf8(bytes(&shop, "26-077")).unwrap();
    assert!(!text.contains("CANARY"), "{text}");
    let address = folder_of(&shop, "26-077");
    assert!(!text.contains(address.trim_end_matches('/')), "{text}");
}
