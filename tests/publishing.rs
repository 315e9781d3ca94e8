//! What a pass leaves in the output folder: whole, only ours, only what changed, nothing retired.

use crate::builder::{PHONE_PHOTO, TestShop};
use std::fs;
use std::time::{Duration, SystemTime};

#[test]
fn two_passes_on_the_same_day_give_the_same_bytes() {
    let (one, two) = (TestShop::healthy(), TestShop::healthy());
    one.make(0);
    // File times must not matter, nor the folder, nor how often it was made.
    for path in ["content/jobs/26-041 Fenn gobbler/job.toml", "content/pages/prices.md"] {
        let long_ago = SystemTime::UNIX_EPOCH + Duration::from_secs(1_000_000_000);
        fs::File::options().write(true).open(two.at(path)).unwrap().set_modified(long_ago).unwrap();
    }
    two.make(0);
    two.make(0);
    let tree = one.tree("public");
    assert!(tree.len() > 8, "{:?}", tree.keys());
    assert!(tree == two.tree("public"));
}

#[test]
fn a_second_pass_writes_nothing() {
    let shop = TestShop::healthy();
    shop.make(0);
    let times = |shop: &TestShop| -> Vec<(String, SystemTime)> {
        let all = shop.tree("public").into_keys();
        all.map(|p| (p.clone(), fs::metadata(shop.at("public").join(&p)).unwrap().modified().unwrap()))
            .collect()
    };
    let before = times(&shop);
    shop.make(0).says("0 new, 0 changed, 0 gone");
    assert_eq!(before, times(&shop));
}

#[test]
fn a_changed_note_changes_that_page_alone() {
    let shop = TestShop::healthy();
    shop.make(0);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "left wing", "right wing");
    shop.make(0).says("0 new, 1 changed, 0 gone").says("changed: job 26-041 (1 file)");
    assert!(shop.private_page("26-041").unwrap().1.contains("right wing"));
}

#[test]
fn raising_link_retires_the_old_private_folder_with_its_photos() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (old, _) = shop.private_page("26-041").unwrap();
    let old_folder = old.trim_end_matches("index.html").to_owned();
    assert!(
        shop.tree("public").keys().any(|p| p.starts_with(&old_folder) && p.ends_with(".jpg")),
        "photos before"
    );
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "[reached]", "link = 2\n\n[reached]");
    shop.make(0);
    let (new, _) = shop.private_page("26-041").unwrap();
    assert_ne!(old, new);
    assert!(!shop.at("public").join(&old_folder).exists(), "{old_folder} is gone");
}

#[test]
fn a_broken_job_keeps_its_last_good_page_and_the_others_move_on() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (broken, before) = shop.private_page("26-041").unwrap();
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "[reached]\nskinned", "[reached]\nskinnned");
    shop.edit("content/jobs/26-042 Ruell hen/job.toml", "650", "651");
    shop.make(1)
        .tells("content/jobs/26-041 Fenn gobbler/job.toml:12:1")
        .tells("`skinnned`")
        .tells("did you mean `skinned`?")
        .says("left as it was, until it is mended: job 26-041");
    assert_eq!(shop.page(&broken), before);
    assert!(shop.private_page("26-042").unwrap().1.contains("651"));
    // Its photos and the style sheet that it was made with stay as well.
    for local in before.split("src=\"").skip(1).filter_map(|rest| rest.split('"').next()) {
        let file = shop.at("public").join(broken.trim_end_matches("index.html")).join(local);
        assert!(local.starts_with("data:") || file.exists(), "{local} of the kept page");
    }
    // And once it is mended the page goes on.
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "skinnned", "skinned");
    shop.make(0);
}

#[test]
fn a_broken_shop_file_stops_the_pass_and_touches_nothing() {
    let shop = TestShop::healthy();
    shop.make(0);
    let before = shop.tree("public");
    shop.edit("content/shop.toml", "currency = \"USD\"", "currency = \"USX\"");
    shop.edit("content/pages/prices.md", "695", "700");
    shop.make(2).tells("content/shop.toml:").tells("Nothing was changed");
    assert!(before == shop.tree("public"));
}

#[test]
fn a_broken_template_keeps_the_old_site() {
    let shop = TestShop::healthy();
    shop.make(0);
    let before = shop.tree("public");
    let theme = shop.tree("public").len();
    assert!(theme > 0);
    shop.file("themes/hangtag/front.html", "{% if %}");
    shop.make(2).tells("themes/hangtag/front.html:1");
    assert!(before == shop.tree("public"));
}

