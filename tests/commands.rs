//! The commands as a new owner meets them: what they print, how they end.

use crate::builder::TestShop;
use std::fs;

#[test]
fn open_then_make_gives_an_empty_shop_that_is_whole() {
    let place = TestShop::empty();
    place
        .run(&["open", "my shop"])
        .exits(0)
        .says("Your new shop is in my shop")
        .says("--shop 'my shop' make")
        .tells_nothing();
    place.run(&["--shop", "my shop", "make"]).exits(0).says("Look at it:").tells_nothing();
    assert!(place.at("my shop/public/index.html").exists());
    place.run(&["--shop", "my shop", "proof"]).exits(0).says("Nothing needs mending.");
}

#[test]
fn open_overwrites_nothing() {
    let place = TestShop::empty();
    place.run(&["open", "shop"]).exits(0);
    let before = place.tree("shop");
    place.run(&["open", "shop"]).exits(2).tells("there is a shop in `shop` already");
    assert!(before == place.tree("shop"));
    place.file("other/READ ME FIRST.txt", "mine");
    place.run(&["open", "other"]).exits(2).tells("is there already");
    assert_eq!(place.tree("other").len(), 1);
}

#[test]
fn two_shops_never_share_a_key() {
    let place = TestShop::empty();
    place.run(&["open", "a"]).exits(0);
    place.run(&["open", "b"]).exits(0);
    let key = |shop: &str| fs::read_to_string(place.at(shop).join("content/shop.key")).unwrap();
    assert_ne!(key("a"), key("b"));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(place.at("a/content/shop.key")).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }
}

#[test]
fn a_damaged_key_is_told_and_never_remade() {
    let shop = TestShop::healthy();
    let good = fs::read_to_string(shop.at("content/shop.key")).unwrap();
    let line = good.lines().last().unwrap();
    let first = if line.starts_with('f') { "g" } else { "f" };
    let damaged = good.replace(line, &format!("{first}{}", &line[1..]));
    assert_ne!(good, damaged);
    shop.file("content/shop.key", &damaged);
    shop.make(2).tells("bad-key").tells("backup");
    assert_eq!(fs::read_to_string(shop.at("content/shop.key")).unwrap(), damaged);
    fs::remove_file(shop.at("content/shop.key")).unwrap();
    shop.make(2).tells("bad-key");
    assert!(!shop.at("content/shop.key").exists());
}

#[test]
fn a_folder_that_is_no_shop_is_told_what_to_do() {
    let place = TestShop::empty();
    for command in ["make", "proof"] {
        place.run(&[command]).exits(2).tells("there is no shop in `.`").tells("benchlight open DIR");
    }
    assert_eq!(place.tree(".").len(), 0);
}

#[test]
fn proof_writes_nothing_at_all() {
    let shop = TestShop::healthy();
    let before = shop.tree(".");
    shop.run(&["proof", "--as-of", "2026-05-20"]).exits(0).says("Hollow Ash Studio").says("2 jobs");
    shop.run(&["proof", "--as-of", "2026-05-20", "--json"]).exits(0);
    assert!(before == shop.tree("."));
}

#[test]
fn proof_json_tells_code_place_and_hint() {
    let shop = TestShop::healthy();
    shop.edit("content/jobs/26-042 Ruell hen/job.toml", "turkey-full", "turkey-ful");
    let told = shop.run(&["proof", "--json", "--as-of", "2026-05-20"]).exits(1).out();
    let json: serde_json::Value = serde_json::from_str(&told).expect("JSON");
    assert_eq!(json["exit"], 1);
    let problem = &json["problems"][0];
    assert_eq!(problem["code"], "unknown-route");
    assert_eq!(problem["file"], "content/jobs/26-042 Ruell hen/job.toml");
    assert_eq!((&problem["line"], &problem["column"]), (&4.into(), &12.into()));
    assert_eq!(problem["hint"], "did you mean `turkey-full`?");
    assert_eq!(problem["severity"], "mend");
}

#[test]
fn as_of_shows_the_shop_as_it_stood() {
    let shop = TestShop::healthy();
    shop.run(&["make", "--as-of", "2026-04-30"]).exits(0);
    // The second piece had not come in yet, and nothing of the first had been done.
    assert!(shop.private_page("26-042").is_none());
    let (_, then) = shop.private_page("26-041").unwrap();
    shop.make(0);
    let (_, now) = shop.private_page("26-041").unwrap();
    assert_ne!(then, now);
    assert!(!then.contains("IMG_") && !then.contains(".jpg"), "the photo was not taken yet");
    assert!(now.contains(".jpg"));
}

#[test]
fn a_future_date_is_told_unless_a_day_was_asked_for() {
    let shop = TestShop::healthy();
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "skinned = 2026-05-02", "skinned = 2126-05-02");
    shop.run(&["make"]).exits(1).tells("in-the-future").tells("job.toml:12:");
    shop.make(0);
}

#[test]
fn source_date_epoch_sets_the_day() {
    let shop = TestShop::healthy();
    let run = |epoch: &str| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_benchlight"));
        command.args(["proof"]).current_dir(shop.path()).env("SOURCE_DATE_EPOCH", epoch);
        let output = command.output().unwrap();
        (output.status.code(), String::from_utf8_lossy(&output.stdout).into_owned())
    };
    // 1779235200 s is 2026-05-20T00:00:00Z (POSIX.1, seconds since the Epoch).
    let (code, said) = run("1779235200");
    assert_eq!(code, Some(0));
    assert!(said.contains("as of 2026-05-20"), "{said}");
    assert_eq!(run("yesterday").0, Some(2));
}

#[test]
fn help_is_short_and_says_how_it_ends() {
    let place = TestShop::empty();
    place
        .run(&["--help"])
        .exits(0)
        .says("Set up a new shop")
        .says("It ends with 0 when all is well")
        .tells_nothing();
    for command in ["open", "make", "proof"] {
        place.run(&[command, "--help"]).exits(0).says("Usage:").tells_nothing();
    }
    place.run(&["mke"]).exits(2).tells("make");
    place.run(&["make", "--as-of", "May 2"]).exits(2).tells("write the day like this: 2026-05-02");
}
