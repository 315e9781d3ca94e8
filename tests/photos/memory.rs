//! How much memory the largest photos take, in a process of their own.

use super::{files, oracle};
use crate::builder::tools;
use benchlight::model::Picture;
use benchlight::photo;
use std::path::Path;
use std::process::Command;

/// Set for the process that is measured: the folder of the photos.
const FOLDER: &str = "BENCHLIGHT_TEST_LARGE_PHOTOS";
/// In kilobytes.
const MOST: u64 = 200_000;

#[test]
fn the_largest_photos_stay_within_200_megabytes() {
    if let Some(folder) = std::env::var_os(FOLDER) {
        return develop(Path::new(&folder));
    }
    let folder = tempfile::tempdir().unwrap();
    oracle("make", "large", folder.path());
    let this = "photos::memory::the_largest_photos_stay_within_200_megabytes";
    let mut child = Command::new(std::env::current_exe().unwrap());
    let told = tools::printed(child.args(["--exact", this, "--nocapture"]).env(FOLDER, folder.path()));
    let peak =
        told.lines().find_map(|line| line.strip_prefix("peak kB: ")).unwrap_or_else(|| panic!("{told}"));
    let peak: u64 = peak.parse().unwrap();
    assert!((10_000..MOST).contains(&peak), "{peak} kB");
}

fn develop(folder: &Path) {
    let pictures = files(folder).into_iter().map(|path| {
        let look = photo::look(&path).unwrap_or_else(|fault| panic!("{}: {fault:?}", path.display()));
        Picture { digest: look.digest, file: path.display().to_string(), path }
    });
    let pictures: Vec<Picture> = pictures.collect();
    // What the test program itself takes is not the photos'.
    let own = kilobytes("VmRSS:");
    let (album, faults) = photo::develop(&pictures, &folder.join("cache"), &|_, _| ());
    assert!(faults.is_empty() && album.len() == pictures.len(), "{faults:?}");
    println!("\npeak kB: {}", kilobytes("VmHWM:").saturating_sub(own));
}

/// A figure of this process: what it holds, or the most that it ever held (proc(5)).
fn kilobytes(name: &str) -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix(name)).unwrap();
    line.trim().trim_end_matches(" kB").parse().unwrap()
}
