//! What brings a part of the program to give up costs one page or one pass at the most: `make` ends in order, and `watch`
//! goes on. The guard itself is tried beside its code (`command::guard`, `command::publish`); here is what was found to
//! end the whole program.

use super::{Watching, pinned_shop, settles_like_a_clean_make};
use crate::builder::TestShop;

/// Emphasis within emphasis: 14 kB of text that becomes elements two thousand deep.
fn deep() -> String {
    format!("# Deep\n\n{}x{}\n", "*a **b ".repeat(1000), "b** a*".repeat(1000))
}

#[test]
fn a_text_that_is_nested_very_deeply_is_made_like_any_other() {
    let shop = TestShop::healthy();
    for i in 0..6 {
        // Several, so that other threads than the first have one too.
        shop.file(&format!("content/pages/deep-{i}.md"), deep());
    }
    shop.file("content/showroom/turkey/half-strut/about.md", deep());
    let note = deep().replace("# Deep\n\n", "").trim().to_owned();
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "We will **preen** over the left wing.", &note);
    shop.make(0);
    assert!(shop.page("deep-3/index.html").contains("<em>a <strong>b <em>"));
    assert!(shop.private_page("26-041").unwrap().1.contains("<em>a <strong>b <em>"));
}

#[test]
fn the_watch_goes_on_after_it() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    shop.file("content/pages/deep.md", deep());
    watching.shows("deep/", "<em>a <strong>b");
    shop.edit("content/pages/prices.md", "695", "705");
    watching.shows("prices/", "705");
    settles_like_a_clean_make(&shop, &mut watching);
    assert_eq!(watching.end().0, Some(0));
}
