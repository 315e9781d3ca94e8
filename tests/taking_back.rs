//! Taking back wins: a photo that is hidden, moved away or deleted is gone after the next pass, whatever is broken beside it;
//! and what only looks like that keeps its page.

use crate::builder::{PHONE_PHOTO, TestShop};
use crate::watching::{Watching, pinned_shop};
use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

/// Another picture than the one of the builder.
const OTHER_PHOTO: &[u8] = include_bytes!("fixtures/other.jpg");
const JOB: &str = "content/jobs/26-041 Fenn gobbler";
const PHOTO: &str = "2026-05-06 eyes set.jpg";
const UPDATING: &str = "This page is being updated";

/// Ways in which a job's file can be wrong; the last leaves a record that is read well and cannot be true.
const SLIPS: [(&str, &str); 3] = [
    ("[reached]\nskinned", "[reached]\nskinnned"),
    ("amount = 695", "amount = 6,95"),
    ("skinned = 2026-05-02", "skinned = 2026-04-02"),
];

/// Ways of taking a photo back.
const WAYS: [(&str, Option<&str>); 3] =
    [("hidden", Some("hide eyes.jpg")), ("moved", Some("not shown/eyes.jpg")), ("deleted", None)];

/// Renames or removes a photo of a job.
fn take_back(shop: &TestShop, to: Option<&str>) {
    let from = shop.at(JOB).join(PHOTO);
    match to {
        Some(to) => {
            let to = shop.at(JOB).join(to);
            fs::create_dir_all(to.parent().unwrap()).unwrap();
            fs::rename(from, to).unwrap();
        }
        None => fs::remove_file(from).unwrap(),
    }
}

fn pictures(shop: &TestShop, folder: &str) -> BTreeSet<String> {
    let pictures = |path: &String| path.ends_with(".jpg") || path.ends_with(".bin");
    shop.tree(folder).into_keys().filter(pictures).collect()
}

/// A shop whose job 26-041 shows two photos: with the path of its page, and the files that the second one gives.
fn with_two(shop: TestShop) -> (TestShop, String, BTreeSet<String>) {
    shop.make(0);
    let before = pictures(&shop, "public");
    shop.file(&format!("{JOB}/{PHOTO}"), OTHER_PHOTO).make(0);
    let path = shop.private_page("26-041").unwrap().0;
    let files: BTreeSet<String> = pictures(&shop, "public").difference(&before).cloned().collect();
    assert!(!files.is_empty());
    (shop, path, files)
}

/// The folder that files lie in.
fn page_folder(files: &BTreeSet<String>) -> &str {
    files.iter().next().unwrap().rsplit_once('/').unwrap().0
}

fn is_gone(shop: &TestShop, folder: &str, page: &str, files: &BTreeSet<String>) {
    let tree = shop.tree(folder);
    assert!(files.iter().all(|file| !tree.contains_key(file)), "{files:?}");
    let page = String::from_utf8(tree[page].clone()).unwrap();
    assert!(page.contains(UPDATING) && !page.contains("<img") && !page.contains("data:image/jpeg"), "{page}");
    let names: Vec<&str> = files.iter().filter_map(|file| file.rsplit('/').next()).collect();
    // The same picture may be shown by another piece.
    let own =
        |path: &String| !path.starts_with("see/") || path.rsplit_once('/').unwrap().0 == page_folder(files);
    for (path, bytes) in tree.into_iter().filter(|(path, _)| own(path)) {
        let text = String::from_utf8_lossy(&bytes);
        assert!(names.iter().all(|name| !text.contains(name)), "{path} names a photo that is gone");
    }
}

#[test]
fn a_photo_taken_back_goes_though_its_job_is_broken() {
    for (slip, fixed) in SLIPS.map(|(good, bad)| (bad, good)) {
        for (way, to) in WAYS {
            let (shop, path, files) = with_two(TestShop::healthy());
            shop.edit(&format!("{JOB}/job.toml"), fixed, slip);
            if way == "moved" {
                // Broken for a while already: until then its last good page stays, with both photos.
                shop.make(1).says("left as it was, until it is mended: job 26-041");
                assert!(files.is_subset(&pictures(&shop, "public")), "{slip}");
            }
            take_back(&shop, to);
            for _ in 0..2 {
                let ran = shop.make(1).tells("held-back").tells("a photo of job 26-041 was taken back");
                assert!(!ran.out().contains("left as it was"), "{}", ran.out());
                is_gone(&shop, "public", &path, &files);
            }
            // Once the job is mended its page is there again, without the photo.
            shop.edit(&format!("{JOB}/job.toml"), slip, fixed).make(0);
            let page = shop.page(&path);
            assert!(page.contains("26-041") && page.contains("<img") && !page.contains(UPDATING), "{way}");
            assert!(files.is_disjoint(&pictures(&shop, "public")), "{way}");
        }
    }
}

