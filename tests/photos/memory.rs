//! How much memory a whole pass takes at the worst: the largest photos of every kind among broken and hostile ones.

use super::{files, oracle};
use crate::builder::TestShop;
use std::process::{Command, Stdio};
use std::time::Duration;

/// In kilobytes; of the whole program, whatever it holds.
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
    let status = format!("/proc/{}/status", program.id());
    let (mut peak, mut looks) = (0, 0);
    let ended = loop {
        // `VmHWM` is the most that it ever held (proc(5)), so that no peak falls between two looks.
        if let Some(held) = std::fs::read_to_string(&status).ok().and_then(|text| highest(&text)) {
            (peak, looks) = (held.max(peak), looks + 1);
        }
        if let Some(ended) = program.try_wait().unwrap() {
            break ended;
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    assert_eq!(ended.code(), Some(1), "photos that need mending are told");
    assert!(looks > 50, "it ended after {looks} looks");
    // All that can be shown was made.
    let pictures = shop.tree("public").into_keys().filter(|path| path.ends_with(".jpg")).count();
    assert!(pictures > 50, "{pictures}");
    assert!((20_000..MOST).contains(&peak), "{peak} kB");
}

fn highest(status: &str) -> Option<u64> {
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches(" kB").parse().ok()
}
