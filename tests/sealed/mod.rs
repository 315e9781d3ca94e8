//! Sealed pages: the ciphers against published vectors, the files against another library, what a host sees of them,
//! and a phone that opens one from its code.

mod host;
mod new_key;
mod phone;
mod vectors;

use crate::builder::{TODAY, TestShop};
use std::collections::BTreeMap;

/// A healthy shop that seals its pages; 26-041 has a photo.
pub fn shop() -> TestShop {
    let shop = TestShop::healthy();
    shop.edit("content/shop.toml", "[money]", "[private-page]\nsealed = true\n\n[money]");
    shop
}

/// Folder and key of a job's page, by the address that the owner is told.
pub fn folder_and_key(shop: &TestShop, number: &str) -> (String, String) {
    let told = shop.run(&["board", "--json", "--as-of", TODAY]).out();
    let told: serde_json::Value = serde_json::from_str(&told).expect("JSON");
    let job = told["jobs"].as_array().unwrap().iter().find(|job| job["job"] == number).expect("the job");
    let way = job["page"].as_str().unwrap().to_owned();
    let (folder, key) = way.split_once('#').unwrap_or_else(|| panic!("no key in {way}"));
    (folder.to_owned(), key.to_owned())
}

/// The files of a folder of `public/`, by name.
pub fn files_of(shop: &TestShop, folder: &str) -> BTreeMap<String, Vec<u8>> {
    let tree = shop.tree("public").into_iter();
    tree.filter_map(|(path, bytes)| Some((path.strip_prefix(folder)?.to_owned(), bytes))).collect()
}
