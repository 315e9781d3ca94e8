//! Disks that are full, or that take nothing: all that stood still stands, and the next pass goes on.
//!
//! A small memory file system is mounted in a name space of its own (`unshare` and `mount` of util-linux), so nothing
//! outside sees it; and files are kept short by a limit of the shell.

use super::{Clean, day};
use crate::builder::{TODAY, TestShop, tools, tree};
use std::process::Command;

/// Runs a shell script in the shop with `$benchlight` as the program; in its own name space where it mounts.
fn script(shop: &TestShop, mounts: bool, script: &str) -> String {
    let mut command = match mounts {
        true => {
            let mut command = Command::new("unshare");
            command.args(["--user", "--map-root-user", "--mount", "sh", "-euc", script]);
            command
        }
        false => {
            let mut command = Command::new("bash");
            command.args(["-euc", script]);
            command
        }
    };
    command.current_dir(shop.path()).env_remove("SOURCE_DATE_EPOCH").env("day", TODAY);
    tools::printed(command.env("benchlight", env!("CARGO_BIN_EXE_benchlight")))
}

/// What is left of drafts.
const NO_DRAFTS: &str = "test -z \"$(find public -name '*draft*')\"";

#[test]
fn a_full_disk_leaves_the_old_site_whole() {
    let shop = TestShop::healthy();
    let clean = Clean::of(&shop);
    shop.make(0);
    let told = script(
        &shop,
        true,
        &format!(
            "cp -a public before; rm -r public; mkdir public
             mount -t tmpfs -o size=1m none public; cp -a before/. public
             head -c 1m /dev/zero > public/rest 2>/dev/null || true
             mkdir -p themes/hangtag; echo 'body {{ color: red }}' > themes/hangtag/look.css
             code=0; $benchlight make --as-of $day 2>told || code=$?; echo exit $code; cat told
             {NO_DRAFTS}; diff -r before public --exclude=rest
             rm public/rest; $benchlight make --as-of $day; rm -r before; cp -a public after"
        ),
    );
    for part in ["exit 2", "the disk is full", "Nothing was changed", "changed"] {
        assert!(told.contains(part), "{part}: {told}");
    }
    assert!(tree(&shop.at("after")) == clean.site(day(TODAY)).unwrap());
}

#[test]
fn a_folder_that_takes_nothing_leaves_the_old_site_whole() {
    let shop = TestShop::healthy();
    let clean = Clean::of(&shop);
    shop.make(0);
    let told = script(
        &shop,
        true,
        &format!(
            "cp -a public before; mount -t tmpfs -o size=4m none public; cp -a before/. public
             mount -o remount,ro public
             mkdir -p themes/hangtag; echo 'body {{ color: red }}' > themes/hangtag/look.css
             code=0; $benchlight make --as-of $day 2>told || code=$?; echo exit $code; cat told
             {NO_DRAFTS}; diff -r before public
             mount -o remount,rw public; $benchlight make --as-of $day; rm -r before; cp -a public after"
        ),
    );
    assert!(told.contains("exit 2") && told.contains("Nothing was changed"), "{told}");
    assert!(tree(&shop.at("after")) == clean.site(day(TODAY)).unwrap());
}

#[test]
fn a_file_that_may_not_grow_leaves_the_old_site_whole() {
    let shop = TestShop::healthy();
    let clean = Clean::of(&shop);
    shop.make(0);
    let before = shop.tree("public");
    // Blocks of 1,024 bytes (bash); a page is longer, the record of so few pages is not.
    let told = script(
        &shop,
        false,
        "mkdir -p themes/hangtag; (echo 'body { color: red }'; head -c 40000 /dev/zero | tr '\\0' ' ') > themes/hangtag/look.css
         code=0; (trap '' XFSZ; ulimit -f 24; $benchlight make --as-of $day 2>told) || code=$?; echo exit $code; cat told",
    );
    assert!(told.contains("exit 2") && told.contains("Nothing was changed"), "{told}");
    assert!(before == shop.tree("public"));
    shop.make(0);
    assert!(tree(&shop.at("public")) == clean.site(day(TODAY)).unwrap());
}

#[test]
fn a_hidden_folder_that_is_full_takes_no_page_down() {
    let shop = TestShop::healthy();
    shop.make(0);
    let told = script(
        &shop,
        true,
        "cp -a .benchlight hidden; mount -t tmpfs -o size=300k none .benchlight; cp -a hidden/. .benchlight
         head -c 1m /dev/zero > .benchlight/rest 2>/dev/null || true
         cp -a public before; mkdir -p themes/hangtag; echo 'body { color: red }' > themes/hangtag/look.css
         code=0; $benchlight make --as-of $day 2>told || code=$?; echo exit $code; cat told
         diff -r before public; rm .benchlight/rest; $benchlight make --as-of $day",
    );
    assert!(told.contains("exit 2") && told.contains("Nothing was changed"), "{told}");
}
