//! Keys that anybody could come by, and files with secrets that others on this computer can read: told by whatever reads the
//! shop, whether it is put up or not.

use crate::builder::TestShop;
use crate::watching::Watching;
use std::fs;
use std::os::unix::fs::PermissionsExt;

const KEY: &str = "content/shop.key";

fn demo_key() -> String {
    fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/content/shop.key")).unwrap()
}

fn open(shop: &TestShop, path: &str) {
    fs::set_permissions(shop.at(path), fs::Permissions::from_mode(0o644)).unwrap();
}

#[test]
fn a_real_shop_with_a_key_that_can_be_guessed_is_not_made() {
    let weak = benchlight::door::command::open::key_text(&[7; 32]);
    for (key, code) in [(demo_key(), "(demo-key)"), (weak, "(weak-key)")] {
        let shop = TestShop::healthy();
        shop.make(0);
        let before = shop.tree("public");
        shop.file(KEY, &key);
        shop.file("content/pages/broken.md", "");
        for args in [&["make"][..], &["proof"], &["tag", "26-041"]] {
            shop.run(args).exits(2).tells(code).tells("benchlight open --new-key");
        }
        // What else is wrong is told along with it.
        shop.run(&["proof"]).exits(2).tells("broken.md");
        shop.run(&["proof", "--json"]).exits(2).says(code.trim_matches(['(', ')']));
        let mut watching = Watching::with(&shop, &[]);
        watching.has_said(code);
        watching.has_said("Nothing was changed");
        watching.end();
        assert!(before == shop.tree("public"));
        // What the message says to do helps.
        fs::remove_file(shop.at("content/pages/broken.md")).unwrap();
        shop.run(&["open", "--new-key"]).exits(0);
        fs::remove_file(shop.at("content/shop.key.old")).unwrap();
        shop.make(0).tells_nothing();
    }
}

#[test]
fn an_invented_shop_may_have_any_key() {
    let shop = TestShop::healthy();
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    shop.file("content/shop.toml", format!("{text}\n[made-up]\nday = 2026-05-20\n"));
    for key in [demo_key(), benchlight::door::command::open::key_text(&[7; 32])] {
        shop.file(KEY, &key);
        // Nor is its key anybody's secret.
        open(&shop, KEY);
        shop.run(&["make"]).exits(0).tells_nothing();
    }
}

#[test]
fn a_key_that_others_can_read_is_told_by_every_pass() {
    let shop = TestShop::healthy();
    shop.make(0).tells_nothing();
    open(&shop, KEY);
    shop.file("post.key", "password = \"x\"\n");
    shop.make(0)
        .tells("note: `content/shop.key` can be read by others")
        .tells("chmod 600")
        .tells("(open-key-file)");
    // Also where nothing changed since.
    shop.make(0).tells("(open-key-file)");
    shop.run(&["proof"]).exits(0).tells("`content/shop.key` can be read by others");
    let mut watching = Watching::with(&shop, &[]);
    watching.has_said("`content/shop.key` can be read by others");
    watching.end();
    fs::set_permissions(shop.at(KEY), fs::Permissions::from_mode(0o600)).unwrap();
    shop.make(0).tells_nothing();
    open(&shop, "post.key");
    let told = shop.make(0).tells("`post.key` can be read by others").err();
    assert_eq!(told.matches("(open-key-file)").count(), 1, "{told}");
    // An old key opens pages as long as they stand.
    fs::set_permissions(shop.at("post.key"), fs::Permissions::from_mode(0o600)).unwrap();
    shop.file("content/shop.key.old", demo_key());
    open(&shop, "content/shop.key.old");
    shop.make(0).tells("`content/shop.key.old` can be read by others");
}
