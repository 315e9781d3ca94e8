//! What lies beside a private page: the calendar's file, the feed, and on the page the measures.

mod calendar;
mod feed;
mod measures;

use crate::builder::{PHONE_PHOTO, TestShop, tools};
use std::process::Stdio;

/// The folder of a job's private page, from `public/`.
fn folder_of(shop: &TestShop, number: &str) -> String {
    let (path, _) = shop.private_page(number).expect("its page");
    path.trim_end_matches("index.html").to_owned()
}

/// What a Python program makes of some bytes.
fn python(program: &str, bytes: &[u8]) -> serde_json::Value {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("given");
    benchlight::door::base::files::replace(&file, bytes).unwrap();
    let mut command = tools::python();
    command.args(["-c", program]).stdin(Stdio::from(std::fs::File::open(&file).unwrap()));
    serde_json::from_str(&tools::printed(&mut command)).unwrap()
}

/// A finished piece whose every private field says so.
const FINISHED: &str = r#"
customer   = "Ada CANARYLAST"
phone      = "555-CANARY"
email      = "CANARY@fenn.example"
address    = "CANARY 7"
piece      = "Gobbler, “Old; Tom”, a bird with a long name so that its line has to be folded — 🦃"
route      = "turkey-full"
taken-in   = 2026-03-28
pose       = "half-strut"
bench-note = "CANARY"

[reached]
skinned   = 2026-03-30
head-sent = 2026-04-01
head-back = 2026-04-20
mounted   = 2026-04-22
dried     = 2026-05-02

[tag]
number = "CANARY"
"#;

const JOB: &str = "content/jobs/26-077 CANARY gobbler/job.toml";

/// The healthy shop and a finished piece with a photo that is shown and one that is not.
fn shop() -> TestShop {
    let shop = TestShop::healthy();
    shop.file(JOB, FINISHED);
    let folder = "content/jobs/26-077 CANARY gobbler";
    shop.file(&format!("{folder}/4 mounted/IMG_20260422_101010.jpg"), PHONE_PHOTO);
    let other = [PHONE_PHOTO, b"trailing bytes"].concat();
    shop.file(&format!("{folder}/not shown/IMG_20260425_101010.jpg"), &other);
    shop
}

#[test]
fn both_files_go_when_the_address_is_retired() {
    let shop = shop();
    shop.make(0);
    let before = folder_of(&shop, "26-077");
    assert!(shop.tree("public").contains_key(&format!("{before}ready.ics")));
    shop.edit(JOB, "bench-note", "link = 2\nbench-note");
    shop.make(0);
    let tree = shop.tree("public");
    assert!(!tree.keys().any(|path| path.starts_with(&before)), "the old folder is empty");
    let after = folder_of(&shop, "26-077");
    assert!(
        tree.contains_key(&format!("{after}ready.ics")) && tree.contains_key(&format!("{after}news.atom"))
    );
}

#[test]
fn a_collected_piece_has_its_news_and_no_calendar() {
    let shop = shop();
    shop.make(0);
    shop.edit(JOB, "[reached]", "[reached]\ncollected = 2026-05-15");
    shop.make(0);
    let folder = folder_of(&shop, "26-077");
    let tree = shop.tree("public");
    assert!(!tree.contains_key(&format!("{folder}ready.ics")));
    let feed = String::from_utf8(tree[&format!("{folder}news.atom")].clone()).unwrap();
    assert!(feed.contains("It went home"), "{feed}");
}

#[test]
fn after_a_lost_record_they_are_known_again_as_ours() {
    let shop = shop();
    shop.make(0);
    let before = folder_of(&shop, "26-077");
    std::fs::remove_dir_all(shop.at(".benchlight")).unwrap();
    shop.edit(JOB, "bench-note", "link = 2\nbench-note");
    shop.run(&["make", "--as-of", crate::builder::TODAY]);
    assert!(!shop.tree("public").keys().any(|path| path.starts_with(&before)));
}
