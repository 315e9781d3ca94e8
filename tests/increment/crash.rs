//! Passes under the eyes of a visitor, and passes killed at any moment.
//!
//! `BENCHLIGHT_PASSES=500 BENCHLIGHT_KILLS=200` runs as many of them.

use super::reader;
use super::{Clean, Dice, day, how_many};
use crate::builder::{PHONE_PHOTO, TODAY, TestShop, tree};
use std::collections::BTreeSet;
use std::fs;
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

const JOBS: usize = 12;

fn shop() -> TestShop {
    let shop = TestShop::healthy_and_quick(true);
    let fenn = fs::read_to_string(shop.at(&job_file(0))).unwrap();
    for job in 1..JOBS {
        shop.file(&job_file(job), &fenn);
    }
    shop
}

fn job_file(job: usize) -> String {
    match job {
        0 => "content/jobs/26-041 Fenn gobbler/job.toml".to_owned(),
        _ => format!("content/jobs/26-{} Fenn gobbler/job.toml", 100 + job),
    }
}

/// Something for the next pass to do; most of it touches every page.
fn edit(shop: &TestShop, round: usize, dice: &mut Dice, links: &mut [u32; JOBS]) {
    let says = ["One light.", "Two lights.", "Three lights."][round % 3];
    shop.file("themes/hangtag/look.css", format!("body {{ margin: {round}px }}"));
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    let lines: Vec<String> = text
        .lines()
        .map(|l| if l.starts_with("says") { format!("says = \"{says}\"") } else { l.to_owned() })
        .collect();
    shop.file("content/shop.toml", lines.join("\n"));
    let job = dice.roll(JOBS);
    match dice.roll(4) {
        0 => links[job] += 1,
        1 => {
            let page = format!("content/pages/extra-{}.md", dice.roll(3));
            shop.file(&page, "# Extra\n\n[prices](prices.md)\n");
        }
        2 => drop(fs::remove_file(shop.at(&format!("content/pages/extra-{}.md", dice.roll(3))))),
        _ => {
            let photo = job_file(job).replace("job.toml", "IMG_20260512_080910.jpg");
            match shop.at(&photo).exists() {
                true => fs::remove_file(shop.at(&photo)).unwrap(),
                false => {
                    shop.file(&photo, [PHONE_PHOTO, &[round as u8]].concat());
                }
            }
        }
    }
    let text = fs::read_to_string(shop.at(&job_file(job))).unwrap();
    let rest: Vec<&str> = text.lines().filter(|l| !l.starts_with("link")).collect();
    shop.file(&job_file(job), format!("link = {}\n{}\n", links[job], rest.join("\n")));
}

/// Addresses that hold a page.
fn addresses(shop: &TestShop) -> BTreeSet<String> {
    let paths = tree(&shop.at("public")).into_keys();
    paths.filter(|p| p.starts_with("see/") && p.ends_with("/index.html")).collect()
}

/// Makes it `rounds` times, killed in the middle or not, while a visitor walks about; then all is as from nothing.
fn under_a_visitors_eyes(rounds: usize, kill: bool) {
    let shop = shop();
    let clean = Clean::of(&shop);
    let mut dice = Dice(if kill { 77 } else { 78 });
    let mut links = [1; JOBS];
    shop.make(0);
    let begun = Instant::now();
    shop.make(0);
    let usual = begun.elapsed();
    let mut retired = BTreeSet::new();
    let stop = AtomicBool::new(false);
    let site = shop.at("public");
    let (mut cut_short, mut walked) = (0, Ok(0));
    std::thread::scope(|scope| {
        let visitor = scope.spawn(|| reader::walk(&site, &stop));
        for round in 0..rounds {
            let before = addresses(&shop);
            edit(&shop, round, &mut dice, &mut links);
            if kill {
                let wait = usual.mul_f64(dice.roll(1_400) as f64 / 1_000.0);
                cut_short += usize::from(killed_after(&shop, wait));
                // Every third time the next pass is killed as well.
                if round % 3 == 0 {
                    continue;
                }
            }
            shop.make(0);
            let now = addresses(&shop);
            retired.extend(before.difference(&now).cloned());
            let back: Vec<_> = retired.intersection(&now).collect();
            assert!(back.is_empty(), "round {round}: {back:?} came back");
            if visitor.is_finished() {
                break;
            }
        }
        stop.store(true, Ordering::Relaxed);
        walked = visitor.join().unwrap();
    });
    let pages = walked.unwrap();
    println!(
        "{rounds} rounds, {cut_short} killed in the middle, {} addresses retired, {pages} pages read",
        retired.len()
    );
    assert!(pages > 20 && !retired.is_empty());
    assert!(!kill || cut_short * 3 > rounds, "{cut_short} of {rounds}");
    shop.make(0);
    assert!(tree(&site) == clean.site(day(TODAY)).unwrap(), "after all that it is as from nothing");
}

/// Begins a pass and kills it; whether it had not ended by itself.
fn killed_after(shop: &TestShop, wait: Duration) -> bool {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command.args(["make", "--as-of", TODAY]).current_dir(shop.path()).env_remove("SOURCE_DATE_EPOCH");
    let mut pass = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    std::thread::sleep(wait);
    let running = pass.try_wait().unwrap().is_none();
    // SIGKILL (std::process::Child::kill).
    pass.kill().unwrap();
    pass.wait().unwrap();
    running
}

#[test]
fn a_visitor_never_meets_half_a_pass() {
    under_a_visitors_eyes(how_many("BENCHLIGHT_PASSES", 16), false);
}

#[test]
fn a_visitor_never_meets_what_a_killed_pass_left() {
    under_a_visitors_eyes(how_many("BENCHLIGHT_KILLS", 16), true);
}

#[test]
fn a_page_that_a_killed_pass_was_to_change_is_still_known_as_ours() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (old, page) = shop.private_page("26-041").unwrap();
    let record = shop.tree(".benchlight/written").into_keys().next().unwrap();
    let record = format!(".benchlight/written/{record}");
    let digest = benchlight::door::base::digest::Digest::of(page.as_bytes()).hex();
    // As a pass leaves it that was killed before the new page had landed.
    let text = fs::read_to_string(shop.at(&record)).unwrap();
    let during = text.replacen("\"clean\":true", "\"clean\":false", 1).replacen(
        &format!("\"digest\":\"{digest}\""),
        &format!("\"digest\":\"{}\",\"before\":[\"{digest}\"]", "0".repeat(64)),
        1,
    );
    assert!(during.len() > text.len() + 64);
    shop.file(&record, during);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "[reached]", "link = 2\n\n[reached]");
    shop.make(0).tells_nothing();
    assert!(!shop.at("public").join(old).exists());
}
