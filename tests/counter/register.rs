//! The register: its gaps, its entries, and that other programs read it as it was meant.

use super::{faults, script, sheets, shop};
use crate::builder::{TODAY, TestShop};

fn full() -> TestShop {
    let shop = shop();
    shop.file("content/jobs/26-077 Quill duck/job.toml", FULL);
    shop
}

const FULL: &str = r#"
customer     = "=1+1 Quill"
phone        = "+1 555 0117"
address      = "3 \"Mill\" Road, Ash, Åby"
piece        = "Mallard drake"
route        = "duck"
taken-in     = 2026-05-01
collected-by = "@Bo Quill"

[reached]
skinned   = 2026-05-02
collected = 2026-05-10

[tag]
number   = "F-77"
permit   = "S-1"
hunter   = "Dee Quill"
signed   = 2026-04-30
taken-on = 2026-04-29
place    = "Larrow County"
species  = "Mallard"
sex      = "male"
licence  = "TH-1"
"#;

#[test]
fn entries_are_read_by_python_and_by_a_spreadsheet_and_none_acts() {
    let shop = full();
    shop.run(&["register", "--from", "2026-05-01", "--to", "2026-05-31", "--as-of", TODAY])
        .exits(0)
        .says("The register from 2026-05-01 to 2026-05-31: 2 entries.")
        .says("your own state governs");
    let page = shop.at("print/register 2026-05-01 to 2026-05-31.html");
    let read = script("register.py", &[&page.with_extension("csv").display().to_string()]);
    let row = |who: &str, at: usize| -> Vec<String> {
        read[who][at].as_array().unwrap().iter().map(|cell| cell.as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(read["csv"].as_array().unwrap().len(), 3);
    let want = [
        "26-077",
        "2026-05-01",
        "'=1+1 Quill",
        "3 \"Mill\" Road, Ash, Åby",
        "'+1 555 0117",
        "Mallard drake",
        "Mallard",
        "male",
        "F-77",
        "S-1",
        "2026-04-29",
        "Larrow County",
        "Dee Quill",
        "TH-1",
        "2026-05-10",
        "'@Bo Quill",
    ];
    assert_eq!(row("csv", 1), want);
    assert_eq!(row("csv", 0)[..3], ["Job", "Day in", "From whom"]);
    let sheet = row("sheet", 1);
    assert_eq!(sheet.len(), want.len());
    // The spreadsheet takes the apostrophe for "this is text", and shows what was meant.
    assert_eq!([&sheet[2], &sheet[4], &sheet[15]], ["=1+1 Quill", "+1 555 0117", "@Bo Quill"]);
    assert_eq!(sheet[3], want[3]);
    // It would have reckoned it out.
    let text = std::fs::read_to_string(page.with_extension("csv")).unwrap();
    shop.file("control.csv", text.replace("'=1+1 Quill", "=1+1"));
    let control = script("register.py", &[&shop.at("control.csv").display().to_string()]);
    assert_eq!(control["sheet"][1][2], "2");
    let raw = std::fs::read(page.with_extension("csv")).unwrap();
    // RFC 4180, section 2: each line ends with CR LF.
    assert!(raw.windows(2).filter(|w| w == b"\r\n").count() == 3 && raw.ends_with(b"\r\n"));
}

#[test]
fn gaps_come_first_and_the_page_says_that_the_owners_state_governs() {
    let shop = full();
    shop.file("content/jobs/26-078 Broken/job.toml", "customer = ");
    shop.run(&["register", "--as-of", TODAY])
        .exits(1)
        .says("something is missing for 3 jobs: 26-078, 26-041, 26-042");
    let page = shop.at("print/register 2026-01-01 to 2026-05-20.html");
    let html = std::fs::read_to_string(&page).unwrap();
    assert_eq!(faults(&page), [""; 0]);
    let (gaps, entries) = html.split_once("<h2>3 entries</h2>").expect("three entries");
    assert!(gaps.contains("26-078") && gaps.contains("needs fixing"), "{gaps}");
    assert!(gaps.contains("<b>26-041</b> address, species and sex"), "{gaps}");
    assert!(!gaps.contains("<b>26-077</b>"), "nothing is missing there");
    assert!(
        html.contains("Your state, your licenses")
            && entries.contains("Ada Fenn")
            && entries.contains("555-0117")
    );
    for paper in ["letter", "a4"] {
        shop.run(&["register", "--paper", paper, "--as-of", TODAY]).exits(1);
        let into = tempfile::tempdir().unwrap();
        let (_, (wide, high)) = sheets(&page, into.path(), 30);
        assert!(wide > high, "sixteen columns need the paper's long side: {wide} x {high}");
    }
}

#[test]
fn what_the_owners_state_asks_for_is_the_owners_to_say() {
    let shop = full();
    shop.edit("content/shop.toml", "[storage]", "[register]\nasks = [\"licence\"]\n\n[storage]");
    shop.run(&["register", "--as-of", TODAY])
        .exits(0)
        .says("something is missing for 2 jobs: 26-041, 26-042");
    let html = std::fs::read_to_string(shop.at("print/register 2026-01-01 to 2026-05-20.html")).unwrap();
    assert!(html.contains("<b>26-041</b> license</li>"), "{html}");
    shop.run(&["register", "--from", "2026-06-01", "--as-of", TODAY]).exits(2).tells("before it begins");
}
