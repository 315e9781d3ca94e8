//! A whole day, and what comes of it: played through from the binary, each output looked at, the site right after
//! each step.

use super::script;
use crate::builder::{PHONE_PHOTO, Ran, TestShop};

/// The shop on a day: everything passes, and the site is made.
struct Bench {
    shop: TestShop,
}

impl Bench {
    fn run(&self, args: &[&str]) -> Ran {
        self.shop.run(&[&["--shop", "s"], args].concat())
    }

    /// Proofs and makes the site, and gives the page of a job.
    fn page(&self, day: &str, number: &str) -> String {
        self.run(&["proof", "--as-of", day]).exits(0);
        self.run(&["make", "--as-of", day]).exits(0).tells_nothing();
        let pages = self.shop.tree("s/public");
        let private =
            pages.iter().filter(|(path, _)| path.starts_with("see/") && path.ends_with("index.html"));
        let mut texts = private.map(|(_, bytes)| String::from_utf8(bytes.clone()).unwrap());
        texts.find(|text| text.contains(number)).unwrap_or_else(|| panic!("{number} has no page on {day}"))
    }

    fn edit(&self, path: &str, from: &str, to: &str) {
        self.shop.edit(&format!("s/content/jobs/{path}/job.toml"), from, to);
    }
}

fn stamp(page: &str) -> String {
    let page = scraper::Html::parse_document(page);
    let stamp = scraper::Selector::parse(".stamp").unwrap();
    page.select(&stamp).next().expect("a stamp").text().collect::<String>().trim().to_owned()
}

const FENN: &str = "26-001 Fenn gobbler";
const OTT: &str = "26-003 Ott buck";

#[test]
fn a_whole_day_is_played_through() {
    let bench = opened();
    three_pieces_come_in(&bench);
    steps_are_marked(&bench);
    a_parcel_leaves_and_comes_back(&bench);
    it_is_finished_told_and_collected(&bench);
    the_register_is_printed(&bench);
}

fn opened() -> Bench {
    let shop = TestShop::empty();
    shop.run(&["open", "s"]).exits(0);
    shop.edit("s/content/routes/turkey-full.toml", "# price-from = 500", "price-from = 695");
    shop.edit("s/content/routes/deer-shoulder.toml", "# price-from = 500", "price-from = 725");
    Bench { shop }
}

fn three_pieces_come_in(bench: &Bench) {
    let day = "2026-05-04";
    let intake = |flags: &[&str]| bench.run(&[&["intake", "--as-of", day], flags].concat()).exits(0);
    let common =
        ["--address", "3 Mill Road", "--sex", "male", "--place", "Larrow County", "--taken-on", "2026-05-03"];
    let fenn = [
        "--customer",
        "Ada Fenn",
        "--phone",
        "555-0117",
        "--piece",
        "Eastern wild gobbler",
        "--route",
        "turkey-full",
    ];
    let fenn_more = [
        "--pose",
        "half strut",
        "--tag",
        "T-1",
        "--species",
        "Wild turkey",
        "--charge",
        "1",
        "--paid",
        "347.50",
    ];
    intake(&[&fenn[..], &fenn_more, &common].concat()).says("26-001 is taken in").says(FENN);
    let ruell = [
        "--customer",
        "Bo Ruell",
        "--piece",
        "Mallard drake",
        "--route",
        "duck",
        "--tag",
        "F-1",
        "--signed",
        day,
    ];
    intake(&[&ruell[..], &["--species", "Mallard"], &common].concat()).says("26-002 is taken in");
    let ott =
        ["--customer", "Cy Ott", "--piece", "Whitetail buck", "--route", "deer-shoulder", "--charge", "1"];
    intake(&[&ott[..], &common].concat()).tells("no tag number yet").tells("the deposit is not paid");
    let page = bench.page(day, "26-001");
    assert_eq!(stamp(&page), "Waiting");
    assert!(page.contains("Ada F.") && page.contains("$347.50") && !page.contains("Fenn"));
    assert_eq!(stamp(&bench.page(day, "26-003")), "Waiting for you");

    let ran = bench.run(&["tag", "26-001", "26-002", "26-003", "--as-of", day]).exits(0);
    for line in ran.out().lines().filter(|line| line.starts_with("26-")) {
        let address = line.split_once(": ").unwrap().1;
        let path = address.strip_prefix("https://my-studio.example/").expect("the starter's address");
        assert!(bench.shop.at(&format!("s/public/{path}index.html")).exists(), "{line} leads to a page");
    }
    assert!(bench.shop.at("s/print/tags 26-001 to 26-003.html").exists());
}

