//! A pass that is killed among its photos loses none that was made, and begins with those that customers wait for.

use super::sample;
use crate::builder::TestShop;
use benchlight::door::base::digest::Digest;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, SystemTime};

/// The records of the photos that were made, by the photo's digest, with the time of each.
pub fn made(folder: &Path) -> BTreeMap<String, SystemTime> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path: PathBuf = entry.path();
        let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            found.extend(made(&path));
        } else if stem.len() == 64 && path.extension().is_some_and(|e| e == "json") {
            found.insert(stem, path.metadata().unwrap().modified().unwrap());
        }
    }
    found
}

#[test]
fn a_killed_pass_loses_no_photo_and_made_the_newest_open_jobs_first() {
    let shop = TestShop::healthy();
    let photo = sample::file(0);
    // The same picture, and other bytes behind it: each is a photo of its own.
    let put = |path: &str, n: u8| {
        let bytes = [photo.as_slice(), &[n; 9]].concat();
        let digest = Digest::of(&bytes).hex();
        shop.file(path, bytes);
        digest
    };
    put("content/showroom/turkey/half-strut/2 from the left.jpg", 1);
    let job = |folder: &str, first: u8| -> Vec<String> {
        (first..first + 4).map(|n| put(&format!("content/jobs/{folder}/2026-05-{n:02}.jpg"), n)).collect()
    };
    let older = job("26-041 Fenn gobbler", 7);
    let newer = job("26-042 Ruell hen", 12);

    let mut pass = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    let pass = pass
        .arg("--shop")
        .arg(shop.path())
        .args(["make", "--as-of", crate::builder::TODAY])
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    let mut pass = pass.spawn().unwrap();
    let hidden = shop.at(".benchlight");
    while made(&hidden).len() < 2 {
        assert!(pass.try_wait().unwrap().is_none(), "the pass ended before it could be killed");
        std::thread::sleep(Duration::from_millis(5));
    }
    // On Unix this is the signal that cannot be caught.
    pass.kill().unwrap();
    pass.wait().unwrap();

    let before = made(&hidden);
    let of = |digests: &[String]| digests.iter().filter(|d| before.contains_key(*d)).count();
    assert!(before.len() < 10, "all were made before the kill");
    // Two workers: the second may have taken one of the next job.
    assert!(of(&newer) + 1 >= before.len().min(4), "{before:?}");
    assert!(of(&older) == 0 || of(&newer) >= 3, "{before:?}");
    shop.make(0);
    let after = made(&hidden);
    assert_eq!(after.len(), 10);
    for (digest, time) in before {
        assert_eq!(after[&digest], time, "made again");
    }
}
