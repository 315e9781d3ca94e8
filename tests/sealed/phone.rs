//! A phone of 360 px opens a sealed page from the code of its hang tag alone; and says in plain words what is wrong where it
//! cannot. By Chromium over its DevTools protocol (`tests/oracle/sealed_phone.py`), over https at the shop's own address.

use super::{folder_and_key, shop};
use crate::builder::{TODAY, TestShop, tools, tree};
use crate::counter::{script, sheets};
use crate::pages::browser::look;
use serde_json::{Value, json};
use std::path::Path;

/// Photos in all three sizes, of the demo shop, and a small one that stands in a step's folder.
fn with_photos() -> TestShop {
    let shop = shop();
    let demo = tree(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content/jobs"));
    let photos = demo.iter().filter(|(path, _)| path.ends_with(".jpg"));
    for (n, (_, photo)) in photos.take(8).enumerate() {
        shop.file(&format!("content/jobs/26-041 Fenn gobbler/2026-05-{:02} look {n}.jpg", n + 4), photo);
    }
    shop
}

#[test]
fn a_phone_opens_a_sealed_page_from_its_code_and_is_told_plainly_where_it_cannot() {
    let shop = with_photos();
    shop.make(0);
    shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0);
    let into = tempfile::tempdir().unwrap();
    let (pages, _) = sheets(&shop.at("print/tag 26-041.html"), into.path(), 200);
    // A third of a module of the denser code.
    let read = script("tags.py", &[&pages[0].display().to_string(), "200", "0.27"]);
    let (folder, key) = folder_and_key(&shop, "26-041");
    let whole = format!("https://hollow-ash.example/{folder}#{key}");
    for (how, by) in read.as_object().unwrap() {
        for decoder in ["zbar", "zxing"] {
            assert_eq!(by[decoder], serde_json::json!([whole]), "{decoder}, {how}");
        }
    }
    let address = read["plain"]["zxing"][0].as_str().unwrap();
    let told = script("sealed_phone.py", &[&shop.at("public").display().to_string(), address]);
    opened(&told["opens"], &key);
    for (what, sentence) in [
        ("no key", "Part of the address is missing"),
        ("wrong key", "This address doesn’t open anything here"),
        ("changed", "The page didn’t arrive in one piece"),
        ("cut", "The page didn’t arrive in one piece"),
        ("swapped", "The page didn’t arrive in one piece"),
        ("away", "The page couldn’t be loaded"),
        ("no scripts", "If scripts are turned off in your browser"),
    ] {
        let seen = told[what]["text"].as_str().unwrap_or_else(|| panic!("{what}: {told}"));
        assert!(seen.contains(sentence) && seen.contains("555-0100"), "{what}: {seen}");
        assert!(!seen.contains("26-041") && !seen.contains("Ada"), "{what}: {seen}");
        let shown =
            ["is missing:", "open anything here", "arrive in one piece", "couldn’t be loaded", "turned off"];
        assert_eq!(
            shown.iter().filter(|part| seen.contains(**part)).count(),
            1,
            "{what} says one thing: {seen}"
        );
    }
    let spoilt = &told["photo changed"];
    assert!(spoilt["text"].as_str().unwrap().contains("This photo didn’t arrive in one piece"), "{spoilt}");
    assert!(spoilt["text"].as_str().unwrap().contains("26-041"), "the page itself is open: {spoilt}");
    // As it may be typed.
    assert!(told["typed"]["text"].as_str().unwrap().contains("26-041"), "{}", told["typed"]);
}

#[test]
fn an_opened_page_and_its_shell_are_as_good_to_use_as_any_other() {
    let shop = with_photos();
    shop.make(0);
    let (folder, key) = folder_and_key(&shop, "26-041");
    let served = tools::Served::folder(&shop.at("public"));
    for (name, path, wait) in
        [("opened", format!("{folder}#{key}"), ".tag"), ("shell", folder.clone(), ".card")]
    {
        let seen = look(&served, &[(name.to_owned(), path)], json!({ "wait": wait }));
        for check in ["axe", "reflow", "keyboard", "elsewhere", "complaints"] {
            let lists = seen[check].as_object().unwrap();
            assert!(!lists.is_empty(), "{check} of {name}");
            for (name, list) in lists {
                assert_eq!(list.as_array().unwrap().len(), 0, "{check}: {name} {list}");
            }
        }
    }
}

fn opened(seen: &Value, key: &str) {
    let text = seen["text"].as_str().unwrap();
    assert!(
        text.contains("26-041") && text.contains("Ada F.") && text.contains("Eastern wild turkey"),
        "{text}"
    );
    assert_eq!(seen["wide"], 360, "{seen}");
    assert!(seen["overflow"].as_f64().unwrap() <= 360.0, "{seen}");
    assert!(seen["title"].as_str().unwrap().contains("26-041"), "{seen}");
    // Nothing went against the policy, nothing failed, and nobody but the shop's own host was asked.
    assert_eq!(
        (&seen["violations"], &seen["errors"]),
        (&serde_json::json!([]), &serde_json::json!([])),
        "{seen}"
    );
    for asked in seen["asked"].as_array().unwrap() {
        let asked = asked.as_str().unwrap();
        assert!(asked.starts_with("https://hollow-ash.example/") && !asked.contains(key), "{asked}");
    }
    // Few or none of the photos come before anybody scrolls, all of them after that.
    assert!((0..6).contains(&seen["early"].as_u64().unwrap()), "{seen}");
    let pictures = seen["pictures"].as_array().unwrap();
    assert!(pictures.len() >= 6 && text.contains(&format!("{} photos so far", pictures.len())), "{seen}");
    for picture in pictures {
        assert!(
            picture["src"].as_str().unwrap().starts_with("blob:https://hollow-ash.example/"),
            "{picture}"
        );
        let (width, shown) = (picture["natural"].as_f64().unwrap(), picture["shown"].as_f64().unwrap());
        assert!(width >= 1.0 && picture["complete"] == true && shown > 100.0, "{picture}");
        assert_eq!(picture["sent"], false, "{picture}");
    }
    // A link within the page leaves the key in the address; a photo is looked at closely, the calendar is handed over.
    assert_eq!(seen["hash_after_jump"], format!("#{key}"), "{seen}");
    assert!(seen["jumped"].as_f64().unwrap() > 0.0, "{seen}");
    assert!(seen["closer"].as_str().unwrap().starts_with("blob:"), "{seen}");
    assert_eq!(seen["calendar"], "ready.ics", "{seen}");
    assert!(seen["printed"].as_u64().unwrap() > 5_000, "{seen}");
}