#[test]
fn what_others_put_there_is_never_touched() {
    let shop = TestShop::healthy();
    shop.file("public/.gitignore", "*\n")
        .file("public/letter.pdf", "a letter")
        .file("public/see/keep.txt", "mine");
    shop.make(0);
    shop.edit("content/shop.toml", "menu  = [\"prices\"]", "menu  = []");
    fs::remove_file(shop.at("content/pages/prices.md")).unwrap();
    shop.make(0);
    assert!(!shop.at("public/prices").exists());
    let tree = shop.tree("public");
    assert_eq!(tree["letter.pdf"], b"a letter");
    assert_eq!(tree["see/keep.txt"], b"mine");
    assert_eq!(tree[".gitignore"], b"*\n");
}

#[test]
fn a_strangers_file_in_the_way_stops_the_pass_before_anything_is_written() {
    let shop = TestShop::healthy();
    shop.file("public/prices/index.html", "<p>somebody else's prices</p>");
    shop.make(2).tells("`prices/index.html`").tells("not written by Benchlight");
    assert_eq!(shop.tree("public").len(), 1);
}

#[cfg(unix)]
#[test]
fn links_in_the_output_are_not_written_through() {
    let shop = TestShop::healthy();
    shop.file("elsewhere/index.html", "<p>mine</p>");
    fs::create_dir_all(shop.at("public")).unwrap();
    std::os::unix::fs::symlink(shop.at("elsewhere/index.html"), shop.at("public/index.html")).unwrap();
    shop.make(2).tells("a link is there");
    assert_eq!(shop.tree("elsewhere")["index.html"], b"<p>mine</p>");
    fs::remove_file(shop.at("public/index.html")).unwrap();
    std::os::unix::fs::symlink(shop.at("elsewhere"), shop.at("public/prices")).unwrap();
    shop.make(2).tells("a link is there");
    assert_eq!(shop.tree("elsewhere").len(), 1);
}

#[test]
fn a_lost_record_is_put_together_from_the_marks() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (old, _) = shop.private_page("26-041").unwrap();
    let clean = shop.tree("public");
    fs::remove_dir_all(shop.at(".benchlight")).unwrap();
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "[reached]", "link = 2\n\n[reached]");
    shop.file("public/mine.html", "<p>mine</p>");
    shop.make(0);
    assert!(!shop.at("public").join(&old).exists(), "the retired page is known by its mark");
    assert!(shop.at("public/mine.html").exists());
    assert_eq!(shop.tree("public").len(), clean.len() + 1);
}

#[test]
fn a_new_key_retires_every_page_even_of_a_broken_job() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (old, _) = shop.private_page("26-041").unwrap();
    shop.key(9);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "695", "6,95");
    shop.make(1);
    assert!(!shop.at("public").join(old).exists());
}

#[test]
fn a_hand_edited_or_deleted_page_is_healed() {
    let shop = TestShop::healthy();
    shop.make(0);
    let before = shop.tree("public");
    shop.file("public/index.html", "scribble");
    fs::remove_file(shop.at("public/prices/index.html")).unwrap();
    let photo = before.keys().find(|p| p.ends_with(".jpg")).unwrap().clone();
    shop.file(&format!("public/{photo}"), &PHONE_PHOTO[..100]);
    shop.make(0);
    assert!(before == shop.tree("public"));
}

#[test]
fn a_pass_that_was_cut_short_is_finished_by_the_next() {
    let shop = TestShop::healthy();
    shop.make(0);
    let whole = shop.tree("public");
    // What a killed pass leaves: an unclean record and a draft.
    let records = shop.tree(".benchlight/written");
    assert_eq!(records.len(), 1);
    for (name, bytes) in records {
        let text = String::from_utf8(bytes).unwrap().replace("\"clean\":true", "\"clean\":false");
        shop.file(&format!(".benchlight/written/{name}"), text);
    }
    shop.file("public/.index.html.benchlight-draft", "half a pa");
    fs::remove_file(shop.at("public/index.html")).unwrap();
    shop.make(0);
    assert!(whole == shop.tree("public"));
}

#[test]
fn the_output_may_not_hold_the_content_nor_lie_in_it() {
    let shop = TestShop::healthy();
    for out in [".", "content", "content/site"] {
        shop.run(&["make", "--out", out]).exits(2).tells("are inside each other");
    }
    shop.run(&["make", "--as-of", "2026-05-20", "--out", "else where"]).exits(0);
    assert!(shop.at("else where/index.html").exists() && !shop.at("public").exists());
}

