//! A shop made by `open` goes to each of the four kinds of place by the handbook's own lines; what changed follows, what is
//! retired is gone, a stranger's file stays, and nothing private is ever there.

use super::servers::{ACCESS, PASSWORD, SECRET, Sftp, Storage, Webdav};
use super::{At, digests, posts, put_up_at, run};
use crate::builder::{PHONE_PHOTO, TestShop, tree};
use std::fs;
use std::path::{Path, PathBuf};

pub const JOB: &str = "content/jobs/26-077 CANARYFOLDER gobbler";

/// A shop as `open` lays it out, with two pieces in it.
pub fn opened() -> TestShop {
    let shop = TestShop::empty();
    let at = shop.path().to_str().unwrap().to_owned();
    shop.run(&["open", &at]).exits(0);
    shop.file(
        &format!("{JOB}/job.toml"),
        crate::privacy::PRIVATE_JOB.replace("pose       = \"half-strut\"\n", ""),
    );
    shop.file(&format!("{JOB}/IMG_20260510_101010.jpg"), PHONE_PHOTO);
    shop.file(&format!("{JOB}/not shown/CANARYHIDDEN.jpg"), [PHONE_PHOTO, b"more"].concat());
    let other = "customer = \"Bo Ruell\"\npiece = \"A hen\"\nroute = \"turkey-fan\"\ntaken-in = 2026-05-01\n";
    shop.file("content/jobs/26-078 Ruell hen/job.toml", other);
    shop
}

fn whole_round(at: &At) {
    let shop = opened();
    put_up_at(&shop, at);
    shop.make(0);
    let dry =
        run(&shop, &["post", "--dry"], &at.surroundings()).exits(0).says("Nothing was changed there").out();
    assert!(dry.contains("file") && at.holds().is_empty(), "{dry}");
    posts(&shop, at).says("new or changed").tells_nothing();
    posts(&shop, at).says("Nothing to put up").tells_nothing();

    // A change, and a stranger's file beside ours.
    at.stranger("notes/mine.txt", "not Benchlight's");
    let (page, _) = shop.private_page("26-077").unwrap();
    shop.edit(&format!("{JOB}/job.toml"), "bench-note", "note = \"All is well.\"\nbench-note");
    shop.make(0);
    run(&shop, &["post"], &at.surroundings()).exits(0);
    let mut want = digests(&shop.at("public"));
    let mine = benchlight::door::base::digest::Digest::of(b"not Benchlight's").hex();
    want.insert("notes/mine.txt".to_owned(), mine);
    assert_eq!(at.holds(), want);

    // A job that is retired is gone with its photos and its folder.
    fs::remove_dir_all(shop.at(JOB)).unwrap();
    shop.make(0);
    run(&shop, &["post"], &at.surroundings()).exits(0).says("gone");
    let folder = page.trim_end_matches("index.html");
    let holds = at.holds();
    assert!(!holds.keys().any(|path| path.starts_with(folder)), "{holds:?}");
    assert!(holds.contains_key("notes/mine.txt") && holds.contains_key("see/index.html"));
    if let At::Folder(site) = at {
        assert!(!site.join(folder).exists(), "the name of its folder would tell the address");
    }

    // Without the record everything is known again, and what is retired then goes as well.
    fs::remove_dir_all(shop.at(".benchlight/posted")).unwrap();
    let other = shop.private_page("26-078").unwrap().0;
    fs::remove_dir_all(shop.at("content/jobs/26-078 Ruell hen")).unwrap();
    shop.make(0);
    run(&shop, &["post"], &at.surroundings()).exits(0).says("gone");
    let holds = at.holds();
    assert!(!holds.contains_key(&other) && holds.contains_key("notes/mine.txt"), "{holds:?}");
    nothing_private(at);
}

/// A folder with all that is at the host; what has none of its own is saved into `saved`.
pub fn all_there(at: &At, saved: &Path) -> PathBuf {
    match at {
        At::Folder(folder) => folder.clone(),
        At::Sftp(sftp) => sftp.site(),
        At::Webdav(webdav) => webdav.site(),
        At::Storage(storage) => {
            storage.everything(saved);
            saved.to_owned()
        }
    }
}

/// No byte of what is at the host holds anything private.
pub fn nothing_private(at: &At) {
    let saved = tempfile::tempdir().unwrap();
    let files = tree(&all_there(at, saved.path()));
    assert!(files.len() > 5);
    for (path, bytes) in files {
        let text = String::from_utf8_lossy(&bytes).to_ascii_lowercase();
        for canary in ["canary", ACCESS, SECRET, PASSWORD] {
            let canary = canary.to_ascii_lowercase();
            assert!(
                !text.contains(&canary) && !path.to_ascii_lowercase().contains(&canary),
                "{canary} in {path}"
            );
        }
    }
}

#[test]
fn to_a_folder() {
    let place = tempfile::tempdir().unwrap();
    whole_round(&At::Folder(place.path().join("site")));
}

