//! Files that are on their way: waited for and not told as broken, while the page stays as it was; told when they
//! stay broken; names of sync programs, phones and editors that are never content.

use super::{Watching, page_of, pinned_shop, settles_like_a_clean_make};
use crate::builder::{PHONE_PHOTO, TestShop};
use std::fs;
use std::io::Write;
use std::thread::sleep;
use std::time::Duration;

const PHOTO: &str = "content/jobs/26-041 Fenn gobbler/4 mounted/IMG_20260504_091233.jpg";
const FENN: &str = "content/jobs/26-041 Fenn gobbler/job.toml";

#[test]
fn a_photo_that_is_cut_in_the_middle_is_waited_for_and_shown_when_it_is_whole() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let page = page_of(&shop, "26-041");
    let before = watching.get(&page).2;
    let new = "content/jobs/26-041 Fenn gobbler/2 washed/PXL_20260504_160000000.jpg";
    shop.file(new, &PHONE_PHOTO[..PHONE_PHOTO.len() / 2]);
    watching.until("waiting for content/jobs/26-041 Fenn gobbler/2 washed/PXL_20260504_160000000.jpg");
    assert_eq!(watching.get(&page).2, before, "the page stays as it was");
    shop.file(new, PHONE_PHOTO);
    let line = watching.until("26-041 Fenn gobbler: ");
    assert!(line.contains("washed, 4 May"), "{line}");
    settles_like_a_clean_make(&shop, &mut watching);
    assert!(!watching.all_said().contains("mend:"), "{}", watching.all_said());
}

#[test]
fn a_photo_that_is_written_anew_in_place_never_leaves_its_page() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let page = page_of(&shop, "26-041");
    let before = watching.get(&page).2;
    let mut file = fs::File::create(shop.at(PHOTO)).unwrap();
    for piece in PHONE_PHOTO.chunks(PHONE_PHOTO.len() / 6 + 1) {
        // Nothing at first, and then more and more of it, with pauses in which a pass begins.
        sleep(Duration::from_millis(400));
        assert_eq!(watching.get(&page).2, before, "{}", watching.all_said());
        file.write_all(piece).unwrap();
    }
    drop(file);
    settles_like_a_clean_make(&shop, &mut watching);
    let said = watching.all_said();
    assert!(said.contains("waiting for") && !said.contains("mend:") && !said.contains("no longer"), "{said}");
}

#[test]
fn what_stays_broken_is_told_and_healed_later() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let page = page_of(&shop, "26-042");
    // Nothing in it, as a sync lays out a file before it fills it.
    let new = "content/jobs/26-042 Ruell hen/PXL_20260510_160000000.jpg";
    shop.file(new, "");
    watching.until("waiting for");
    shop.edit("content/jobs/26-042 Ruell hen/job.toml", "650", "651");
    watching.until("has nothing in it");
    // Now it is told, and the rest of the page goes on without it.
    watching.shows(&page, "651");
    settles_like_a_clean_make(&shop, &mut watching);
    fs::remove_file(shop.at(new)).unwrap();
    watching.until("Mended; nothing else needs it.");
}

#[test]
fn a_text_that_ends_in_the_middle_of_a_line_is_waited_for() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let whole = fs::read_to_string(shop.at(FENN)).unwrap();
    let cut = whole.find("05-02").unwrap();
    for part in ["", &whole[..30], &whole[..cut + 3]] {
        shop.file(FENN, part);
        sleep(Duration::from_millis(500));
    }
    watching.until("waiting for content/jobs/26-041 Fenn gobbler/job.toml");
    shop.file(FENN, whole.replace("left wing", "right wing"));
    let page = page_of(&shop, "26-041");
    watching.shows(&page, "right wing");
    assert!(!watching.all_said().contains("mend:"), "{}", watching.all_said());
    // A mistake in a text that has its end is told at once, and not waited for.
    shop.file(FENN, whole.replace("skinned =", "skinnned ="));
    watching.until("did you mean `skinned`?");
    assert!(!watching.all_said().contains("skinnned` is waited"));
}

#[test]
fn names_of_files_on_their_way_are_no_content() {
    let shop = TestShop::healthy();
    shop.make(0);
    let before = shop.tree("public");
    let folder = "content/jobs/26-041 Fenn gobbler/4 mounted";
    for name in [
        ".IMG_20260504_091233.jpg.Ab3dE9",
        "IMG_20260504_091233.jpg.Ab3dE9",
        ".pending-1777900000-IMG_20260504_101233.jpg",
        ".trashed-1777900000-IMG_20260504_101233.jpg",
        "IMG_20260504_101233.jpg.part",
        "IMG_20260504_101233.jpg.crdownload",
        "IMG_20260504_101233.jpg.tmp",
        "IMG_20260504_101233.JPG.TMP",
        "~IMG_20260504_101233.jpg",
        "Thumbs.db",
        ".nomedia",
        "../job.toml~",
        "../.job.toml.swp",
        "../#job.toml#",
        "../~$job.toml",
        "../job.toml.lock",
        "../../.sync/state",
    ] {
        shop.file(&format!("{folder}/{name}"), &PHONE_PHOTO[..PHONE_PHOTO.len() / 3]);
        shop.make(0).tells_nothing();
        assert!(shop.tree("public") == before, "{name}");
    }
}

#[test]
fn a_file_that_is_only_in_the_cloud_leaves_the_page_as_it_was() {
    let shop = TestShop::healthy();
    shop.make(0);
    // Its own page and photos; lists leave out what cannot be read.
    let before = shop.tree("public/see");
    for (file, placeholder) in [
        (PHOTO, "content/jobs/26-041 Fenn gobbler/4 mounted/.IMG_20260504_091233.jpg.icloud"),
        (PHOTO, "content/jobs/26-041 Fenn gobbler/4 mounted/IMG_20260504_091233.jpg.cloud"),
        (FENN, "content/jobs/26-041 Fenn gobbler/.job.toml.icloud"),
    ] {
        let bytes = fs::read(shop.at(file)).unwrap();
        fs::rename(shop.at(file), shop.at(placeholder)).unwrap();
        shop.file(placeholder, "bplist00");
        shop.make(1).tells("is kept in the cloud and not on this computer");
        assert!(shop.tree("public/see") == before, "{placeholder}");
        fs::remove_file(shop.at(placeholder)).unwrap();
        shop.file(file, bytes);
        shop.make(0);
    }
}

#[test]
fn second_versions_are_told_never_published_and_never_removed() {
    let shop = TestShop::healthy();
    shop.make(0);
    let before = shop.tree("public");
    for name in [
        "4 mounted/IMG_20260504_091233 (conflicted copy).jpg",
        "4 mounted/IMG_20260504_091233.sync-conflict-20260505-101010-ABCDEFG.jpg",
        "job (Ada's conflicted copy 2026-05-04).toml",
        "job.sync-conflict-20260504-091233-ABCDEFG.toml",
        "job (Case Conflict).toml",
        "4 mounted (Selective Sync Conflict)/x.jpg",
    ] {
        let path = format!("content/jobs/26-041 Fenn gobbler/{name}");
        shop.file(&path, PHONE_PHOTO);
        shop.make(0).tells("is a second version that a sync kept");
        assert!(shop.tree("public") == before && shop.at(&path).exists(), "{name}");
        fs::remove_file(shop.at(&path)).unwrap();
        let folder = shop.at(&path).parent().unwrap().to_owned();
        let _ = fs::remove_dir(folder);
    }
}
