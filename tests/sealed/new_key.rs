//! `open --new-key`: the old key is kept, the new one changes every address, and all tags to hand out are printed.

use super::{files_of, folder_and_key, shop};
use crate::builder::{TODAY, TestShop};
use std::fs;

const KEY: &str = "content/shop.key";

fn key(shop: &TestShop, name: &str) -> String {
    fs::read_to_string(shop.at(name)).unwrap()
}

#[test]
fn a_new_key_moves_every_page_and_prints_the_tags_to_hand_out_anew() {
    let shop = shop();
    // So that the tags are of the pinned day.
    shop.file(
        "content/shop.toml",
        format!("{}\n[made-up]\nday = {TODAY}\n", key(&shop, "content/shop.toml")),
    );
    shop.make(0);
    let (old_key, (old_folder, old_page)) = (key(&shop, KEY), folder_and_key(&shop, "26-041"));
    let told = shop.run(&["open", "--new-key"]).exits(0);
    let new_key = key(&shop, KEY);
    assert_ne!(new_key, old_key);
    assert_eq!(key(&shop, "content/shop.key.old"), old_key);
    #[cfg(unix)]
    for name in [KEY, "content/shop.key.old"] {
        use std::os::unix::fs::PermissionsExt;
        assert_eq!(fs::metadata(shop.at(name)).unwrap().permissions().mode() & 0o777, 0o600, "{name}");
    }
    // Nothing was published yet: the old pages stand until the next pass.
    assert!(!files_of(&shop, &old_folder).is_empty());
    let (folder, page) = folder_and_key(&shop, "26-041");
    assert!(folder != old_folder && page != old_page);
    let tags = fs::read_to_string(shop.at("print/new tags for all.html")).unwrap();
    assert!(["26-041", "26-042"].iter().all(|number| tags.contains(number)));
    let spelled: String = tags.replace("</span><span>", "").replace("<span>", "");
    assert!(spelled.contains(&page) && !spelled.contains(&old_page));
    for step in
        ["benchlight make", "new hang tag", "delete content/shop.key.old", "put it back", "26-042: https://"]
    {
        assert!(told.out().contains(step), "{step} is not told:\n{}", told.out());
    }
    for secret in [&old_key, &new_key] {
        let symbols = secret.lines().last().unwrap();
        assert!(!told.out().contains(symbols) && !told.err().contains(symbols));
    }
    shop.make(0).tells("shop.key.old").tells("delete it once every customer has a new hang tag");
    assert!(files_of(&shop, &old_folder).is_empty() && !files_of(&shop, &folder).is_empty());
    // A second one keeps both, and whoever puts the first back has the first addresses again.
    shop.run(&["open", "--new-key"]).exits(0).says("content/shop.key.old-2");
    assert_eq!(key(&shop, "content/shop.key.old-2"), new_key);
    shop.file(KEY, &old_key);
    assert_eq!(folder_and_key(&shop, "26-041"), (old_folder, old_page));
}

#[test]
fn a_lost_or_damaged_key_is_made_anew_and_what_is_no_shop_is_left_alone() {
    let shop = TestShop::healthy();
    fs::remove_file(shop.at(KEY)).unwrap();
    shop.make(2);
    shop.run(&["open", "--new-key", "."]).exits(0).says("new hang tag");
    assert!(!shop.at("content/shop.key.old").exists());
    shop.make(0);
    shop.file(KEY, "0c71j-91f79");
    shop.run(&["open", "--new-key"]).exits(0);
    assert_eq!(key(&shop, "content/shop.key.old"), "0c71j-91f79");
    // A link is somebody's arrangement.
    fs::rename(shop.at(KEY), shop.at("elsewhere.key")).unwrap();
    std::os::unix::fs::symlink(shop.at("elsewhere.key"), shop.at(KEY)).unwrap();
    let before = key(&shop, "elsewhere.key");
    shop.run(&["open", "--new-key"]).exits(2).tells("bad-key");
    assert_eq!(key(&shop, "elsewhere.key"), before);
    let nowhere = TestShop::empty();
    nowhere.run(&["open", "--new-key"]).exits(2).tells("not-a-shop");
    nowhere.run(&["open"]).exits(2);
    assert!(nowhere.tree("").is_empty());
}