#[test]
fn to_object_storage() {
    whole_round(&At::Storage(Storage::start()));
}

#[test]
fn to_a_web_space_by_sftp() {
    whole_round(&At::Sftp(Sftp::start()));
}

#[test]
fn to_a_webdav_share() {
    whole_round(&At::Webdav(Webdav::start()));
}

#[test]
fn object_storage_is_told_media_types_and_what_may_be_kept() {
    let storage = Storage::start();
    let at = At::Storage(storage);
    let shop = opened();
    put_up_at(&shop, &at);
    shop.make(0);
    posts(&shop, &at);
    let At::Storage(storage) = &at else { unreachable!() };
    let page = shop.private_page("26-077").unwrap().0;
    let folder = page.trim_end_matches("index.html");
    for (name, _, headers) in storage.objects() {
        let parts: Vec<&str> = headers.split(" | ").collect();
        let (kind, cache, robots) = (parts[0], parts[1], parts[2]);
        let named = name.ends_with(".jpg") || name.ends_with(".css");
        let private = name.starts_with("see/") && name != "see/index.html";
        let want = match (private, named) {
            (true, true) => "private, max-age=31536000, immutable",
            (true, false) => "private, no-store",
            (false, true) => "public, max-age=31536000, immutable",
            (false, false) => "no-cache",
        };
        assert_eq!(cache, want, "{name}");
        assert_eq!(robots.contains("noindex"), name.starts_with("see/"), "{name}: {robots}");
        let ending = name.rsplit('.').next().unwrap();
        // The table of Debian's `media-types`, which is the registry's.
        let table =
            fs::read_to_string("/etc/mime.types").expect("Debian's media-types: run `bash tests/all.sh`");
        let registered = table.lines().find(|l| l.split_whitespace().skip(1).any(|e| e == ending));
        let registered = registered.and_then(|l| l.split_whitespace().next()).unwrap();
        assert_eq!(kind.split(';').next().unwrap(), registered, "{name}");
    }
    assert!(storage.objects().iter().any(|(name, ..)| name.starts_with(folder) && name.ends_with(".jpg")));
}

#[test]
fn a_strangers_page_in_the_way_ends_it_before_anything_is_touched() {
    let place = tempfile::tempdir().unwrap();
    let at = At::Folder(place.path().to_owned());
    let shop = TestShop::healthy();
    put_up_at(&shop, &at);
    shop.make(0);
    at.stranger("index.html", "<title>It works!</title>");
    let before = at.holds();
    // Nothing says that this is our place.
    shop.run(&["post"])
        .exits(2)
        .tells("1 file would be written over, 0 taken away, 0 left")
        .tells("Nothing was changed")
        .tells("(place-taken)");
    assert_eq!(at.holds(), before);
    fs::remove_file(place.path().join("index.html")).unwrap();
    // A link of somebody else's is no folder to write through.
    let elsewhere = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(elsewhere.path(), place.path().join("see")).unwrap();
    for args in [&["post"][..], &["post", "--even-so"]] {
        shop.run(args).exits(2).tells("in the way").tells("(host-taken)");
    }
    assert!(tree(elsewhere.path()).is_empty());
    fs::remove_file(place.path().join("see")).unwrap();
    posts(&shop, &at);

    // What somebody lays over a file of ours is theirs, until the owner says otherwise.
    at.stranger("index.html", "<title>It works again!</title>");
    let before = at.holds();
    shop.run(&["post"])
        .exits(2)
        .tells("`index.html` at the host is in the way")
        .tells("nothing was changed")
        .tells("(host-taken)");
    assert_eq!(at.holds(), before);
    shop.run(&["post", "--even-so"]).exits(0).says("1 file new or changed, 0 gone");

    // What somebody lays over a file of ours that is to go is theirs.
    fs::remove_dir_all(shop.at("content/pages")).unwrap();
    shop.edit("content/shop.toml", "menu  = [\"prices\"]", "menu = []");
    shop.make(0);
    at.stranger("prices/index.html", "<title>My own prices</title>");
    shop.run(&["post"]).exits(0).tells("somebody else's by now").tells("(unposted)");
    assert!(at.holds().contains_key("prices/index.html"));
}

#[test]
fn without_a_place_or_a_site_it_says_what_to_do() {
    let shop = TestShop::healthy();
    shop.run(&["post"]).exits(2).tells("(no-place)").tells("[post]");
    let place = tempfile::tempdir().unwrap();
    put_up_at(&shop, &At::Folder(place.path().join("site")));
    shop.run(&["post"]).exits(2).tells("(nothing-to-post)").tells("benchlight make");
    shop.make(0);
    posts(&shop, &At::Folder(place.path().join("site")));
    // Another place later: the old one is named.
    put_up_at(&shop, &At::Folder(place.path().join("other")));
    shop.run(&["post"]).exits(0).tells("another place before").tells("/site").tells("(unposted)");
}
