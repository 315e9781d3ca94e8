//! A clock that jumps ahead, and a shop that was only quiet: pages that close by the day are not taken away by what runs
//! by itself before there is a sign of life or the owner's word. The clock is set from outside, by Debian's `faketime`;
//! file times are as they are (faketime(1), NO_FAKE_STAT).

use super::trouble::faked;
use super::{PATIENCE, Watching};
use crate::builder::{Ran, TestShop, tree};
use std::fs;
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant, UNIX_EPOCH};

const RUELL: &str = "content/jobs/26-042 Ruell hen/job.toml";
/// The hen was collected on 15 May, and its page stays for 90 days.
const LAST_DAY: &str = "2026-08-13";

/// A shop with a page that closes, last touched on 19 May; and a clock of its own.
struct Clocked {
    shop: TestShop,
    page: String,
}

impl Clocked {
    fn on(day: &str) -> Clocked {
        let shop = TestShop::healthy();
        let text = fs::read_to_string(shop.at(RUELL)).unwrap();
        shop.file(RUELL, format!("{text}\n[reached]\nskinned = 2026-05-11\ncollected = 2026-05-15\n"));
        let clocked = Clocked { shop, page: String::new() };
        clocked.touch_all("2026-05-19");
        clocked.set(day);
        clocked.run(&["make"]).exits(0);
        let page = clocked.shop.private_page("26-042").expect("a page that closes").0;
        Clocked { page, ..clocked }
    }

    fn set(&self, day: &str) {
        self.shop.file("clock", format!("@{day} 12:00:00\n"));
    }

    /// All files of the content are of that day.
    fn touch_all(&self, day: &str) {
        for path in tree(&self.shop.at("content")).keys() {
            self.touch(&format!("content/{path}"), day);
        }
    }

    fn touch(&self, path: &str, day: &str) {
        let days = benchlight::door::base::day::Day::parse(day)
            .unwrap()
            .since(benchlight::door::base::day::Day::epoch());
        let time = UNIX_EPOCH + Duration::from_secs(u64::try_from(days).unwrap() * 86_400 + 36_000);
        fs::File::options().write(true).open(self.shop.at(path)).unwrap().set_modified(time).unwrap();
    }

    fn surroundings(&self) -> Vec<(String, String)> {
        let clock = self.shop.at("clock").to_str().unwrap().to_owned();
        [
            ("TZ", "UTC"),
            ("LD_PRELOAD", &faked()),
            ("FAKETIME_TIMESTAMP_FILE", &clock),
            ("FAKETIME_NO_CACHE", "1"),
            ("FAKETIME_DONT_FAKE_MONOTONIC", "1"),
            ("NO_FAKE_STAT", "1"),
        ]
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .into()
    }

    fn run(&self, args: &[&str]) -> Ran {
        self.shop.run_with(args, &self.surroundings())
    }

    fn watch(&self, args: &[&str]) -> Watching {
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
        command.arg("watch").args(args).envs(self.surroundings());
        Watching::run(&self.shop, &mut command)
    }

    fn page_is_there(&self) -> bool {
        self.shop.at("public").join(&self.page).exists()
    }

    fn waits_until(&self, what: &str, watching: &mut Watching, so: impl Fn() -> bool) {
        let begun = Instant::now();
        while !so() {
            assert!(begun.elapsed() < PATIENCE, "never so: {what}\n{}", watching.all_said());
            sleep(Duration::from_millis(50));
        }
    }
}

#[test]
fn watch_takes_nothing_away_when_the_clock_jumps_and_nothing_is_lost_when_it_is_set_right() {
    let clocked = Clocked::on("2026-05-20");
    let before = clocked.shop.tree("public");
    let mut watching = clocked.watch(&[]);
    clocked.set("2026-12-01");
    let told = watching.until("after the last sign of life");
    assert!(told.contains("2026-12-01 by the clock, 195 days") && told.contains("(2026-05-20)"), "{told}");
    assert!(told.contains("1 private page"), "{told}");
    watching.until("run `benchlight make` once");
    assert!(clocked.page_is_there());
    assert_eq!(watching.get(clocked.page.trim_end_matches("index.html")).0, 200);
    // And the day after, which is as doubtful.
    clocked.set("2026-12-02");
    watching.until("2026-12-02");
    assert!(clocked.page_is_there());
    // Set right, all is as it was.
    clocked.set("2026-05-20");
    clocked.waits_until("as it was", &mut watching, || clocked.shop.tree("public") == before);
    // What is taken back goes even while the day is in doubt.
    clocked.set("2026-12-01");
    watching.until("after the last sign of life");
    let text = fs::read_to_string(clocked.shop.at(RUELL)).unwrap();
    clocked.shop.file(RUELL, format!("link = 2\n{text}"));
    clocked.touch(RUELL, "2026-05-20");
    clocked.waits_until("taken back", &mut watching, || !clocked.page_is_there());
    assert_eq!(watching.end().0, Some(0));
}

