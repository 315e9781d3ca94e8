//! `watch --post`: after a while without a save the site goes up; without a network it waits, says so and catches up.

use super::servers::{Webdav, free_port};
use super::{At, digests, put_up, put_up_at, readme_lines, readme_secrets};
use crate::builder::TestShop;
use crate::watching::{Watching, pin};
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// The host comes to hold what is in `public/`.
fn comes_to_hold(shop: &TestShop, site: &Path, watching: &mut Watching) {
    let begun = Instant::now();
    while digests(site) != digests(&shop.at("public")) {
        assert!(begun.elapsed() < Duration::from_secs(60), "{}", watching.all_said());
        sleep(Duration::from_millis(50));
    }
}

#[test]
fn it_posts_when_it_is_quiet() {
    let shop = TestShop::healthy();
    let place = tempfile::tempdir().unwrap();
    let site = place.path().join("site");
    put_up_at(&shop, &At::Folder(site.clone()));
    let text = std::fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    shop.file("content/shop.toml", format!("{text}quiet = 1\n"));
    pin(&shop);
    let mut watching = Watching::with(&shop, &["--post"]);
    watching.has_said("Put up: ");
    comes_to_hold(&shop, &site, &mut watching);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "over the left wing", "over the right wing");
    watching.until("Put up: ");
    comes_to_hold(&shop, &site, &mut watching);
    let page = shop.private_page("26-041").unwrap().0;
    assert!(std::fs::read_to_string(site.join(page)).unwrap().contains("right wing"));
    assert_eq!(watching.end().0, Some(0));
}

#[test]
fn without_a_network_it_says_so_once_and_catches_up() {
    let shop = TestShop::healthy();
    let port = free_port();
    let lines =
        readme_lines("webdav").replace("https://dav.example/studio", &format!("http://127.0.0.1:{port}"));
    put_up(&shop, &format!("{lines}quiet = 1\n"), Some(&readme_secrets("password", &[super::PASSWORD])));
    pin(&shop);
    let mut watching = Watching::with(&shop, &["--post"]);
    watching.has_said("as soon as the host can be reached");
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "over the left wing", "over the right wing");
    // A second try comes to the same, and is not told again.
    sleep(Duration::from_secs(4));
    let place = tempfile::tempdir().unwrap();
    let site = place.path().join("site");
    let _webdav = Webdav::on(port, Some(&site));
    watching.has_said("The host can be reached again.");
    comes_to_hold(&shop, &site, &mut watching);
    let (code, said) = watching.end();
    assert_eq!((code, said.matches("host-away").count()), (Some(0), 1), "{said}");
}

#[test]
fn without_a_place_it_does_not_begin() {
    let shop = TestShop::healthy();
    shop.run(&["watch", "--post", "--port", "0"]).exits(2).tells("(no-place)");
}
