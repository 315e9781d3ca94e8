//! One role a file; and what follows from it is what the rooms did each by itself before there were roles.

use super::*;
use crate::model::write_order::{Going, Landing};
use Going as G;
use Landing as L;

const OPEN: &str = "see/0123456789abcdefghjkmnpqrs/";
const SEALED: &str = "see/0123456789abcdef/";

fn at(folder: &str, name: &str) -> Role {
    Role::of(&format!("{folder}{name}"))
}

#[test]
fn a_path_tells_the_role() {
    for (path, role) in [
        ("see/index.html", Role::Cover),
        ("index.html", Role::FrontPage),
        ("404.html", Role::Page(Side::Public)),
        ("showroom/turkey/half-strut/index.html", Role::Page(Side::Public)),
        ("showroom/turkey/half-strut/0123456789abcdef.jpg", Role::Photo(Side::Public)),
        ("look-0123456789abcdef.css", Role::Style),
        ("robots.txt", Role::Robots),
        ("sitemap.xml", Role::Sitemap),
        // Whatever the owner lays there.
        ("0123456789abcdef.css", Role::Other(Side::Public)),
        ("holiday.jpg", Role::Other(Side::Public)),
        ("old-look-0123456789abcdef.css", Role::Other(Side::Public)),
        ("price list.pdf", Role::Other(Side::Public)),
        ("no-ending", Role::Other(Side::Public)),
        ("a/page.bin", Role::Other(Side::Public)),
        ("", Role::Other(Side::Public)),
    ] {
        assert_eq!(Role::of(path), role, "{path}");
    }
    assert_eq!(at(OPEN, "index.html"), Role::Page(Side::Private));
    assert_eq!(at(OPEN, "0123456789abcdef.jpg"), Role::Photo(Side::Private));
    assert_eq!(at(OPEN, "ready.ics"), Role::Calendar(Side::Private));
    assert_eq!(at(OPEN, "news.atom"), Role::Feed(Side::Private));
    assert_eq!(at(OPEN, "x"), Role::Other(Side::Private));
    assert_eq!(at(SEALED, "index.html"), Role::Shell);
    assert_eq!(at(SEALED, "x.bin"), Role::Sealed(Sealed::Untold));
    let pages = BTreeSet::from([format!("{SEALED}x.bin")]);
    assert_eq!(Role::known(&format!("{SEALED}x.bin"), &pages), Role::Sealed(Sealed::Page));
    assert_eq!(Role::known(&format!("{SEALED}y.bin"), &pages), Role::Sealed(Sealed::Part));
    assert_eq!(Role::known("index.html", &pages), Role::FrontPage);
}

#[test]
fn what_is_shown_comes_before_what_shows_it_and_goes_after() {
    for new in [true, false] {
        let landing = |path: &str| Role::of(path).landing(new);
        let page = at(OPEN, "index.html");
        for photo in [at(OPEN, "0123456789abcdef.jpg"), Role::Style, Role::Sealed(Sealed::Part)] {
            assert!(photo.landing(new) < page.landing(new) && photo.landing(new) < Role::Shell.landing(new));
            assert!(
                photo.landing(new) < landing("showroom/index.html") && photo.going() > Role::Shell.going()
            );
        }
        assert!(Role::Sealed(Sealed::Part).landing(new) < Role::Sealed(Sealed::Page).landing(new));
        assert!(Role::Sealed(Sealed::Page).landing(true) < Role::Shell.landing(new));
        assert!(Role::Cover.landing(new) < landing("look-0123456789abcdef.css"), "before all");
        // What changes leads to what is new, of whatever kind.
        assert!(
            landing("prices/index.html") <= L::Changed && Role::of("index.html").landing(false) == L::Changed
        );
    }
    let new =
        [Role::of("prices/index.html"), Role::FrontPage, Role::Page(Side::Private)].map(|r| r.landing(true));
    assert_eq!(new, [L::NewPage, L::NewFrontPage, L::NewPrivatePage]);
    // From its path alone a host's sealed file may hold a page: one that changes leads to the new ones beside it.
    assert!(Role::Sealed(Sealed::Untold).landing(true) < Role::Sealed(Sealed::Untold).landing(false));
    let going = [at(OPEN, "index.html"), at(OPEN, "x.jpg"), Role::FrontPage, Role::Style, Role::Cover]
        .map(Role::going);
    assert_eq!(going, [G::PrivatePage, G::PrivateRest, G::PublicPage, G::PublicRest, G::Cover]);
}

#[test]
fn only_what_is_named_by_content_is_kept_for_long_and_private_pages_never() {
    let caching = |path: &str| Role::of(path).caching();
    assert_eq!(caching("look-0123456789abcdef.css"), "public, max-age=31536000, immutable");
    assert_eq!(
        (caching("index.html"), caching(COVER), caching("logo.png")),
        ("no-cache", "no-cache", "no-cache")
    );
    for name in ["index.html", "ready.ics", "news.atom", "x.bin"] {
        for folder in [OPEN, SEALED] {
            assert_eq!(at(folder, name).caching(), "private, no-store", "{name}");
            assert!(at(folder, name).robots().is_some());
        }
    }
    assert_eq!(at(OPEN, "0123456789abcdef.jpg").caching(), "private, max-age=31536000, immutable");
    assert!(Role::Cover.robots().is_some());
    assert!(
        Role::of("showroom/0123456789abcdef.jpg").robots().is_none() && Role::FrontPage.robots().is_none()
    );
}

#[test]
fn ours_is_known_by_mark_name_or_seal() {
    for name in ["index.html", "ready.ics", "news.atom"] {
        assert_eq!(at(OPEN, name).known_by(), KnownBy::Mark, "{name}");
    }
    assert_eq!(Role::of("look-0123456789abcdef.css").known_by(), KnownBy::Name);
    assert_eq!(content_name("look-0123456789abcdef.css"), Some("0123456789abcdef"));
    assert_eq!(content_name("a/0123456789abcdef.jpg"), Some("0123456789abcdef"));
    assert_eq!(at(SEALED, "x.bin").known_by(), KnownBy::Seal);
    assert_eq!(Role::of("a/holiday.jpg").known_by(), KnownBy::Nothing);
}
