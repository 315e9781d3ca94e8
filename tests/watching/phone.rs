//! The phone folder: what an owner does on a phone, and what a sync makes of it, while the program watches.

use super::{Watching, page_of, pinned_shop, settles_like_a_clean_make};
use crate::builder::{PHONE_PHOTO, TestShop, tools};
use std::fs;
use std::process::Command;

const FENN: &str = "content/jobs/26-041 Fenn gobbler";
const PHOTO: &str = "content/jobs/26-041 Fenn gobbler/4 mounted/IMG_20260504_091233.jpg";

fn mv(shop: &TestShop, from: &str, to: &str) {
    let to = shop.at(to);
    fs::create_dir_all(to.parent().unwrap()).unwrap();
    fs::rename(shop.at(from), to).unwrap();
}

#[test]
fn a_photo_moves_gets_words_and_goes() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    mv(&shop, PHOTO, &format!("{FENN}/2 washed/IMG_20260504_091233.jpg"));
    let line = watching.until("26-041 Fenn gobbler: ");
    for told in ["washed, 4 May", "no longer mounted", "a photo moved to washed"] {
        assert!(line.contains(told), "{line}");
    }
    mv(
        &shop,
        &format!("{FENN}/2 washed/IMG_20260504_091233.jpg"),
        &format!("{FENN}/2 washed/clean at last.jpg"),
    );
    let line = watching.until("26-041 Fenn gobbler: ");
    assert!(line.contains("a photo now says \"clean at last\""), "{line}");
    let page = page_of(&shop, "26-041");
    watching.shows(&page, "clean at last");
    fs::remove_file(shop.at(&format!("{FENN}/2 washed/clean at last.jpg"))).unwrap();
    let line = watching.until("26-041 Fenn gobbler: ");
    assert!(line.contains("no longer washed") && line.contains("1 photo taken away"), "{line}");
    settles_like_a_clean_make(&shop, &mut watching);
    assert!(!watching.get(&page).2.contains("clean at last"));
}

#[test]
fn a_renamed_job_folder_keeps_its_address() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let page = page_of(&shop, "26-041");
    mv(&shop, FENN, "content/jobs/26-041 Fenn, the big one");
    watching.until("26-041 Fenn, the big one: renamed, it was 26-041 Fenn gobbler");
    assert_eq!(page_of(&shop, "26-041"), page);
    settles_like_a_clean_make(&shop, &mut watching);
    fs::remove_dir_all(shop.at("content/jobs/26-041 Fenn, the big one")).unwrap();
    watching.until("26-041 Fenn, the big one: gone, and its page with it");
    assert_eq!(watching.get(&page).0, 404);
    settles_like_a_clean_make(&shop, &mut watching);
}

#[test]
fn a_job_folder_copied_whole_shows_nobody_anothers_page() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let (path, before) = shop.private_page("26-041").unwrap();
    let copy = "content/jobs/26-041 Fenn gobbler (1)";
    tools::printed(Command::new("cp").args(["-r", &at(&shop, FENN), &at(&shop, copy)]));
    // The owner goes on in the copy, for another customer.
    shop.edit(&format!("{copy}/job.toml"), "Ada Fenn", "Zed Orlop");
    watching.until("has the same job number as");
    assert_eq!(shop.page(&path), before, "her page stays as it was");
    for (path, bytes) in shop.tree("public") {
        assert!(!String::from_utf8_lossy(&bytes).contains("Zed"), "{path}");
    }
    // With a number of its own it is a job of its own, at an address of its own.
    mv(&shop, copy, "content/jobs/26-050 Orlop gobbler");
    watching.until("26-050 Orlop gobbler: new");
    let theirs = page_of(&shop, "26-050");
    assert_ne!(format!("{theirs}index.html"), path);
    assert!(shop.page(&format!("{theirs}index.html")).contains("Zed O."));
    assert!(shop.page(&path).contains("Ada F.") && !shop.page(&path).contains("Zed"));
    settles_like_a_clean_make(&shop, &mut watching);
}

#[test]
fn other_names_that_phones_give_to_copies_are_no_jobs_either() {
    let shop = pinned_shop();
    let job = fs::read(shop.at(&format!("{FENN}/job.toml"))).unwrap();
    shop.file("content/jobs/Copy of 26-041 Fenn gobbler/job.toml", &job);
    shop.make(1).tells("`Copy` is no job number");
    let pages = shop.tree("public");
    let private = pages.keys().filter(|path| path.starts_with("see/") && path.ends_with("/index.html"));
    assert_eq!(private.filter(|path| *path != "see/index.html").count(), 2);
    fs::remove_dir_all(shop.at("content/jobs/Copy of 26-041 Fenn gobbler")).unwrap();
    // A second version that a sync kept is told, not read, and not removed; the job itself goes on.
    let second = "content/jobs/26-041 Fenn gobbler (Ada's conflicted copy 2026-05-04)/job.toml";
    shop.file(second, &job);
    shop.edit(&format!("{FENN}/job.toml"), "left wing", "right wing");
    shop.make(0).tells("is a second version that a sync kept");
    assert!(shop.private_page("26-041").unwrap().1.contains("right wing") && shop.at(second).exists());
}

#[test]
fn a_new_job_is_made_by_copying_a_blank_folder() {
    let folder = TestShop::empty();
    folder.run(&["open", "shop"]).exits(0);
    let blank = "shop/content/jobs/blank turkey-full";
    assert!(folder.at(blank).join("1 skinned").is_dir() && folder.at(blank).join("not shown").is_dir());
    let before = folder.run(&["--shop", "shop", "make"]).exits(0);
    assert!(!before.err().contains("blank"), "{}", before.err());
    let pages = folder.tree("shop/public");
    assert!(pages.keys().all(|path| !path.starts_with("see/") || path == "see/index.html"), "no job yet");
    for name in ["blank turkey-full (1)", "Copy of blank turkey-full", "blank turkey-full - Copy"] {
        let copy = format!("shop/content/jobs/{name}");
        tools::printed(Command::new("cp").args(["-r", &at(&folder, blank), &at(&folder, &copy)]));
        folder.run(&["--shop", "shop", "make"]).exits(0).tells("is no job yet, as it has no number");
        assert!(folder.tree("shop/public") == pages);
        fs::remove_dir_all(folder.at(&copy)).unwrap();
    }
    let job = "shop/content/jobs/26-050 Holt tom";
    tools::printed(Command::new("cp").args(["-r", &at(&folder, blank), &at(&folder, job)]));
    folder.run(&["--shop", "shop", "make"]).exits(1).tells("`taken-in`");
    folder.edit(&format!("{job}/job.toml"), "customer = \"\"", "customer = \"Ina Holt\"");
    folder.edit(&format!("{job}/job.toml"), "# taken-in = 2026-04-28", "taken-in = 2026-04-28");
    folder.file(&format!("{job}/1 skinned/PXL_20260504_160000000.jpg"), PHONE_PHOTO);
    folder.run(&["--shop", "shop", "make"]).exits(0);
    let pages = folder.tree("shop/public");
    assert!(pages.values().any(|page| String::from_utf8_lossy(page).contains("Ina H.")));
}

fn at(shop: &TestShop, path: &str) -> String {
    shop.at(path).to_str().unwrap().to_owned()
}
