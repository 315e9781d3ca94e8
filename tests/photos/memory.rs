//! How much memory a whole pass takes at the worst: the largest photos of every kind among broken and hostile ones.

use super::apart::helpers_of;
use super::{files, oracle};
use crate::builder::TestShop;
use std::process::{Command, Stdio};
use std::time::Duration;

/// In kilobytes; of the program and its helpers together, whatever they hold.
const MOST: u64 = 200_000;

#[test]
fn a_pass_over_the_largest_and_the_worst_stays_within_200_megabytes() {
    let shop = TestShop::healthy();
    for what in ["large", "broken"] {
        let folder = tempfile::tempdir().unwrap();
        oracle("make", what, folder.path());
        for file in files(folder.path()) {
            let name = file.file_name().unwrap().to_string_lossy().into_owned();
            shop.file(&format!("content/jobs/26-042 Ruell hen/{name}"), std::fs::read(&file).unwrap());
        }
    }
    let mut program = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    program.arg("--shop").arg(shop.path()).args(["make", "--as-of", "2030-01-01"]);
    let mut program = program.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    let (mut peak, mut looks, mut helpers) = (Vec::new(), 0, 0);
    let ended = loop {
        // What each holds for itself, and of the program's own pages (which they share) what the first has mapped (proc(5)).
        let held = |number: u32, names: &[&str]| {
            let status = std::fs::read_to_string(format!("/proc/{number}/status")).ok()?;
            names.iter().map(|name| kilobytes(&status, name)).sum::<Option<u64>>()
        };
        if let Some(own) = held(program.id(), &["RssAnon:", "RssFile:"]) {
            let theirs = helpers_of(program.id()).into_iter().filter_map(|n| held(n, &["RssAnon:"]));
            let all = [vec![own], theirs.collect()].concat();
            (looks, helpers) = (looks + 1, helpers.max(all.len() - 1));
            if all.iter().sum::<u64>() > peak.iter().sum() {
                peak = all;
            }
        }
        if let Some(ended) = program.try_wait().unwrap() {
            break ended;
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    assert_eq!(ended.code(), Some(1), "photos that need mending are told");
    assert!(looks > 50 && helpers > 0, "it ended after {looks} looks with {helpers} helpers");
    // All that can be shown was made.
    let pictures = shop.tree("public").into_keys().filter(|path| path.ends_with(".jpg")).count();
    assert!(pictures > 50, "{pictures}");
    assert!((20_000..MOST).contains(&peak.iter().sum()), "{peak:?} kB");
}

fn kilobytes(status: &str, name: &str) -> Option<u64> {
    let line = status.lines().find_map(|line| line.strip_prefix(name))?;
    line.trim().trim_end_matches(" kB").parse().ok()
}
