//! A sealed shop from `open` to the customer's phone, by each of the four kinds of place: what lies at the host tells nothing,
//! and the code on the hang tag alone opens the page from there.

use super::four::{JOB, all_there, nothing_private, opened};
use super::servers::{Sftp, Storage, Webdav};
use super::{At, posts, put_up_at, run};
use crate::builder::{TODAY, TestShop};
use crate::counter::{script, sheets};
use crate::sealed::{files_of, folder_and_key};
use std::fs;

/// A shop as `open` lays it out, sealed by its own line, with two pieces in it.
fn sealed() -> TestShop {
    let shop = opened();
    shop.edit("content/shop.toml", "# sealed  = true", "sealed  = true");
    // What an open page would show is secret here too.
    shop.edit(&format!("{JOB}/job.toml"), "Ada", "Canaria");
    shop.edit(&format!("{JOB}/job.toml"), "Eastern wild turkey", "CANARYPIECE turkey");
    shop
}

/// The address in the code of a job's printed hang tag.
fn code_of(shop: &TestShop, number: &str) -> String {
    shop.run(&["tag", number, "--as-of", TODAY]).exits(0);
    let into = tempfile::tempdir().unwrap();
    let (pages, _) = sheets(&shop.at(&format!("print/tag {number}.html")), into.path(), 200);
    let read = script("tags.py", &[&pages[0].display().to_string(), "200", "0.27"]);
    read["plain"]["zxing"][0].as_str().unwrap_or_else(|| panic!("no code is read: {read}")).to_owned()
}

fn whole_way(at: &At) {
    let shop = sealed();
    put_up_at(&shop, at);
    shop.make(0);
    posts(&shop, at).tells_nothing();
    nothing_private(at);
    let (folder, key) = folder_and_key(&shop, "26-077");
    let saved = tempfile::tempdir().unwrap();
    let site = all_there(at, saved.path());
    for (path, bytes) in crate::builder::tree(&site) {
        let text = String::from_utf8_lossy(&bytes);
        assert!(!text.contains("26-077") && !text.contains(&key) && !path.contains(&key), "{path}");
    }
    // From the code to the open page, with nothing but what the host holds.
    let address = code_of(&shop, "26-077");
    let seen =
        script("sealed_phone.py", &[&site.display().to_string(), &address, "-", "opens"])["opens"].clone();
    let text = seen["text"].as_str().unwrap();
    assert!(text.contains("26-077") && text.contains("Canaria C.") && text.contains("CANARYPIECE"), "{seen}");
    assert!(!seen["pictures"].as_array().unwrap().is_empty(), "{seen}");
    let none = serde_json::json!([]);
    assert_eq!((&seen["violations"], &seen["errors"]), (&none, &none), "{seen}");
    assert!(seen["overflow"].as_f64().unwrap() <= 360.0, "{seen}");

    // A line more changes one file of it; a new key moves it all, and the old address holds nothing any more.
    let before = at.holds();
    shop.edit(&format!("{JOB}/job.toml"), "bench-note", "note = \"All is well.\"\nbench-note");
    shop.make(0);
    posts(&shop, at).says("1 file new or changed, 0 gone");
    let changed: Vec<String> = at
        .holds()
        .into_iter()
        .filter(|(path, digest)| before.get(path) != Some(digest))
        .map(|(p, _)| p)
        .collect();
    assert!(changed.len() == 1 && changed[0].starts_with(&folder), "{changed:?}");
    shop.run(&["open", "--new-key"]).exits(0);
    shop.make(0);
    run(&shop, &["post"], &at.surroundings()).exits(0);
    let holds = at.holds();
    let (new, _) = folder_and_key(&shop, "26-077");
    assert!(!holds.keys().any(|path| path.starts_with(&folder)) && !files_of(&shop, &new).is_empty());
    assert!(holds.keys().any(|path| path.starts_with(&new)), "{holds:?}");

    // A job that is retired is gone from there.
    fs::remove_dir_all(shop.at(JOB)).unwrap();
    shop.make(0);
    posts(&shop, at).says("gone");
    assert!(!at.holds().keys().any(|path| path.starts_with(&new)));
}

#[test]
fn by_a_folder() {
    let place = tempfile::tempdir().unwrap();
    whole_way(&At::Folder(place.path().join("site")));
}

#[test]
fn by_object_storage() {
    whole_way(&At::Storage(Storage::start()));
}

#[test]
fn by_sftp() {
    whole_way(&At::Sftp(Sftp::start()));
}

#[test]
fn by_webdav() {
    whole_way(&At::Webdav(Webdav::start()));
}
