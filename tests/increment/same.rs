//! Thousands of random sequences of edits, moves, deletions, truncations and restores: after each step the site of a
//! pass that remembers is compared byte by byte with that of a pass from nothing.
//!
//! `BENCHLIGHT_SEQUENCES=2000` runs more of them, `BENCHLIGHT_FROM=93` begins with that one. On a memory file system, where nothing waits for a disk.

use super::edits::Edits;
use super::{Clean, Dice, day, how_many, pass};
use crate::builder::{TestShop, tree};
use benchlight::door::base::stamp::SETTLES_IN;
use benchlight::door::command::pass::Memory;
use std::collections::BTreeMap;
use std::fs;
use std::time::Duration;

/// Steps of a sequence.
const STEPS: usize = 12;
/// So fine is the clock of the file system that this runs on; nanoseconds. Files age quickly here.
const FINE: i64 = 20_000_000;

#[test]
fn remembering_changes_nothing() {
    let from = how_many("BENCHLIGHT_FROM", 1);
    for seed in from..from + how_many("BENCHLIGHT_SEQUENCES", 8) {
        sequence(seed as u64);
    }
}

fn sequence(seed: u64) {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let shop = TestShop::healthy_and_quick(!seed.is_multiple_of(4));
    if seed.is_multiple_of(3) {
        shop.edit("content/shop.toml", "[money]", "[private-page]\nsealed = true\n\n[money]");
    }
    let clean = Clean::of(&shop);
    let mut edits = Edits::new(&shop);
    // Two that watch the same shop, each with its own memory.
    let mut memories = [Memory::that_settles_in(FINE), Memory::that_settles_in(FINE)];
    let mut today = day("2026-05-20");
    let mut done: Vec<String> = Vec::new();
    for step in 0..STEPS {
        done.push(edits.any(&mut dice));
        match dice.roll(12) {
            0 => today = today.plus(dice.roll(40) as u32),
            1 => today = today.minus(dice.roll(40) as u32),
            2 => memories[0] = Memory::that_settles_in(FINE),
            3 => drop(fs::remove_dir_all(shop.at(".benchlight"))),
            _ => {}
        }
        if dice.roll(3) == 0 {
            // Longer than it takes a file to settle, so that what was just edited is trusted in the next step.
            std::thread::sleep(Duration::from_millis(30));
        }
        let story = || format!("seed {seed}, step {step}, {today}: {done:#?}");
        // As it stands now: somebody may have taken a kept page away.
        let before = tree(&shop.at("public"));
        let got = pass(shop.path(), today, &mut memories[dice.roll(2)]);
        let want = clean.site(today);
        let mut site = tree(&shop.at("public"));
        match (got, want) {
            (Ok(changes), Some(want)) => {
                for kept in &changes.kept {
                    assert_eq!(
                        site.remove(kept),
                        before.get(kept).cloned(),
                        "{kept} stays as it was\n{}",
                        story()
                    );
                }
                compare(&site, &want, &story);
            }
            (Err(_), None) => {
                edits.restore_all();
                done.push("restored all, as the pass stopped".to_owned());
            }
            (Err(stopped), Some(_)) => {
                // Only the passes that remember know that there were private pages before.
                let gone = stopped.problems.iter().any(|p| p.code.name() == "jobs-gone");
                assert!(gone, "{:?}\n{}", stopped.problems, story());
                edits.restore_all();
            }
            (Ok(_), None) => panic!("a pass from nothing stops\n{}", story()),
        }
    }
}

fn compare(got: &BTreeMap<String, Vec<u8>>, want: &BTreeMap<String, Vec<u8>>, story: &dyn Fn() -> String) {
    for (path, bytes) in want {
        assert!(got.contains_key(path), "{path} is missing\n{}", story());
        assert!(got[path] == *bytes, "{path} differs\n{}", story());
    }
    let over: Vec<&String> = got.keys().filter(|path| !want.contains_key(*path)).collect();
    assert!(over.is_empty(), "{over:?} should not be there\n{}", story());
}

#[test]
fn what_did_not_change_is_not_touched_and_young_files_are_read_again() {
    let shop = TestShop::healthy();
    let mut memory = Memory::default();
    pass(shop.path(), day("2026-05-20"), &mut memory).unwrap();
    // At once, of the same length, and dated as it was: too young to be known by its stamp.
    let path = "content/jobs/26-041 Fenn gobbler/job.toml";
    let written = fs::metadata(shop.at(path)).unwrap().modified().unwrap();
    shop.edit(path, "left wing", "lost wing");
    fs::File::options().write(true).open(shop.at(path)).unwrap().set_modified(written).unwrap();
    let changes = pass(shop.path(), day("2026-05-20"), &mut memory).unwrap();
    assert_eq!((changes.changed.len(), changes.added.len(), changes.removed.len()), (1, 0, 0), "{changes:?}");
    assert!(shop.private_page("26-041").unwrap().1.contains("lost wing"));
}

#[test]
fn it_is_told_since_when_a_last_good_page_stays_across_restarts() {
    let shop = TestShop::healthy();
    shop.make(0);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "695", "6,95");
    shop.make(1).says("job 26-041 (since 2026-05-20)");
    let later = ["--as-of", "2026-05-28"];
    shop.run(&["make", later[0], later[1]]).exits(1).says("job 26-041 (since 2026-05-20)");
    shop.run(&["proof", later[0], later[1]])
        .exits(1)
        .says("as it was, until it is mended: job 26-041 (since 2026-05-20)");
    let told = shop.run(&["proof", "--json", later[0], later[1]]).exits(1).out();
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert_eq!(
        told["last_good"],
        serde_json::json!([{ "part": "job 26-041", "since": "2026-05-20" }]),
        "{told}"
    );
    shop.run(&["board", later[0], later[1]])
        .exits(1)
        .tells("job 26-041 needs mending")
        .tells("since 2026-05-20");
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "6,95", "695");
    shop.run(&["make", later[0], later[1]]).exits(0);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "695", "6,95");
    shop.run(&["make", later[0], later[1]]).exits(1).says("job 26-041 (since 2026-05-28)");
}

#[test]
fn a_make_with_nothing_changed_says_the_same_and_sees_every_change() {
    let shop = TestShop::healthy_and_quick(true);
    let make = || shop.make(0).out();
    let settle = || std::thread::sleep(Duration::from_nanos(SETTLES_IN.unsigned_abs() + 100_000_000));
    make();
    settle();
    let quiet = make();
    assert!(quiet.contains("0 new, 0 changed, 0 gone"), "{quiet}");
    let kept = shop.at(".benchlight/standing.json");
    assert!(kept.exists(), "a pass that left nothing to mend is kept");
    let noted = fs::metadata(&kept).unwrap().modified().unwrap();
    settle();
    assert_eq!(make(), quiet);
    assert_eq!(fs::metadata(&kept).unwrap().modified().unwrap(), noted, "nothing was made");
    // A page that somebody took away, an edit, another day: each is seen.
    let page = shop.private_page("26-041").unwrap().0;
    fs::remove_file(shop.at(&format!("public/{page}"))).unwrap();
    assert!(make().contains("1 new"));
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "left wing", "lost wing");
    assert!(make().contains("1 changed"));
    settle();
    make();
    let later = shop.run(&["make", "--as-of", "2026-06-20"]).exits(0).out();
    assert!(later.contains("as of 2026-06-20") && !later.contains("0 changed"), "{later}");
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "695", "6,95");
    shop.make(1);
    shop.make(1).says("job 26-041");
}