fn steps_are_marked(bench: &Bench) {
    // One by a photo that a phone took on 4 May, one by a line.
    bench.shop.file(&format!("s/content/jobs/{FENN}/1 skinned/IMG_1.jpg"), PHONE_PHOTO);
    let page = bench.page("2026-05-05", "26-001");
    assert!(page.contains("1 of 10 steps is done.") && page.contains("done May 4"), "{page}");
    bench.edit(OTT, "# number     = \"…\"", "number     = \"D-1\"");
    bench.edit(OTT, "# caped = 2026-05-04", "caped = 2026-05-04");
    assert!(bench.page("2026-05-05", "26-003").contains("1 of "));
    bench.run(&["board", "--as-of", "2026-05-05"]).exits(0).says("26-001").says("26-003");
}

fn a_parcel_leaves_and_comes_back(bench: &Bench) {
    // The first Monday of June 2026 is the 1st.
    let list = bench.run(&["parcel", "freeze-dryer", "--as-of", "2026-05-20"]).exits(0);
    list.says("leaves on 2026-06-01").says("26-001  Eastern wild gobbler, half strut");
    let before = std::fs::read_to_string(bench.shop.at(&format!("s/content/jobs/{FENN}/job.toml"))).unwrap();
    bench.run(&["parcel", "freeze-dryer", "--sent", "2026-06-01", "--as-of", "2026-06-01"]).exits(0);
    let after = std::fs::read_to_string(bench.shop.at(&format!("s/content/jobs/{FENN}/job.toml"))).unwrap();
    assert_eq!(
        after.replacen("head-sent = 2026-06-01\n", "", 1),
        before,
        "one line is new, and no remark is lost"
    );
    let page = bench.page("2026-06-02", "26-001");
    assert!(page.contains("with the freeze-dryer since June 1"), "{page}");
    bench.edit(FENN, "head-sent = 2026-06-01\n", "head-sent = 2026-06-01\nhead-back = 2026-07-20\n");
    bench.run(&["board", "--drafts", "--as-of", "2026-07-20"]).exits(0).says("26-001").says("/see/");
    assert!(!bench.page("2026-07-21", "26-001").contains("with the freeze-dryer since"));
}

fn it_is_finished_told_and_collected(bench: &Bench) {
    bench.edit(FENN, "head-back = 2026-07-20\n", "head-back = 2026-07-20\nfinished = 2026-08-20\n");
    let page = bench.page("2026-08-20", "26-001");
    assert_eq!(stamp(&page), "Ready");
    assert!(page.contains("$347.50"), "half is still to be paid");
    let drafts = bench.run(&["board", "--drafts", "--as-of", "2026-08-20"]).exits(0);
    drafts.says("26-001").says("https://my-studio.example/see/");
    bench.edit(FENN, "# told       = 2026-05-04", "told       = 2026-08-20");
    bench.edit(FENN, "# collected-by = \"…\"", "collected-by = \"Dee Fenn\"");
    bench.edit(FENN, "finished = 2026-08-20\n", "finished = 2026-08-20\ncollected = 2026-08-25\n");
    bench.edit(FENN, "[[paid]]", "[[paid]]\non = 2026-08-25\namount = 347.50\n\n[[paid]]");
    let page = bench.page("2026-08-25", "26-001");
    assert!(
        page.contains("You took it home August 25, 2026") && page.contains("Everything is paid."),
        "{page}"
    );
    assert!(!page.contains("Dee"), "who came for it is nobody else's business");
    bench.run(&["board", "--as-of", "2026-08-25"]).exits(0).says("26-003");
}

fn the_register_is_printed(bench: &Bench) {
    bench
        .run(&["register", "--as-of", "2026-08-31"])
        .exits(0)
        .says("3 entries")
        .says("missing for 1 job: 26-003");
    let csv = bench.shop.at("s/print/register 2026-01-01 to 2026-08-31.csv");
    let read = script("register.py", &[&csv.display().to_string()]);
    let cell = |row: usize, column: usize| read["csv"][row][column].as_str().unwrap().to_owned();
    assert_eq!([cell(1, 0), cell(2, 0), cell(3, 0)], ["26-001", "26-002", "26-003"]);
    assert_eq!(
        [cell(1, 2), cell(1, 8), cell(1, 14), cell(1, 15)],
        ["Ada Fenn", "T-1", "2026-08-25", "Dee Fenn"]
    );
    assert_eq!([cell(2, 14), cell(2, 15)], ["", ""], "the duck is still here");
    for (path, bytes) in bench.shop.tree("s/public") {
        let text = String::from_utf8_lossy(&bytes);
        assert!(["Fenn", "Mill Road", "T-1\"", "Larrow County"].iter().all(|w| !text.contains(w)), "{path}");
    }
}
