//! What must never get out does not: canaries in every private field, searched for in every byte.

use crate::builder::{PHONE_PHOTO, TestShop};
use std::collections::BTreeSet;

pub const PRIVATE_JOB: &str = r#"
customer   = "Ada CANARYLAST"
phone      = "555-CANARYPHONE"
email      = "CANARYEMAIL@fenn.example"
address    = "CANARYSTREET 7"
piece      = "Eastern wild turkey"
route      = "turkey-full"
taken-in   = 2026-04-28
pose       = "half-strut"
bench-note = "CANARYBENCHNOTE"
collected-by = "CANARYCOLLECTOR"

[reached]
skinned = 2026-05-02

[[charge]]
what   = "Half strut"
amount = 695

[[written-off]]
on     = 2026-05-10
amount = 5
why    = "CANARYWHY"

[tag]
number   = "CANARYTAG"
taken-on = 2001-02-03
place    = "CANARYPLACE"
species  = "CANARYSPECIES"
sex      = "CANARYSEX"
licence  = "CANARYLICENCE"
permit   = "CANARYPERMIT"
hunter   = "CANARYHUNTER"
signed   = 2001-02-04
"#;

fn shop() -> TestShop {
    let shop = TestShop::healthy();
    let folder = "content/jobs/26-077 CANARYFOLDER gobbler";
    shop.file(&format!("{folder}/job.toml"), PRIVATE_JOB);
    shop.file(&format!("{folder}/IMG_20260510_101010.jpg"), PHONE_PHOTO);
    let other = other_photo();
    shop.file(&format!("{folder}/not shown/CANARYHIDDEN.jpg"), &other);
    shop.file(&format!("{folder}/hide CANARYHIDDENTOO.jpg"), &other);
    shop.file(&format!("{folder}/1 skinned/CANARYGORY.jpg"), &other);
    shop
}

/// The same picture with other bytes, so that it has a digest of its own.
fn other_photo() -> Vec<u8> {
    [PHONE_PHOTO, b"trailing bytes"].concat()
}

#[test]
fn no_private_field_reaches_any_file() {
    let shop = shop();
    shop.make(0);
    let (path, page) = shop.private_page("26-077").expect("its page");
    assert!(page.contains("Ada C."), "the one form of the name that is shown");
    for (file, bytes) in shop.tree("public") {
        let text = String::from_utf8_lossy(&bytes);
        for secret in ["CANARY", "CANARYLAST", "2001", "February 3", "3 February", "February 4"] {
            assert!(
                !text.contains(secret) || secret == "2001" && file.ends_with(".jpg"),
                "{secret} in {file}"
            );
        }
        assert!(!file.contains("CANARY") && !file.contains("IMG_"), "{file}");
    }
    // One photo is shown in that folder, in its sizes; those in `not shown`, under `hide` and in a
    // step with `photos = false` are not.
    let folder = path.trim_end_matches("index.html");
    let photos =
        shop.tree("public").into_keys().filter(|p| p.starts_with(folder) && p.ends_with(".jpg")).count();
    let shown = page.matches("<img").count();
    assert_eq!((photos, shown), (1, 1), "{page}");
}

#[test]
fn nothing_private_is_told_when_something_is_wrong() {
    let shop = shop();
    shop.edit("content/jobs/26-077 CANARYFOLDER gobbler/job.toml", "amount = 695", "amount = 6,95");
    let told = shop.make(1).err();
    for secret in ["CANARYTAG", "CANARYPHONE", "CANARYLAST", "CANARYBENCHNOTE"] {
        assert!(!told.contains(secret), "{told}");
    }
    let key = std::fs::read_to_string(shop.at("content/shop.key")).unwrap();
    let symbols = key.lines().last().unwrap();
    assert!(!told.contains(symbols));
}

#[test]
fn a_photo_moved_to_another_job_is_gone_from_the_first() {
    let shop = shop();
    shop.make(0);
    let (path, _) = shop.private_page("26-077").unwrap();
    let folder = path.trim_end_matches("index.html").to_owned();
    let from = shop.at("content/jobs/26-077 CANARYFOLDER gobbler/IMG_20260510_101010.jpg");
    std::fs::rename(from, shop.at("content/jobs/26-042 Ruell hen/IMG_20260510_101010.jpg")).unwrap();
    shop.make(0);
    assert!(!shop.tree("public").keys().any(|p| p.starts_with(&folder) && p.ends_with(".jpg")));
    assert!(shop.private_page("26-042").unwrap().1.contains("<img"));
}

#[test]
fn public_files_of_a_small_shop_know_no_job_and_no_private_address() {
    let shop = shop();
    shop.make(0);
    let tree = shop.tree("public");
    let addresses: BTreeSet<&str> =
        tree.keys().filter_map(|p| Some(p.strip_prefix("see/")?.split_once('/')?.0)).collect();
    assert_eq!(addresses.len(), 3);
    assert!(addresses.iter().all(|a| a.len() >= 26), "{addresses:?}");
    for (path, bytes) in tree.iter().filter(|(path, _)| !path.starts_with("see/")) {
        let text = String::from_utf8_lossy(bytes);
        assert!(["26-041", "26-042", "26-077"].iter().all(|n| !text.contains(n)), "{path}");
        assert!(addresses.iter().all(|a| !text.contains(a)), "{path}");
        assert!(!path.ends_with(".txt") && !path.ends_with(".xml") || !text.contains("see"), "{path}");
    }
}
