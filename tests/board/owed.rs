//! A debt never vanishes: what went home unpaid stays in sight until it is paid or written off.

use super::{page_of, shop};
use crate::builder::{TODAY, TestShop};
use scraper::{Html, Selector};

const FILE: &str = "content/jobs/26-077 Quillon gobbler/job.toml";

/// The piece of [`shop`], 695.00 in all, with 354.37 paid and taken home on May 10.
fn home() -> TestShop {
    let shop = shop();
    shop.edit(FILE, "dried = 2026-05-02", "dried = 2026-05-02\ncollected = 2026-05-10");
    shop.edit(FILE, "[tag]", "[[paid]]\non = 2026-05-10\namount = 354.37\n\n[tag]");
    shop
}

fn written_off(shop: &TestShop, on: &str, amount: &str) {
    let line = format!("[[written-off]]\non = {on}\namount = {amount}\nwhy = \"Letters came back\"\n\n[tag]");
    shop.edit(FILE, "[tag]", &line);
}

fn board(shop: &TestShop, day: &str, more: &[&str]) -> String {
    let mut args = vec!["board", "--as-of", day];
    args.extend(more);
    shop.run(&args).exits(0).out()
}

fn json(shop: &TestShop, day: &str) -> serde_json::Value {
    serde_json::from_str(&board(shop, day, &["--json"])).unwrap()
}

#[test]
fn a_collected_piece_that_owes_stays_on_the_board() {
    let shop = home();
    let told = board(&shop, TODAY, &[]);
    assert!(told.contains("OWED ON WHAT WENT HOME"), "{told}");
    assert!(told.contains("collected May 10, 10 days, owes $340.63"), "{told}");
    assert!(told.lines().any(|l| l.contains("Owed on what went home ") && l.ends_with("$340.63")), "{told}");
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    let found = board(&shop, TODAY, &["quillon"]);
    assert!(found.starts_with("26-077  Ada Quillon") && found.contains("collected\n"), "{found}");
    assert!(
        found.contains("Collected May 10, 2026.") && found.contains("Due: $340.63 of $695.00"),
        "{found}"
    );
    assert!(board(&shop, TODAY, &["nobody"]).contains("and of 1 collected piece with a balance"));
    let draft = board(&shop, TODAY, &["--drafts", "quillon"]);
    assert!(draft.contains("Still to pay: $340.63.") && !draft.contains("waiting here"), "{draft}");
    let page = Html::parse_document(&page_of(shop.path(), Some(TODAY)));
    let owed = page.select(&Selector::parse("section:has(h2#owed)").unwrap()).next().expect("its part");
    let said: String = owed.text().collect();
    assert!(said.contains("Quillon") && said.contains("owes $340.63"), "{said}");
    assert!(page.select(&Selector::parse("[id='job-26-077']").unwrap()).next().is_some(), "its slip");
}

#[test]
fn the_machine_view_has_it_with_its_state_and_its_due() {
    let shop = home();
    let told = json(&shop, TODAY);
    let jobs = told["jobs"].as_array().unwrap();
    let job = jobs.iter().find(|job| job["job"] == "26-077").expect("it is listed");
    assert_eq!((&job["state"], &job["due"]), (&"collected".into(), &"340.63".into()));
    assert_eq!((&job["collected"], &job["written_off"]), (&"2026-05-10".into(), &"0.00".into()));
    assert_eq!((&told["sums"]["owed"], &told["sums"]["due_now"]), (&"340.63".into(), &"0.00".into()));
    // The day before it went home it was ready, and owed the same and more.
    let before = json(&shop, "2026-05-09");
    assert_eq!((&before["sums"]["owed"], &before["sums"]["due_now"]), (&"0.00".into(), &"695.00".into()));
}

#[test]
fn it_is_there_until_the_day_on_which_it_is_written_off() {
    let shop = home();
    written_off(&shop, "2026-05-18", "340.63");
    let listed = |day: &str| {
        let told = json(&shop, day);
        told["jobs"].as_array().unwrap().iter().any(|job| job["job"] == "26-077")
    };
    assert!(listed("2026-05-17") && !listed("2026-05-18") && !listed("2027-05-18"));
    assert!(!board(&shop, TODAY, &[]).contains("OWED"));
    shop.run(&["proof", "--as-of", "2026-05-17"]).exits(0).tells("340.63 is still owed");
    let silent = shop.run(&["proof", "--as-of", TODAY]).exits(0);
    assert!(!format!("{}{}", silent.out(), silent.err()).contains("still owed"));
}

#[test]
fn proof_and_make_tell_the_amount_and_the_page_is_made() {
    let shop = home();
    for command in ["proof", "make"] {
        let ran = shop.run(&[command, "--as-of", TODAY]).exits(0);
        let told = format!("{}{}", ran.out(), ran.err());
        assert!(told.contains("it was collected on 2026-05-10, and 340.63 is still owed"), "{told}");
        assert!(told.contains("(collected-owes)") && told.contains("`[[written-off]]`"), "{told}");
    }
    let (_, page) = shop.private_page("26-077").expect("its page");
    assert!(page.contains("$340.63 is still to be paid."), "{page}");
}

#[test]
fn the_customers_bill_adds_up_and_keeps_the_reason_back() {
    let shop = home();
    written_off(&shop, "2026-05-18", "340.63");
    shop.make(0);
    let (_, page) = shop.private_page("26-077").expect("its page");
    let page = Html::parse_document(&page);
    let cells = Selector::parse("table.ledger td").unwrap();
    let amounts: Vec<String> = page.select(&cells).map(|cell| cell.text().collect::<String>()).collect();
    // One charge, its sum, the payment, the write-off, and what is left: 695.00 - 354.37 - 340.63 = 0.
    assert_eq!(amounts, ["$695.00", "$695.00", "\u{2212}$354.37", "\u{2212}$340.63", "$0.00"]);
    let said: String = page.root_element().text().collect();
    assert!(said.contains("Written off") && said.contains("There’s nothing left to pay."), "{said}");
    assert!(!said.contains("Everything is paid") && !said.contains("Letters"), "{said}");
}

#[test]
fn more_written_off_than_owed_keeps_the_last_good_page() {
    let shop = home();
    written_off(&shop, "2026-05-18", "340.64");
    let ran = shop.run(&["proof", "--as-of", TODAY]).exits(1);
    let told = format!("{}{}", ran.out(), ran.err());
    assert!(told.contains("340.64 is written off, but only 340.63 is owed"), "{told}");
    assert!(
        told.contains("lower this amount to 340.63") && told.contains("(written-off-too-large)"),
        "{told}"
    );
}
