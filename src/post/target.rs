//! Where a site may go: never into a shop's own folder, nor over one, nor where the site is made or our records lie. Asked
//! before anything is touched; links are followed first, and letters in capitals count as the same.
//!
//! Whether a place that may be used is this shop's own is for `plan`.

use super::host::Listing;
use super::secrets::at_home;
use crate::base::files::resolved;
use crate::model::{Post, PostTo};
use crate::problem::{Code, Problem};
use std::fs;
use std::path::{Component, Path, PathBuf};

/// What every shop has, by its path in the shop's folder.
const SHOP: &str = "content/shop.toml";
/// The folder of our records.
const HIDDEN: &str = ".benchlight";

/// The folder of this computer that the site goes to, if it is one.
pub fn folder(shop: &Path, post: &Post) -> Option<PathBuf> {
    match &post.to {
        PostTo::Folder { folder } => Some(at_home(folder).unwrap_or_else(|| shop.join(folder))),
        _ => None,
    }
}

/// Whether the site may go into a folder of this computer.
pub(super) fn check(folder: &Path, shop: &Path, words: &str) -> Result<(), Problem> {
    let real = resolved(folder);
    let shop_real = resolved(shop);
    // By its name in the shop and by where a link there leads.
    let own = ["content", "public", HIDDEN, "themes", "print"];
    let own = own.iter().flat_map(|name| [resolved(&shop.join(name)), shop_real.join(name)]);
    let own: Vec<PathBuf> = own.chain([shop_real.clone()]).collect();
    if own.iter().any(|inner| lies_in(inner, &real) || lies_in(&real, inner)) {
        return Err(refused("this shop's own folder", words));
    }
    let is_shop = |above: &Path| {
        let there = |name: &str| fs::symlink_metadata(above.join(name)).is_ok();
        // A content folder that lies elsewhere than its shop counts as well.
        there(SHOP) || there("shop.toml") && there("shop.key")
    };
    if real.ancestors().any(is_shop) {
        return Err(refused("the folder of a shop", words));
    }
    match real.components().any(|part| same(part, Component::Normal(HIDDEN.as_ref()))) {
        true => Err(refused("a folder of Benchlight's records", words)),
        false => Ok(()),
    }
}

/// Whether nothing that a host holds is a shop's own folder.
pub(super) fn holds_no_shop(listing: &Listing, words: &str) -> Result<(), Problem> {
    let is_shops = |path: &String| {
        let path = path.to_ascii_lowercase();
        path == SHOP
            || path.ends_with(&format!("/{SHOP}"))
            || path.trim_end_matches('/').split('/').any(|part| part == HIDDEN)
    };
    match listing.files.keys().chain(&listing.folders).any(is_shops) {
        true => Err(refused("a folder that holds a shop", words)),
        false => Ok(()),
    }
}

fn refused(what: &str, words: &str) -> Problem {
    Problem::new(Code::BadPlace, format!("the site cannot be put up there: it is, or is inside, {what} ({words})"))
        .hint("choose an empty folder beside the shop's, such as `folder = \"../site-to-sync\"`; nothing was changed")
}

/// Whether a path is another one or lies below it.
fn lies_in(path: &Path, above: &Path) -> bool {
    let mut parts = path.components();
    above.components().all(|wanted| parts.next().is_some_and(|part| same(part, wanted)))
}

fn same(one: Component<'_>, other: Component<'_>) -> bool {
    let folded = |part: Component<'_>| part.as_os_str().to_string_lossy().to_lowercase();
    one == other || folded(one) == folded(other)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::symlink;

    fn shop_in(folder: &Path) {
        fs::create_dir_all(folder.join("content/jobs")).unwrap();
        fs::File::create(folder.join(SHOP)).unwrap();
        fs::create_dir_all(folder.join(HIDDEN)).unwrap();
        fs::create_dir_all(folder.join("public")).unwrap();
    }

    #[test]
    fn no_spelling_leads_into_a_shop() {
        let place = tempfile::tempdir().unwrap();
        let shop = place.path().join("shop");
        for name in ["shop", "other shop"] {
            shop_in(&place.path().join(name));
        }
        fs::create_dir_all(place.path().join("free/inner")).unwrap();
        symlink(shop.join("content"), place.path().join("free/link")).unwrap();
        symlink(place.path().join("other shop"), place.path().join("next")).unwrap();
        symlink(place.path().join("free/inner"), place.path().join("way")).unwrap();
        symlink(place.path(), shop.join("up")).unwrap();
        let absolute = shop.join("public").display().to_string();
        for wrong in [
            ".",
            "",
            "..",
            "./",
            "content",
            "Content",
            "CONTENT/jobs",
            "public",
            "public/site",
            ".benchlight",
            "site",
            "a/b/c",
            "../shop",
            "../SHOP/site",
            "../shop/../shop/site",
            "../other shop",
            "../other shop/new/site",
            "../next",
            "../next/site",
            "../free/link",
            "../free/link/../site",
            "up",
            "up/shop/x",
            "/",
            "themes",
            "../x/.benchlight/site",
            &absolute,
        ] {
            let refused = check(&shop.join(wrong), &shop, "there").unwrap_err();
            assert_eq!(refused.code, Code::BadPlace, "{wrong}");
        }
        for right in
            ["../site", "../free", "../free/new", "../way/site", "up/site", "../shop-site", "../shopping"]
        {
            assert!(check(&shop.join(right), &shop, "there").is_ok(), "{right}");
        }
    }

    #[test]
    fn a_place_that_holds_a_shop_is_refused() {
        let listing = |paths: &[&str], folders: &[&str]| {
            let seen = super::super::host::HostFile { bytes: 1, tag: String::new(), plain: true };
            Listing {
                files: paths.iter().map(|path| ((*path).to_owned(), seen.clone())).collect(),
                folders: folders.iter().map(|path| (*path).to_owned()).collect(),
            }
        };
        for paths in [["content/shop.toml"], ["a/b/Content/Shop.toml"], ["a/.benchlight/lock"]] {
            assert!(holds_no_shop(&listing(&paths, &[]), "there").is_err(), "{paths:?}");
        }
        assert!(holds_no_shop(&listing(&[], &["a/", "a/.benchlight/"]), "there").is_err());
        assert!(
            holds_no_shop(&listing(&["content/index.html", "shop.toml"], &["content/"]), "there").is_ok()
        );
    }
}