#[test]
fn a_second_pass_waits_for_the_first() {
    let shop = TestShop::healthy();
    shop.make(0);
    let lock = fs::File::options().write(true).open(shop.at(".benchlight/lock")).unwrap();
    lock.lock().unwrap();
    std::thread::scope(|scope| {
        let waiting = scope.spawn(|| shop.make(0));
        std::thread::sleep(Duration::from_millis(400));
        assert!(!waiting.is_finished(), "it does not go on while another is at work");
        lock.unlock().unwrap();
        waiting.join().unwrap().tells("waiting for it");
    });
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let shop = TestShop::healthy();
    fs::create_dir(shop.at("public")).unwrap();
    // Root may write anywhere, so the folder is made impossible instead of forbidden there.
    fs::set_permissions(shop.at("public"), fs::Permissions::from_mode(0o555)).unwrap();
    let forbidden = fs::File::create(shop.at("public/probe")).is_err();
    if !forbidden {
        fs::remove_dir_all(shop.at("public")).unwrap();
        shop.file("public", "a file, not a folder");
    }
    shop.make(2).tells("could not");
    fs::set_permissions(shop.at("public"), fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn taking_an_address_back_wins_over_keeping_the_last_good_page() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (old, _) = shop.private_page("26-041").unwrap();
    let job = "content/jobs/26-041 Fenn gobbler/job.toml";
    // The owner retires the address and makes a slip in the same edit.
    shop.edit(job, "[reached]", "link = 2\nlinc = 3\n\n[reached]");
    shop.make(1);
    assert!(!shop.at("public").join(&old).exists(), "the old address is retired");
    // So it is when the file is not even well-formed, and when the record is gone.
    shop.edit(job, "linc = 3\n", "").make(0);
    let (second, _) = shop.private_page("26-041").unwrap();
    shop.edit(job, "link = 2", "link = 3\n= nonsense");
    fs::remove_dir_all(shop.at(".benchlight")).unwrap();
    shop.make(1);
    assert!(!shop.at("public").join(second).exists());
}

#[test]
fn a_lost_record_keeps_the_page_of_a_broken_job_at_its_present_address() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (path, before) = shop.private_page("26-041").unwrap();
    fs::remove_dir_all(shop.at(".benchlight")).unwrap();
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "695", "6,95");
    shop.make(1).tells("record-missing");
    assert_eq!(shop.page(&path), before);
}

#[test]
fn a_draft_whose_page_is_gone_does_not_outlive_the_record() {
    let shop = TestShop::healthy();
    shop.make(0);
    // Cut short while it drafted a page, which was taken out of the shop before the next pass; the record is lost.
    let draft = "public/a-page-of-before/.index.html.benchlight-draft";
    shop.file(draft, "half a page");
    shop.file("public/holiday/theirs.txt", "not ours");
    fs::remove_dir_all(shop.at(".benchlight")).unwrap();
    shop.make(0).tells("record-missing");
    assert!(!shop.at(draft).exists() && !shop.at("public/a-page-of-before").exists());
    assert!(shop.at("public/holiday/theirs.txt").exists());
}

#[test]
fn the_closing_page_of_a_broken_job_ends_on_its_day() {
    let shop = TestShop::healthy();
    let job = "content/jobs/26-041 Fenn gobbler/job.toml";
    shop.edit(job, "skinned = 2026-05-02", "skinned = 2026-05-02\ncollected = 2026-05-18");
    shop.make(0);
    let (path, _) = shop.private_page("26-041").unwrap();
    shop.edit(job, "695", "6,95");
    shop.run(&["make", "--as-of", "2026-08-16"]).exits(1);
    assert!(shop.at("public").join(&path).exists(), "90 days after 18 May");
    shop.run(&["make", "--as-of", "2026-08-17"]).exits(1);
    assert!(!shop.at("public").join(&path).exists());
}

#[test]
fn a_strangers_file_laid_over_ours_is_not_removed() {
    let shop = TestShop::healthy();
    shop.make(0);
    shop.file("public/prices/index.html", "MINE");
    shop.edit("content/shop.toml", "menu  = [\"prices\"]", "menu  = []");
    fs::remove_file(shop.at("content/pages/prices.md")).unwrap();
    shop.make(0).tells("not-ours");
    assert_eq!(shop.page("prices/index.html"), "MINE");
    // A folder in its place is left alone as well, now and later.
    fs::remove_file(shop.at("public/prices/index.html")).unwrap();
    shop.file("public/prices/index.html/mine.txt", "MINE");
    shop.make(0);
    shop.make(0).tells_nothing();
}

