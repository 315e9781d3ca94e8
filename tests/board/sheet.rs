//! The terminal and JSON.

use super::shop;
use crate::builder::{TODAY, TestShop};

fn board(shop: &TestShop, more: &[&str]) -> String {
    let mut args = vec!["board", "--as-of", TODAY];
    args.extend(more);
    shop.run(&args).exits(0).tells_nothing().out()
}

/// Characters of one column each, so that counting them is enough.
fn widest(text: &str) -> usize {
    text.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

#[test]
fn the_whole_board_fits_a_narrow_terminal_and_is_plain_in_a_pipe() {
    let demo = env!("CARGO_MANIFEST_DIR");
    let place = TestShop::empty();
    let told = place.run(&["--shop", demo, "board"]).exits(0).tells_nothing().out();
    assert!(widest(&told) <= 80, "{told}");
    assert!(!told.contains('\u{1b}'), "no colour in a pipe");
    for part in
        ["READY TO WORK ON", "WAITING ON THE CUSTOMER", "AWAY", "RESTING", "READY, STILL HERE", "MONEY"]
    {
        assert!(told.contains(part), "{part}");
    }
    // The same content on the same day gives the same lines.
    assert_eq!(told, place.run(&["--shop", demo, "board"]).out());
}

#[test]
fn a_piece_is_found_by_name_number_tag_and_piece() {
    let shop = shop();
    for words in
        [&["quillon"][..], &["26-077"], &["T-4471"], &["t-4471-zq", "ada"], &["old", "tom"], &["15555550117"]]
    {
        let told = board(&shop, words);
        assert!(told.starts_with("26-077  Ada Quillon"), "{words:?}: {told}");
        assert!(told.contains("Due: $695.00 of $695.00") && told.contains("see/"), "{told}");
        assert!(!told.contains("26-041"), "{told}");
    }
    assert!(board(&shop, &["quillon", "fenn"]).contains("No open piece fits"));
}

#[test]
fn what_is_told_of_a_ready_piece_is_true() {
    let shop = shop();
    let told = board(&shop, &[]);
    // Ready on May 2, asked on May 20: 18 days by the calendar.
    assert!(told.contains("ready May 2, 18 days, NOT TOLD yet, owes $695.00"), "{told}");
    shop.edit(
        "content/jobs/26-077 Quillon gobbler/job.toml",
        "taken-in   = 2026-03-28",
        "taken-in = 2026-03-28\ntold = 2026-05-03",
    );
    assert!(board(&shop, &[]).contains("told May 3"));
}

#[test]
fn json_keeps_its_fields_and_tells_nothing_private() {
    let shop = shop();
    let told = board(&shop, &["--json"]);
    let json: serde_json::Value = serde_json::from_str(&told).expect("JSON");
    let job = &json["jobs"][0];
    // The stable machine view of the design.
    let stable = [
        "job",
        "route",
        "customer",
        "taken_in",
        "state",
        "reached",
        "waiting_on",
        "next",
        "window",
        "choose_by",
        "total",
        "paid",
        "due",
        "page",
    ];
    for field in stable {
        assert!(job.get(field).is_some(), "{field}");
    }
    for field in ["gates", "away", "ready", "told", "grace_ends", "storage"] {
        assert!(job.get(field).is_some(), "{field}");
    }
    assert_eq!(json["sums"]["due_now"], "695.00");
    for secret in ["Quillon", "T-4471", "0117", "11B"] {
        assert!(!told.contains(secret), "{secret}");
    }
}
