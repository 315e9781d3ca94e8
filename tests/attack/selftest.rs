//! Each claim fails of what it forbids: a fault of every kind is planted, and seen.

use super::ground::{Ground, JOB, SECRET};
use super::running::{Running, odd_sign};
use std::fs;
use std::process::Command;

/// What the claims say once `plant` has done its worst in a healthy shop.
fn seen(plant: impl FnOnce(&mut Ground)) -> String {
    let mut ground = Ground::new(7);
    ground.claims().expect("nothing is wrong yet");
    plant(&mut ground);
    ground.claims().expect_err("the fault was not seen")
}

fn page_of(ground: &Ground) -> String {
    let files = super::claims::plain_files(&ground.at("public"));
    let mut pages = files
        .into_keys()
        .filter(|path| path.starts_with("see/") && path.len() > 30 && path.ends_with("index.html"));
    format!("public/{}", pages.next().expect("a private page"))
}

fn edited(ground: &Ground, path: &str, edit: impl FnOnce(Vec<u8>) -> Vec<u8>) {
    let bytes = fs::read(ground.at(path)).unwrap();
    ground.put(path, edit(bytes));
}

#[test]
fn a_fault_in_the_site_is_seen() {
    let into = |text: &'static str| {
        move |bytes: Vec<u8>| {
            String::from_utf8(bytes)
                .unwrap()
                .replacen("<body", &format!("<!-- {text} --><body"), 1)
                .into_bytes()
        }
    };
    let fault = seen(|ground| edited(ground, &page_of(ground), into("CanaryTag-7781")));
    assert!(fault.starts_with("something private is published"), "{fault}");
    let fault = seen(|ground| {
        let key = String::from_utf8(ground.whole("content/shop.key")).unwrap();
        let key = key.lines().last().unwrap().to_owned();
        edited(ground, "public/robots.txt", |bytes| [bytes, key.into_bytes()].concat());
    });
    assert!(fault.starts_with("the key is published"), "{fault}");
    let fault =
        seen(|ground| edited(ground, "public/index.html", |mut bytes| bytes.split_off(bytes.len() / 2)));
    assert!(fault.starts_with("a file is not whole"), "{fault}");
    let fault = seen(|ground| {
        let photo = ground.files_of_site(".jpg").remove(0);
        edited(ground, &photo, |bytes| bytes[..bytes.len() / 2].to_vec());
    });
    assert!(fault.starts_with("a file is not whole"), "{fault}");
    let fault = seen(|ground| fs::remove_file(ground.at("public/prices/index.html")).unwrap());
    assert!(fault.starts_with("a link leads nowhere"), "{fault}");
    let fault = seen(|ground| {
        let address = page_of(ground).split('/').nth(2).unwrap().to_owned();
        edited(ground, "public/robots.txt", |bytes| [bytes, address.into_bytes()].concat());
    });
    assert!(fault.starts_with("a public file knows a private address"), "{fault}");
}

#[test]
fn a_fault_around_the_shop_is_seen() {
    let fault = seen(|ground| fs::remove_file(ground.base().join("outside/books.txt")).unwrap());
    assert!(fault.starts_with("a file of somebody else's was touched"), "{fault}");
    let fault = seen(|ground| super::ground::put_at(&ground.base().join("outside/new"), b"x"));
    assert!(fault.starts_with("files were written outside"), "{fault}");
    let fault =
        seen(|ground| super::ground::put_at(&ground.base().join("host/index.html"), b"<!doctype html><p>"));
    assert!(fault.starts_with("at the host, a file is not whole"), "{fault}");
    let mut ground = Ground::new(7);
    ground.put("public/see/left.html", "<!doctype html><html></html>");
    assert!(ground.heal().unwrap_err().starts_with("left behind"));
    let mut ground = Ground::new(8);
    ground.forget(&format!("{JOB}/job.toml"));
    assert!(ground.heal().is_err(), "a piece is gone for good");
}

#[test]
fn a_run_that_goes_wrong_is_seen() {
    let ran = |script: &str| {
        let ground = Ground::new(7);
        let running =
            Running::of(Command::new("sh").args(["-c", script]), &ground.shop(), &[], "x".to_owned());
        running.end().is_well()
    };
    assert_eq!(ran("echo well; exit 1"), Ok(()));
    for (script, fault) in [
        ("exit 3", "ended badly"),
        ("kill -ABRT $$", "ended badly"),
        ("printf '\\033]0;owned\\007'", "stdout shows a sign"),
        ("printf 'a\\342\\200\\256b' >&2", "stderr shows a sign"),
        ("printf '\\377'", "stdout is no text"),
        ("echo \"thread 'main' panicked at src/x.rs\" >&2", "panicked"),
        ("head -c 2000000 /dev/zero | tr '\\0' a", "said 2000000 bytes"),
        ("exec python3 -c 'x = b\"a\" * (900 << 20)'", "took too much memory"),
    ] {
        let seen = ran(script).expect_err(script);
        assert!(seen.starts_with(fault), "{script}: {seen}");
    }
    let ground = Ground::new(7);
    assert!(ground.keeps_quiet(&format!("a {SECRET} b")).unwrap_err().starts_with("a secret is shown"));
    let key = String::from_utf8(ground.whole("content/shop.key")).unwrap();
    assert!(ground.keeps_quiet(&key.to_uppercase()).unwrap_err().starts_with("the key is shown"));
    assert_eq!(odd_sign("été\n\t"), None);
}
