//! Where each page lies in the site, and how one page points at another.
//!
//! Addresses are relative and name `index.html`, so that the site works under any folder and
//! straight from disk.

use crate::base::names::{address_word, is_address_word};
use crate::base::site_path::private_folder;
pub use crate::base::site_path::{COVER, folder_of};

/// The way from a file of the site up to its root: empty, or `../` for each folder.
pub fn root_of(path: &str) -> String {
    "../".repeat(path.matches('/').count())
}

/// A private page.
pub fn private(address: &str) -> String {
    format!("{}index.html", private_folder(address))
}

/// All poses.
pub const SHOWROOM: &str = "showroom/index.html";

/// All poses one after the other, for a tablet at the counter.
pub const COUNTER: &str = "showroom/counter.html";

/// The poses of an animal side by side.
pub fn side_by_side(animal: &str) -> String {
    format!("showroom/{}/side-by-side.html", word(animal))
}

/// The poses of an animal.
pub fn animal(animal: &str) -> String {
    format!("showroom/{}/index.html", word(animal))
}

/// One pose.
pub fn pose(animal: &str, key: &str) -> String {
    format!("showroom/{}/{}/index.html", word(animal), word(key))
}

/// One of the owner's pages.
pub fn page(key: &str) -> String {
    format!("{}/index.html", word(key))
}

/// The public address of a page: its folder, for sitemaps.
pub fn public(path: &str) -> &str {
    path.strip_suffix("index.html").unwrap_or(path)
}

/// A folder's name as part of an address; what is no address word is made one.
fn word(name: &str) -> String {
    if is_address_word(name) { name.to_owned() } else { address_word(name) }
}

/// A folder's name as words: `white-tailed-deer` becomes `White tailed deer`.
pub fn as_words(name: &str) -> String {
    capital(&name.replace(['-', '_'], " "))
}

/// With a capital first letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_page_finds_its_way_to_the_root() {
        assert_eq!(root_of("index.html"), "");
        assert_eq!(root_of(&pose("turkey", "half-strut")), "../../../");
        assert_eq!(folder_of(&private("abc")), "see/abc/");
        assert_eq!(folder_of("index.html"), "");
        assert_eq!(public("showroom/index.html"), "showroom/");
        assert_eq!(pose("Wild Turkey", "3/4"), "showroom/wild-turkey/3-4/index.html");
        assert_eq!(as_words("white-tailed-deer"), "White tailed deer");
    }
}