#[test]
fn so_it_is_with_a_record_of_an_earlier_program_or_none() {
    for forgets in [false, true] {
        let (shop, path, files) = with_two(TestShop::healthy());
        if forgets {
            fs::remove_dir_all(shop.at(".benchlight")).unwrap();
        } else {
            for (name, bytes) in shop.tree(".benchlight/written") {
                let mut record: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
                for entry in record["files"].as_object_mut().unwrap().values_mut() {
                    entry.as_object_mut().unwrap().remove("photo");
                }
                shop.file(&format!(".benchlight/written/{name}"), record.to_string());
            }
        }
        shop.edit(&format!("{JOB}/job.toml"), SLIPS[0].0, SLIPS[0].1);
        // From now on it is noted what they were made of.
        shop.make(1);
        assert!(files.is_subset(&pictures(&shop, "public")));
        assert!(
            shop.tree(".benchlight/written")
                .values()
                .all(|r| String::from_utf8_lossy(r).contains("\"photo\""))
        );
        take_back(&shop, Some("hide eyes.jpg"));
        shop.make(1).tells("held-back");
        is_gone(&shop, "public", &path, &files);
    }
}

#[test]
fn a_job_without_its_file_is_looked_through_all_the_same() {
    let (shop, path, files) = with_two(TestShop::healthy());
    // What is not there says nothing of its link either: the page stays by its number.
    fs::remove_file(shop.at(JOB).join("job.toml")).unwrap();
    shop.make(1);
    assert!(files.is_subset(&pictures(&shop, "public")));
    take_back(&shop, None);
    shop.make(1).tells("held-back");
    is_gone(&shop, "public", &path, &files);
}

#[test]
fn what_only_moved_or_cannot_be_read_is_not_taken_back() {
    let (shop, path, files) = with_two(TestShop::healthy());
    let page = shop.page(&path);
    shop.edit(&format!("{JOB}/job.toml"), SLIPS[0].0, SLIPS[0].1).make(1);
    let stays = |why: &str| {
        let ran = shop.make(1);
        assert!(!ran.err().contains("held-back"), "{why}: {}", ran.err());
        assert_eq!(shop.page(&path), page, "{why}");
        assert!(files.is_subset(&pictures(&shop, "public")), "{why}");
    };
    take_back(&shop, Some("5 dried/eyes.jpg"));
    stays("in a step's folder");
    fs::rename(shop.at(JOB).join("5 dried/eyes.jpg"), shop.at(JOB).join(PHOTO)).unwrap();
    stays("under its own name again");
    // The sync keeps the photo elsewhere: nothing says that it is not wanted.
    fs::remove_file(shop.at(JOB).join(PHOTO)).unwrap();
    shop.file(&format!("{JOB}/.{PHOTO}.icloud"), "elsewhere");
    stays("kept elsewhere");
    fs::remove_file(shop.at(JOB).join(format!(".{PHOTO}.icloud"))).unwrap();
    shop.file(&format!("{JOB}/{PHOTO}"), &OTHER_PHOTO[..0]);
    stays("empty");
    // But another photo of the same job goes at once.
    fs::remove_dir_all(shop.at(JOB).join("4 mounted")).unwrap();
    shop.make(1).tells("held-back");
    assert!(shop.page(&path).contains(UPDATING));
}

#[test]
fn a_photo_of_two_jobs_goes_where_it_was_taken_back() {
    let (shop, path, files) = with_two(TestShop::healthy());
    shop.file("content/jobs/26-042 Ruell hen/2026-05-07 eyes.jpg", OTHER_PHOTO).make(0);
    let other = shop.private_page("26-042").unwrap().0;
    shop.edit(&format!("{JOB}/job.toml"), SLIPS[0].0, SLIPS[0].1);
    take_back(&shop, None);
    shop.make(1).tells("held-back");
    let tree = shop.tree("public");
    assert!(files.iter().all(|file| !tree.contains_key(file)));
    assert!(shop.page(&path).contains(UPDATING) && shop.page(&other).contains("<img"));
    let name = files.iter().next().unwrap().rsplit('/').next().unwrap();
    assert!(tree.contains_key(&other.replace("index.html", name)));
}

#[test]
fn a_sealed_page_is_held_back_here_and_at_the_host() {
    let shop = TestShop::healthy();
    shop.edit(&format!("{JOB}/job.toml"), "customer", "sealed = true\ncustomer");
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    shop.file(
        "content/shop.toml",
        format!("{text}\n[post]\nto = \"folder\"\nfolder = \"../{}\"\n", place(&shop)),
    );
    shop.file(&format!("{JOB}/{PHOTO}"), OTHER_PHOTO).make(0);
    shop.run(&["post"]).exits(0);
    let sealed: BTreeSet<String> =
        pictures(&shop, "public").into_iter().filter(|p| p.ends_with(".bin")).collect();
    // The page, the calendar and two photos.
    assert!(sealed.len() >= 4, "{sealed:?}");
    let folder = sealed.iter().next().unwrap().rsplit_once('/').unwrap().0.to_owned();
    shop.edit(&format!("{JOB}/job.toml"), SLIPS[0].0, SLIPS[0].1).make(1);
    assert!(sealed.is_subset(&pictures(&shop, "public")));
    take_back(&shop, Some("hide eyes.jpg"));
    shop.make(1).tells("held-back");
    is_gone(&shop, "public", &format!("{folder}/index.html"), &sealed);
    shop.run(&["post"]).exits(0);
    let host = shop.path().parent().unwrap().join(place(&shop));
    assert!(crate::builder::tree(&host) == shop.tree("public"));
    shop.edit(&format!("{JOB}/job.toml"), SLIPS[0].1, SLIPS[0].0).make(0);
    assert!(!shop.page(&format!("{folder}/index.html")).contains(UPDATING));
    fs::remove_dir_all(host).unwrap();
}

