//! Bad edits, folders that go away, too many watches, midnight: what can happen while it watches.

use super::{Watching, page_of, pinned_shop, settles_like_a_clean_make};
use crate::builder::{TestShop, tools};
use std::fs;
use std::process::Command;
use std::thread::sleep;
use std::time::Duration;

const FENN: &str = "content/jobs/26-041 Fenn gobbler/job.toml";

#[test]
fn a_bad_edit_is_told_once_and_the_watch_goes_on() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let page = page_of(&shop, "26-041");
    shop.edit(FENN, "skinned =", "skinnned =");
    watching.until("did you mean `skinned`?");
    // Another job moves on, and the same problem is not told again.
    shop.edit("content/jobs/26-042 Ruell hen/job.toml", "650", "651");
    watching.until("26-042 Ruell hen: ");
    assert_eq!(watching.all_said().matches("did you mean `skinned`?").count(), 1);
    assert_eq!(watching.get(&page).0, 200);
    shop.edit(FENN, "skinnned =", "skinned =");
    watching.until("26-041 Fenn gobbler: mended");
    watching.until("Mended; nothing else needs it.");
    settles_like_a_clean_make(&shop, &mut watching);
}

#[test]
fn what_stops_a_pass_does_not_stop_the_watch() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let before = shop.tree("public");
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    shop.file("content/shop.toml", format!("{text}\n[[[\n"));
    watching.until("Nothing was changed");
    assert!(shop.tree("public") == before);
    shop.file("content/shop.toml", text.replace("Turkeys first", "Turkeys always"));
    watching.until("ended");
    watching.shows("", "Turkeys always");
    // The theme is watched too, from the moment that it is there.
    shop.file("themes/hangtag/words.toml", "[[\n");
    watching.until("themes/hangtag/words.toml");
    fs::remove_dir_all(shop.at("themes")).unwrap();
    watching.until("ended");
    settles_like_a_clean_make(&shop, &mut watching);
}

#[test]
fn the_content_may_vanish_and_come_back() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let before = shop.tree("public");
    fs::rename(shop.at("content"), shop.at("elsewhere")).unwrap();
    watching.until("Nothing was changed");
    assert!(shop.tree("public") == before);
    fs::rename(shop.at("elsewhere"), shop.at("content")).unwrap();
    watching.until("ended");
    shop.edit("content/pages/prices.md", "695", "705");
    watching.shows("prices/", "705");
    // A synced folder of jobs that is not connected looks like a shop without jobs.
    fs::rename(shop.at("content/jobs"), shop.at("jobs")).unwrap();
    watching.until("26-041");
    fs::rename(shop.at("jobs"), shop.at("content/jobs")).unwrap();
    settles_like_a_clean_make(&shop, &mut watching);
}

#[test]
fn without_events_everything_is_looked_at_instead() {
    let shop = pinned_shop();
    let mut watching = Watching::with(&shop, &["--poll"]);
    shop.edit("content/pages/prices.md", "695", "705");
    watching.shows("prices/", "705");
    shop.edit("content/pages/prices.md", "705", "715");
    watching.shows("prices/", "715");
    settles_like_a_clean_make(&shop, &mut watching);
}

#[test]
fn the_systems_limit_of_watches_is_told_with_the_setting_to_raise() {
    let shop = pinned_shop();
    // The limits of inotify hold for each user namespace (user_namespaces(7), /proc/sys/user).
    for (limit, file, setting) in [
        (4, "max_inotify_watches", "fs.inotify.max_user_watches"),
        (0, "max_inotify_instances", "fs.inotify.max_user_instances"),
    ] {
        let script = format!("echo {limit} > /proc/sys/user/{file} && exec \"$0\" watch \"$@\"");
        let mut command = Command::new("unshare");
        command.args(["--user", "--map-root-user", "sh", "-c", &script, env!("CARGO_BIN_EXE_benchlight")]);
        let mut watching = Watching::run(&shop, &mut command);
        watching.has_said(setting);
        let price = format!("7{limit}5");
        let text = fs::read_to_string(shop.at("content/pages/prices.md")).unwrap();
        let price_line = text.lines().last().unwrap();
        shop.edit("content/pages/prices.md", price_line, &format!("A gobbler from {price}."));
        watching.shows("prices/", &price);
    }
}

/// What sets another clock, to be loaded before the program.
pub fn faked() -> String {
    tools::printed(Command::new("faketime").args(["now", "printenv", "LD_PRELOAD"])).trim().to_owned()
}

