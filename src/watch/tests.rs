//! The watch itself, on real folders, with generous patience and no clock in any claim.

use super::*;
use crate::base::files::{create_new, replace};
use std::fs;

fn shop() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    create_new(&folder.path().join("content/jobs/1 a/job.toml"), b"a").unwrap();
    create_new(&folder.path().join("public/index.html"), b"a").unwrap();
    folder
}

/// The next stir; panics where nothing comes for long.
fn next(watch: &mut Watch) -> Stir {
    let begun = Instant::now();
    let stir = watch.next(&|| begun.elapsed() > Duration::from_secs(20));
    assert_ne!(stir, Stir::Due, "nothing was noticed");
    stir
}

/// Whether nothing stirs for a while.
fn is_calm(watch: &mut Watch, seconds: u64) -> bool {
    let begun = Instant::now();
    watch.next(&|| begun.elapsed() > Duration::from_secs(seconds)) == Stir::Due
}

fn both_ways(scene: impl Fn(&Path, &mut Watch)) {
    for poll in [false, true] {
        let shop = shop();
        let mut watch = Watch::begin(shop.path(), poll);
        scene(shop.path(), &mut watch);
    }
}

#[test]
fn saves_new_files_removals_and_renames_stir() {
    both_ways(|shop, watch| {
        replace(&shop.join("content/jobs/1 a/job.toml"), b"bb").unwrap();
        assert_eq!(next(watch), Stir::Changed);
        create_new(&shop.join("content/jobs/2 b/4 mounted/x.jpg"), b"x").unwrap();
        assert_eq!(next(watch), Stir::Changed);
        // In a folder that came while it was watching.
        create_new(&shop.join("content/jobs/2 b/4 mounted/y.jpg"), b"x").unwrap();
        assert_eq!(next(watch), Stir::Changed);
        fs::rename(shop.join("content/jobs/2 b"), shop.join("content/jobs/3 c")).unwrap();
        assert_eq!(next(watch), Stir::Changed);
        fs::remove_dir_all(shop.join("content/jobs/3 c")).unwrap();
        assert_eq!(next(watch), Stir::Changed);
        create_new(&shop.join("themes/hangtag/look.css"), b"x").unwrap();
        assert_eq!(next(watch), Stir::Changed);
    });
}

#[test]
fn our_own_output_and_what_is_hidden_do_not() {
    both_ways(|shop, watch| {
        create_new(&shop.join("public/see/x/index.html"), b"x").unwrap();
        replace(&shop.join("public/index.html"), b"x").unwrap();
        create_new(&shop.join(".benchlight/written/a.json"), b"x").unwrap();
        create_new(&shop.join("content/jobs/1 a/.job.toml.swp"), b"x").unwrap();
        create_new(&shop.join("content/.sync/x"), b"x").unwrap();
        // Reading is no change.
        fs::read(shop.join("content/jobs/1 a/job.toml")).unwrap();
        assert!(is_calm(watch, 3));
    });
}

#[test]
fn a_folder_that_goes_away_and_comes_back_is_watched_again() {
    both_ways(|shop, watch| {
        fs::rename(shop.join("content"), shop.join("elsewhere")).unwrap();
        assert_eq!(next(watch), Stir::Changed);
        fs::rename(shop.join("elsewhere"), shop.join("content")).unwrap();
        assert_eq!(next(watch), Stir::Changed);
        replace(&shop.join("content/jobs/1 a/job.toml"), b"ccc").unwrap();
        assert_eq!(next(watch), Stir::Changed);
        // Gone altogether and laid out anew, perhaps as the same node.
        fs::remove_dir_all(shop.join("content")).unwrap();
        assert_eq!(next(watch), Stir::Changed);
        create_new(&shop.join("content/jobs/1 a/job.toml"), b"a").unwrap();
        assert_eq!(next(watch), Stir::Changed);
        replace(&shop.join("content/jobs/1 a/job.toml"), b"dddd").unwrap();
        assert_eq!(next(watch), Stir::Changed);
    });
}

#[test]
fn changes_that_no_event_tells_of_are_found_and_it_is_said_so() {
    let shop = shop();
    let mut watch = Watch::begin(shop.path(), false);
    // Eyes that see another folder stand for a network that tells nothing.
    let elsewhere = tempfile::tempdir().unwrap();
    watch.eyes = Some(Eyes::open(&WatchedFolders::of(elsewhere.path()), |_| {}).unwrap());
    replace(&shop.path().join("content/jobs/1 a/job.toml"), b"bb").unwrap();
    assert_eq!(next(&mut watch), Stir::Blind(Trouble::Silent));
    assert_eq!(next(&mut watch), Stir::Changed);
    replace(&shop.path().join("content/jobs/1 a/job.toml"), b"ccc").unwrap();
    assert_eq!(next(&mut watch), Stir::Changed);
}

#[test]
fn events_that_come_are_trusted() {
    let shop = shop();
    let mut watch = Watch::begin(shop.path(), false);
    for round in 0..4 {
        replace(&shop.path().join("content/jobs/1 a/job.toml"), format!("round {round}").as_bytes()).unwrap();
        assert_eq!(next(&mut watch), Stir::Changed);
        // Long enough for looks at everything to fall in between.
        let begun = Instant::now();
        while begun.elapsed() < Duration::from_millis(1500) {
            assert!(is_calm(&mut watch, 1));
        }
    }
}

#[test]
fn more_than_can_be_told_is_found_by_looking() {
    let shop = shop();
    let mut watch = Watch::begin(shop.path(), false);
    // Nothing changed: no pass, so that our own reading can never set off one after the other.
    watch.sender.send(Word::Heard(Heard::TooMuch)).unwrap();
    assert!(is_calm(&mut watch, 2));
}

#[test]
fn it_ends_when_asked_and_not_before_the_caller_asks() {
    let shop = shop();
    let mut watch = Watch::begin(shop.path(), false);
    let ender = watch.ender();
    std::thread::spawn(move || ender.end());
    assert_eq!(next(&mut watch), Stir::End);
    assert_eq!(next(&mut watch), Stir::End);
}
