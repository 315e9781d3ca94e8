//! Measures on the page: there if the owner says so, and then as rough. The formulas are checked against published
//! examples in `work::measures`.

use super::{JOB, folder_of, shop};

const TURKEY: &str = "[measures]\nshow = true\nweight = \"20 lb 7 oz\"\nbeard = \"11 3/16\"\nspurs = [\"1 4/16\", \"1 3/16\"]\n\n[tag]";

#[test]
fn they_are_shown_only_if_the_owner_says_so() {
    let shop = shop();
    let page = |measures: &str| {
        shop.file(JOB, super::FINISHED.replace("[tag]", measures));
        shop.make(0);
        shop.page(&format!("{}index.html", folder_of(&shop, "26-077")))
    };
    assert!(!page("[tag]").contains("id=measures"));
    let shown = page(TURKEY);
    for wanted in
        ["about 67.1875.", "20 lb 7 oz", "11 3/16 in", "right 1 4/16 in, left 1 3/16 in", "not official"]
    {
        assert!(shown.contains(wanted), "{wanted}: {shown}");
    }
    let hidden = page(&TURKEY.replace("show = true", "show = false"));
    assert!(!hidden.contains("67.1875") && !hidden.contains("11 3/16"), "{hidden}");
    assert!(!page(&TURKEY.replace("show = true\n", "")).contains("67.1875"), "not shown unless asked for");
}

#[test]
fn a_deer_a_bear_and_a_fish_have_their_own_figures() {
    let shop = shop();
    let deer = "[measures]\nshow = true\nlength = 29\ngirth = \"15\"\n[measures.skull]\nlength = \"12 3/16\"\nwidth = \"7 10/16\"\n\
        [measures.antlers]\nspread = \"17 4/8\"\nbeams = [\"21 7/8\", \"21 6/8\"]\n\
        right-points = [\"3 4/8\", \"7 4/8\", \"6 5/8\", \"3 4/8\"]\nleft-points = [\"4\", \"8 5/8\", \"7 1/8\", \"3 4/8\"]\n\
        right-girths = [\"4 5/8\", \"4 5/8\", \"4 5/8\", \"3 6/8\"]\nleft-girths = [\"4 7/8\", \"4 6/8\", \"4 6/8\", \"4 1/8\"]\n\
        abnormal = \"3 3/8\"\n\n[tag]";
    shop.file(JOB, super::FINISHED.replace("[tag]", deer));
    shop.make(0);
    let page = shop.page(&format!("{}index.html", folder_of(&shop, "26-077")));
    // The published sheet and examples that `work::measures` names.
    for wanted in
        ["about 135 1/8 (141 5/8 before deductions)", "about 19 13/16", "about 8 lb 3 oz", "17 4/8 in"]
    {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
}