/// `watch` with a clock that an outside tool (Debian's `faketime`) sets; waiting goes on by the real one.
fn with_another_clock(how: &str, value: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command.arg("watch").env("TZ", "UTC").env("LD_PRELOAD", faked()).env(how, value);
    command.env("FAKETIME_DONT_FAKE_MONOTONIC", "1");
    command
}

#[test]
fn a_new_day_is_a_pass() {
    let shop = TestShop::healthy();
    // The clock of the program is set to shortly before midnight.
    let mut command = with_another_clock("FAKETIME", "@2026-05-19 23:59:40");
    let mut watching = Watching::run(&shop, &mut command);
    let said = watching.all_said();
    assert!(said.contains("as of 2026-05-19"), "{said}");
    // What stands on the pages then is what a pass on the next day makes.
    let clean = tempfile::tempdir().unwrap();
    let out = clean.path().join("public");
    shop.run(&["make", "--as-of", "2026-05-20", "--out", out.to_str().unwrap()]).exits(0);
    let want = crate::builder::tree(&out);
    assert!(shop.tree("public") != want, "the two days look the same, so nothing is proved");
    for _ in 0..600 {
        if std::panic::catch_unwind(|| shop.tree("public")).is_ok_and(|have| have == want) {
            return;
        }
        sleep(Duration::from_millis(100));
    }
    panic!("no pass at midnight:\n{}", watching.all_said());
}

#[test]
fn a_clock_that_is_set_back_or_forward_is_followed() {
    let shop = TestShop::healthy();
    let clock = shop.at("clock");
    let set = |time: &str| {
        shop.file("clock", format!("@{time}\n"));
    };
    set("2026-05-20 10:00:00");
    // Set while the watch runs.
    let mut command = with_another_clock("FAKETIME_TIMESTAMP_FILE", clock.to_str().unwrap());
    command.env("FAKETIME_NO_CACHE", "1");
    let mut watching = Watching::run(&shop, &mut command);
    assert!(watching.all_said().contains("as of 2026-05-20"), "{}", watching.all_said());
    let job = "content/jobs/26-041 Fenn gobbler/job.toml";
    let mut link = 1;
    // Back by a day and a half, by an hour, forward by a week, back again.
    for (time, wing) in [
        ("2026-05-18 22:00:00", "first"),
        ("2026-05-18 21:00:00", "second"),
        ("2026-05-25 21:00:00", "third"),
        ("2026-05-20 12:00:00", "fourth"),
    ] {
        set(time);
        // One that takes its old address back meanwhile; what was retired must stay so.
        let old = shop.private_page("26-042").unwrap().0;
        link += 1;
        let other = "content/jobs/26-042 Ruell hen/job.toml";
        let text = std::fs::read_to_string(shop.at(other)).unwrap();
        let rest: Vec<&str> = text.lines().filter(|line| !line.starts_with("link")).collect();
        shop.file(other, format!("link = {link}\n{}\n", rest.join("\n")));
        let text = std::fs::read_to_string(shop.at(job)).unwrap();
        let note = text.lines().find(|line| line.starts_with("note")).unwrap();
        shop.edit(job, note, &format!("note = \"The {wing} wing.\""));
        let day = &time[..10];
        let clean = tempfile::tempdir().unwrap();
        let out = clean.path().join("public");
        shop.run(&["make", "--as-of", day, "--out", out.to_str().unwrap()]).exits(0);
        let want = crate::builder::tree(&out);
        let begun = std::time::Instant::now();
        while std::panic::catch_unwind(|| shop.tree("public")).ok().as_ref() != Some(&want) {
            assert!(begun.elapsed().as_secs() < 60, "{time}:\n{}", watching.all_said());
            sleep(Duration::from_millis(50));
        }
        assert!(shop.private_page("26-041").unwrap().1.contains(wing));
        assert!(!shop.at("public").join(old).exists());
    }
    assert_eq!(watching.end().0, Some(0));
}

#[test]
fn two_watchers_do_no_harm() {
    let shop = pinned_shop();
    let mut one = Watching::on(&shop);
    let mut two = Watching::on(&shop);
    for price in ["701", "702", "703", "704"] {
        shop.file("content/pages/prices.md", format!("# Prices\n\nA gobbler from {price}.\n"));
        one.shows("prices/", price);
        two.shows("prices/", price);
    }
    settles_like_a_clean_make(&shop, &mut one);
    assert!(!one.all_said().contains("stop:") && !two.all_said().contains("stop:"));
}
