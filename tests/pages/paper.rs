//! A private page on paper: a receipt on one sheet, by Chromium's own print and poppler's reading of it.

use super::browser::chromium;
use super::demo;
use crate::builder::tools;
use std::path::Path;
use std::process::Command;

/// What stands on the sheets that a page is printed on, one text a sheet.
fn printed(page: &Path) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let pdf = folder.path().join("page.pdf");
    let mut browser = Command::new(chromium());
    browser
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--no-pdf-header-footer"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        .arg(format!("--user-data-dir={}", folder.path().join("profile").display()))
        .arg(format!("--print-to-pdf={}", pdf.display()))
        .arg(format!("file://{}", page.display()));
    tools::run(&mut browser);
    let text = tools::printed(Command::new("pdftotext").arg("-layout").arg(&pdf).arg("-"));
    text.split('\u{c}').map(str::trim).filter(|sheet| !sheet.is_empty()).map(str::to_owned).collect()
}

#[test]
fn a_private_page_on_paper_is_a_receipt_on_one_sheet() {
    let made = demo();
    for stage in ["ready", "collected", "at-bench"] {
        let path = &made.private()[stage];
        let sheets = printed(&made.out.join(path));
        assert_eq!(sheets.len(), 1, "{stage}: {} sheets: {sheets:?}", sheets.len());
        // Who, for which piece, what for, what was paid and when, what is left.
        let has = |part: &str| assert!(sheets[0].contains(part), "{stage}: no `{part}` in {}", sheets[0]);
        for part in ["Plume & Tamarack", "14 Sawpit Lane", "Job", "Total", "Paid, ", "$", "20"] {
            has(part);
        }
        has(if stage == "collected" { "paid" } else { "Still to pay" });
        let number = made.text(path).split("<dd>").nth(1).unwrap().split('<').next().unwrap();
        has(number);
        // What is of no use on paper.
        for part in ["How far along", "Send a text", "Add to calendar"] {
            assert!(!sheets[0].contains(part), "{stage}: `{part}` in {}", sheets[0]);
        }
    }
}