#[test]
fn the_owners_make_or_the_first_new_file_settles_it() {
    let clocked = Clocked::on("2026-05-20");
    // As after weeks in which the computer was off.
    clocked.set("2026-12-01");
    let mut watching = clocked.watch(&[]);
    watching.has_said("after the last sign of life");
    assert!(clocked.page_is_there());
    clocked.run(&["make"]).exits(0);
    assert!(!clocked.page_is_there());
    assert_eq!(watching.end().0, Some(0));
    let watching = clocked.watch(&[]);
    assert!(!clocked.page_is_there());
    assert_eq!(watching.end().0, Some(0));

    let clocked = Clocked::on("2026-05-20");
    clocked.set("2026-12-01");
    let mut watching = clocked.watch(&[]);
    watching.has_said("after the last sign of life");
    let prices = "content/pages/prices.md";
    // A file of a later day is none that could tell.
    clocked.touch(prices, "2027-01-15");
    clocked.shop.edit("content/showroom/turkey/half-strut/about.md", "half", "all");
    clocked.touch("content/showroom/turkey/half-strut/about.md", "2026-05-20");
    watching.shows("showroom/turkey/half-strut/", "all");
    assert!(clocked.page_is_there());
    clocked.shop.edit(prices, "695", "705");
    clocked.touch(prices, "2026-12-01");
    clocked.waits_until("gone", &mut watching, || !clocked.page_is_there());
    assert_eq!(watching.end().0, Some(0));
}

#[test]
fn a_quiet_holiday_is_no_fault() {
    let clocked = Clocked::on("2026-05-20");
    let mut watching = clocked.watch(&[]);
    // It runs on, so each day is a sign of life for the next.
    for day in ["2026-06-20", "2026-07-25", LAST_DAY] {
        clocked.set(day);
        let told = |page: &str| page.contains(day);
        clocked.waits_until(day, &mut watching, || {
            fs::read_to_string(clocked.shop.at(".benchlight/signs.json")).is_ok_and(|note| told(&note))
        });
        assert!(clocked.page_is_there(), "{day}");
    }
    clocked.set("2026-08-14");
    clocked.waits_until("gone", &mut watching, || !clocked.page_is_there());
    let (code, said) = watching.end();
    assert!(code == Some(0) && !said.contains("sign of life"), "{said}");
}

#[test]
fn post_leaves_at_the_host_what_went_because_of_a_doubtful_day() {
    let clocked = Clocked::on("2026-05-20");
    let place = tempfile::tempdir().unwrap();
    let site = place.path().join("site");
    let text = fs::read_to_string(clocked.shop.at("content/shop.toml")).unwrap();
    let to = site.to_str().unwrap();
    clocked.shop.file("content/shop.toml", format!("{text}\n[post]\nto = \"folder\"\nfolder = \"{to}\"\n"));
    clocked.touch("content/shop.toml", "2026-05-19");
    clocked.run(&["make"]).exits(0);
    clocked.run(&["post"]).exits(0);
    let there = || site.join(&clocked.page).exists();
    assert!(there());
    // `make` does as content and day say, whatever the day.
    clocked.set("2026-12-01");
    clocked.run(&["make"]).exits(0);
    assert!(!clocked.page_is_there());
    for args in [&["post"][..], &["post"]] {
        let ran = clocked.run(args).exits(1).tells("(clock-ahead)").tells("post --even-so");
        assert!(there() && ran.err().contains("at the host"), "{}", ran.err());
    }
    clocked.run(&["post", "--dry"]).tells("(clock-ahead)");
    // The clock was wrong: all is as it was.
    clocked.set("2026-05-21");
    clocked.run(&["make"]).exits(0);
    clocked.run(&["post"]).exits(0);
    assert!(there() && clocked.page_is_there());
    // The clock was right.
    clocked.set("2026-12-01");
    clocked.run(&["make"]).exits(0);
    clocked.run(&["post"]).exits(1);
    assert!(there());
    clocked.run(&["post", "--even-so"]).exits(0);
    assert!(!there());
    clocked.run(&["post"]).exits(0).tells_nothing();
}

#[test]
fn a_new_file_settles_it_for_the_host_too() {
    let clocked = Clocked::on("2026-05-20");
    let place = tempfile::tempdir().unwrap();
    let site = place.path().join("site");
    let text = fs::read_to_string(clocked.shop.at("content/shop.toml")).unwrap();
    let to = site.to_str().unwrap();
    clocked.shop.file(
        "content/shop.toml",
        format!("{text}\n[post]\nto = \"folder\"\nfolder = \"{to}\"\nquiet = 1\n"),
    );
    clocked.touch("content/shop.toml", "2026-05-19");
    clocked.run(&["make"]).exits(0);
    clocked.run(&["post"]).exits(0);
    clocked.set("2026-12-01");
    let mut watching = clocked.watch(&["--post"]);
    watching.has_said("after the last sign of life");
    watching.has_said("Put up: ");
    assert!(site.join(&clocked.page).exists());
    clocked.shop.edit("content/pages/prices.md", "695", "705");
    clocked.touch("content/pages/prices.md", "2026-12-01");
    clocked.waits_until("gone from the host", &mut watching, || !site.join(&clocked.page).exists());
    assert_eq!(watching.end().0, Some(0));
}