#[test]
fn an_edited_private_page_does_not_outlive_its_address() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (path, page) = shop.private_page("26-041").unwrap();
    // Its job needs mending, so the page that somebody edited stays as it is; under another key it goes.
    shop.file(&format!("public/{path}"), page.replace("<p>", "<p>edited "));
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "695", "6,95").make(1);
    assert!(shop.page(&path).contains("edited"));
    shop.key(9).make(1);
    assert!(!shop.at("public").join(&path).exists());
}

#[test]
fn a_page_of_the_owners_own_making_is_known_again_without_a_record() {
    let shop = TestShop::healthy();
    shop.file("themes/hangtag/page.html", "<p>{{ frame.title }} one").make(0);
    fs::remove_dir_all(shop.at(".benchlight")).unwrap();
    shop.file("themes/hangtag/page.html", "<p>{{ frame.title }} two").make(0);
    assert!(shop.page("prices/index.html").contains("two"));
}

#[test]
fn another_shops_site_is_not_taken_over() {
    let (one, two) = (TestShop::healthy(), TestShop::healthy());
    let shared = tempfile::tempdir().unwrap();
    let out = shared.path().join("site").display().to_string();
    one.run(&["make", "--as-of", "2026-05-20", "--out", &out]).exits(0);
    let before = crate::builder::tree(shared.path());
    two.edit("content/shop.toml", "Hollow Ash", "Other Ash");
    two.run(&["make", "--as-of", "2026-05-20", "--out", &out]).exits(2).tells("for this shop");
    assert!(before == crate::builder::tree(shared.path()));
    one.run(&["make", "--as-of", "2026-05-20", "--out", &out]).exits(0).says("0 new, 0 changed, 0 gone");
}

#[cfg(unix)]
#[test]
fn a_link_under_the_name_of_a_draft_is_not_followed() {
    let shop = TestShop::healthy();
    shop.file("victim.txt", "mine").make(0);
    std::os::unix::fs::symlink(shop.at("victim.txt"), shop.at("public/.index.html.benchlight-draft"))
        .unwrap();
    shop.edit("content/shop.toml", "Hollow Ash", "Other Ash").make(0);
    assert_eq!(fs::read_to_string(shop.at("victim.txt")).unwrap(), "mine");
    assert!(fs::symlink_metadata(shop.at("public/index.html")).unwrap().is_file());
}

#[test]
fn a_damaged_photo_of_the_same_length_is_healed() {
    let shop = TestShop::healthy();
    shop.make(0);
    let before = shop.tree("public");
    let (path, bytes) = before.iter().find(|(path, _)| path.ends_with(".jpg")).unwrap();
    shop.file(&format!("public/{path}"), vec![0; bytes.len()]);
    shop.make(0);
    assert!(before == shop.tree("public"));
}

#[test]
fn a_synced_folder_that_is_not_connected_takes_no_page_down() {
    let shop = TestShop::healthy();
    let ruell = fs::read_to_string(shop.at("content/jobs/26-042 Ruell hen/job.toml")).unwrap();
    shop.file("content/jobs/26-043 Tarn hen/job.toml", ruell).make(0);
    let before = shop.tree("public");
    fs::rename(shop.at("content/jobs"), shop.at("jobs-away")).unwrap();
    shop.make(2).tells("jobs-gone").tells("synced folder");
    assert!(before == shop.tree("public"));
    fs::rename(shop.at("jobs-away"), shop.at("content/jobs")).unwrap();
    shop.make(0).says("0 new, 0 changed, 0 gone");
}

#[cfg(unix)]
#[test]
fn no_path_to_the_content_gets_around_the_guard() {
    let shop = TestShop::healthy();
    fs::create_dir_all(shop.at("themes")).unwrap();
    std::os::unix::fs::symlink(shop.at("content"), shop.at("way-in")).unwrap();
    for out in ["themes/../content/x", "way-in/q", "nowhere/../content/y", ".benchlight", ".benchlight/site"]
    {
        shop.run(&["make", "--out", out])
            .exits(2)
            .tells("are inside each other")
            .tells("Nothing was changed");
    }
}
