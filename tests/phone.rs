//! A phone of 360 px opens a private page with twelve photos: what it transfers, and whether `sizes` tells the truth.
//!
//! By Chromium over its DevTools protocol (`tests/oracle/phone.py`), on the demo shop with photos added to one job.

use crate::builder::{TestShop, tools, tree};
use serde_json::Value;
use std::path::Path;

/// Before scrolling, heads and all, without compression: what one bar of signal can carry.
const MOST: u64 = 150_000;
const JOB: &str = "26-021 Thornquist gobbler";

#[test]
fn a_page_with_twelve_photos_comes_in_under_150_kilobytes() {
    let shop = TestShop::empty();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let content = tree(&root.join("content"));
    let photos = content.iter().filter(|(path, _)| path.starts_with("jobs/") && path.ends_with(".jpg"));
    for (n, (_, bytes)) in photos.filter(|(path, _)| !path.contains(JOB)).take(12).enumerate() {
        // A comment behind the picture makes it a photo of its own.
        let name = format!("content/jobs/{JOB}/2026-06-{:02} look {}.jpg", n / 2 + 3, n + 1);
        shop.file(&name, [bytes.as_slice(), b"more"].concat());
    }
    for (path, bytes) in &content {
        let another = path.contains(JOB) && path.ends_with(".jpg");
        if !another {
            shop.file(&format!("content/{path}"), bytes);
        }
    }
    shop.run(&["make"]);
    let (path, _) = shop.private_page("26-021").expect("its page");
    let mut phone = tools::python();
    phone.arg(root.join("tests/oracle/phone.py")).arg(shop.at("public")).arg(path).args(["1", "3"]);
    let told = tools::printed(&mut phone);
    assert_eq!(told.lines().count(), 2);
    for line in told.lines() {
        visited(&serde_json::from_str(line).unwrap());
    }
}

fn visited(visit: &Value) {
    let bytes = visit["bytes"].as_u64().unwrap();
    assert_eq!(visit["wide"], 360, "{visit}");
    assert!((5_000..MOST).contains(&bytes), "{bytes} bytes at {}: {}", visit["scale"], visit["files"]);
    let pictures = visit["all_pictures"].as_array().unwrap();
    assert_eq!((pictures.len(), &visit["count"]), (12, &Value::from(12)), "{visit}");
    for picture in pictures {
        let width = |name: &str| picture[name].as_f64().unwrap();
        assert!(
            (width("promised") - width("shown")).abs() <= 8.0,
            "`sizes` promises another width: {picture}"
        );
        assert_eq!(picture["lazy"], true, "{picture}");
        assert!(picture["holds"].as_str().unwrap().contains("data:image/jpeg"), "{picture}");
    }
    let tall = pictures.iter().filter(|picture| picture["tall"] == true).count();
    assert!(tall > 0 && tall < 12, "{tall} of 12 stand upright");
}
