//! What a file of the site is (`model::role`), held against whole sites: each file has a role that fits what it holds, and the
//! order that follows from it leads nobody to what is not there.

use benchlight::door::base::digest::Digest;
use benchlight::door::base::media_type::media_type;
use benchlight::door::base::ours::has_mark;
use benchlight::door::base::site_path::folder_of;
use benchlight::door::model::Role;
use benchlight::door::model::role::{KnownBy, Sealed, content_name};
use benchlight::door::model::write_order::Landing;
use std::collections::{BTreeMap, BTreeSet};

/// Holds it for every file of a finished site; gives the roles that it has.
pub fn every_file_has_its_role(files: &BTreeMap<String, Vec<u8>>) -> BTreeSet<String> {
    let mut roles = BTreeSet::new();
    for (path, bytes) in files {
        let role = Role::of(path);
        roles.insert(format!("{role:?}"));
        assert_eq!(role.is_private(), path.starts_with("see/") && path != "see/index.html", "{path}");
        let known = match role.known_by() {
            KnownBy::Mark => has_mark(bytes),
            KnownBy::Name => content_name(path).is_some_and(|name| name == Digest::of(bytes).short()),
            KnownBy::Seal => bytes.starts_with(b"bl-seal1"),
            KnownBy::Nothing => false,
        };
        assert!(known, "{path} is a {role:?}, and nothing in it says so");
        let plain = media_type(path) == "application/octet-stream";
        assert_eq!(plain, matches!(role, Role::Sealed(_)), "{path} is sent as {}", media_type(path));
    }
    order_leads_nobody_astray(files.keys());
    roles
}

/// The rules as `write` and `post` had them each by itself.
fn order_leads_nobody_astray<'a>(paths: impl Iterator<Item = &'a String>) {
    let paths: Vec<(&String, Role)> = paths.map(|path| (path, Role::of(path))).collect();
    let leads = |path: &str| [".html", ".xml", ".txt"].iter().any(|ending| path.ends_with(ending));
    for (path, role) in &paths {
        let step = |new: bool| match path.ends_with(".html") {
            _ if *path == "see/index.html" => Landing::Cover,
            // New names: they lead nowhere, and whatever stands at one holds the same or is damaged.
            _ if matches!(role, Role::Photo(_)) => Landing::Shown,
            _ if !leads(path) && !new && role.is_private() => Landing::Changed,
            _ if !leads(path) => Landing::Shown,
            true if new && role.is_private() => Landing::NewPrivatePage,
            true if new && *path == "index.html" => Landing::NewFrontPage,
            true if new => Landing::NewPage,
            _ => Landing::Changed,
        };
        assert_eq!([true, false].map(|new| role.landing(new)), [true, false].map(step), "{path}");
    }
    for (path, role) in &paths {
        for (other, shown) in paths.iter().filter(|(other, _)| !leads(other)) {
            let new = [true, false].map(|new| shown.landing(true) < role.landing(new));
            assert!(
                !leads(path) || *role == Role::Cover || new == [true, true],
                "{other} comes before {path}"
            );
            let together = folder_of(path) == folder_of(other) && leads(path);
            assert!(!together || role.going() < shown.going(), "{path} goes before {other}");
        }
    }
}

#[test]
fn a_sealed_shop_has_shells_and_sealed_files_alone_at_its_private_addresses() {
    let shop = crate::sealed::shop();
    shop.make(0);
    let roles = every_file_has_its_role(&shop.tree("public"));
    let [shell, sealed] = [Role::Shell, Role::Sealed(Sealed::Untold)].map(|role| format!("{role:?}"));
    assert!(roles.contains(&shell) && roles.contains(&sealed), "{roles:?}");
    assert!(!roles.iter().any(|role| role.contains("Private")), "{roles:?}");
}