/// A folder beside the shop's.
fn place(shop: &TestShop) -> String {
    format!("{}-site", shop.path().file_name().unwrap().to_string_lossy())
}

#[test]
fn so_it_is_with_poses_and_pages() {
    let shop = TestShop::healthy();
    shop.file("content/pages/bench.jpg", OTHER_PHOTO);
    shop.edit("content/pages/prices.md", "A gobbler", "![](bench.jpg)\n\nA gobbler").make(0);
    let (pose, page) = ("showroom/turkey/half-strut/index.html", "prices/index.html");
    let of = |page: &str| -> BTreeSet<String> {
        let folder = page.trim_end_matches("index.html");
        pictures(&shop, "public").into_iter().filter(|path| path.starts_with(folder)).collect()
    };
    let (pose_files, page_files) = (of(pose), of(page));
    assert!(!pose_files.is_empty() && !page_files.is_empty());
    shop.edit("content/showroom/turkey/half-strut/pose.toml", "name", "naem");
    shop.edit("content/pages/prices.md", "# Prices", "Prices");
    shop.make(1);
    assert!(of(pose) == pose_files && of(page) == page_files);
    fs::rename(
        shop.at("content/showroom/turkey/half-strut/1 front.jpg"),
        shop.at("content/showroom/turkey/half-strut/hide front.jpg"),
    )
    .unwrap();
    fs::remove_file(shop.at("content/pages/bench.jpg")).unwrap();
    shop.make(1).tells("a photo of pose turkey/half-strut was taken back").tells("a photo of page prices");
    is_gone(&shop, "public", pose, &pose_files);
    is_gone(&shop, "public", page, &page_files);
}

#[test]
fn of_two_folders_with_one_number_the_one_that_hides_it_wins() {
    let (shop, path, files) = with_two(TestShop::healthy());
    let twin = "content/jobs/26-041 Fenn gobbler copy";
    for (name, bytes) in shop.tree(JOB) {
        shop.file(&format!("{twin}/{name}"), bytes);
    }
    shop.make(1).tells("same-number");
    assert!(files.is_subset(&pictures(&shop, "public")));
    take_back(&shop, Some("hide eyes.jpg"));
    shop.make(1).tells("held-back");
    is_gone(&shop, "public", &path, &files);
}

#[test]
fn it_waits_for_no_room_on_the_disk() {
    let (shop, path, files) = with_two(TestShop::healthy());
    shop.edit(&format!("{JOB}/job.toml"), SLIPS[0].0, SLIPS[0].1).make(1);
    take_back(&shop, Some("hide eyes.jpg"));
    // A style sheet that is longer than a file may grow (in blocks of 1,024 bytes).
    shop.file("themes/hangtag/look.css", format!("body {{ color: red }}{}", " ".repeat(40_000)));
    let script = format!(
        "trap '' XFSZ; ulimit -f 24; exec {} make --as-of {}",
        env!("CARGO_BIN_EXE_benchlight"),
        crate::builder::TODAY
    );
    let output = Command::new("bash").args(["-c", &script]).current_dir(shop.path()).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let tree = shop.tree("public");
    assert!(files.iter().all(|file| !tree.contains_key(file)) && !tree.contains_key(&path));
    shop.make(1).tells("held-back");
    is_gone(&shop, "public", &path, &files);
}

#[test]
fn watch_takes_it_back_as_well() {
    let (shop, path, files) = with_two(pinned_shop());
    shop.edit(&format!("{JOB}/job.toml"), SLIPS[0].0, SLIPS[0].1).make(1);
    let mut watching = Watching::on(&shop);
    let page = path.trim_end_matches("index.html");
    assert!(watching.get(page).2.contains("<img"));
    take_back(&shop, Some("hide eyes.jpg"));
    watching.shows(page, UPDATING);
    watching.has_said("was taken back");
    for file in &files {
        assert_eq!(watching.get(file).0, 404, "{file}");
    }
    assert_eq!(watching.end().0, Some(0));
}

#[test]
fn the_builders_photos_are_two_pictures() {
    assert_ne!(PHONE_PHOTO, OTHER_PHOTO);
}
