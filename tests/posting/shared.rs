//! A place that another shop's site is in, or lies above or below: what a shop did not put up itself it never takes away nor
//! writes over, and where it cannot know it asks once.

use super::servers::{Storage, Webdav};
use super::{At, digests, posts, put_up, put_up_at, readme_lines, run};
use crate::builder::{TODAY, TestShop};
use benchlight::door::base::digest::Digest;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

type Held = BTreeMap<String, String>;

/// A healthy shop of another owner: another key, another name, a page that the first has not.
fn other_shop() -> TestShop {
    let shop = TestShop::healthy();
    shop.key(9);
    shop.edit("content/shop.toml", "Hollow Ash Studio", "Quillback Mounts");
    shop.file("content/pages/find-us.md", "# Find us\n\nBy the mill.\n");
    shop
}

/// What lies below a folder of the place, with its paths from there; and the rest.
fn parted(held: &Held, below: &str) -> (Held, Held) {
    let (inside, outside): (Held, Held) =
        held.clone().into_iter().partition(|(path, _)| path.starts_with(below));
    (inside.into_iter().map(|(path, digest)| (path[below.len()..].to_owned(), digest)).collect(), outside)
}

/// `post` is refused with this code, and the place is as it was.
fn is_refused(shop: &TestShop, at: &At, code: &str) -> String {
    let before = at.holds();
    let ran = run(shop, &["post"], &at.surroundings()).exits(2).tells(code).tells("othing was changed");
    assert_eq!(at.holds(), before);
    ran.err()
}

/// What stands at a host that `site` was put up at, and this shop too.
fn both(at: &At, one: &Held, shop: &TestShop) {
    let held = at.holds();
    for (path, digest) in &digests(&shop.at("public")) {
        assert_eq!(held.get(path), Some(digest), "{path}");
    }
    for path in one.keys() {
        assert!(held.contains_key(path), "{path} is gone");
    }
}

#[test]
fn two_shops_in_one_place_ask_before_one_takes_it_over() {
    let place = tempfile::tempdir().unwrap();
    let at = At::Folder(place.path().join("site"));
    let (one, two) = (TestShop::healthy(), other_shop());
    for shop in [&one, &two] {
        put_up_at(shop, &at);
        shop.make(0);
    }
    posts(&one, &at);
    let first = at.holds();
    let told = is_refused(&two, &at, "(place-taken)");
    // Its own front page, list of files and so on stand in the way of as many of the other's.
    let (ours, theirs) = (digests(&two.at("public")), &first);
    let over = ours.iter().filter(|(path, digest)| theirs.get(*path).is_some_and(|d| d != *digest)).count();
    let same = ours.iter().filter(|(path, digest)| theirs.get(*path) == Some(*digest)).count();
    let counts =
        format!("{over} files would be written over, 0 taken away, {} left", theirs.len() - over - same);
    assert!(
        over > 3 && told.contains(&counts) && told.contains("benchlight post --even-so"),
        "{counts}:\n{told}"
    );
    two.run(&["post", "--dry"]).exits(2).tells("(place-taken)");
    two.run(&["post", "--dry", "--even-so"])
        .exits(0)
        .says("Nothing was changed there")
        .says("no files to take away");
    assert_eq!(at.holds(), first);

    // The owner's word lets it write over, and take nothing away.
    two.run(&["post", "--even-so"]).exits(0).says("0 gone");
    both(&at, &first, &two);
    two.run(&["post"]).exits(0).says("Nothing to put up");
    // What both have, by the same name made of the same bytes, stays when the second changes its look.
    two.file("themes/hangtag/look.css", "body { color: #123456 }\n");
    fs::remove_file(two.at("content/pages/find-us.md")).unwrap();
    two.make(0);
    two.run(&["post"]).exits(0);
    both(&at, &first, &two);
    assert!(!at.holds().contains_key("find-us/index.html"), "its own page goes");

    // The first does not write over what is the other's by now without being told to.
    let told = is_refused(&one, &at, "(host-taken)");
    assert!(told.contains("--even-so"), "{told}");
    let second = at.holds();
    one.run(&["post", "--even-so"]).exits(0);
    both(&at, &second, &one);
    is_refused(&two, &at, "(host-taken)");
}

/// Two shops, the second of them below the first: each comes and goes, and neither touches the other.
fn one_below_the_other(at: &At, lines_below: &str) {
    let (above, below) = (TestShop::healthy(), other_shop());
    put_up_at(&above, at);
    put_up(&below, lines_below, at.secrets().as_deref());
    for shop in [&above, &below] {
        shop.make(0);
    }
    // The inner one first: the outer one meets it without any record, and asks once.
    below.run(&["post"]).exits(0);
    let inner = digests(&below.at("public"));
    assert_eq!(parted(&at.holds(), "b/").0, inner);
    is_refused(&above, at, "(place-taken)");
    above.run(&["post", "--even-so"]).exits(0).says("0 gone");
    let stands = |above: &TestShop, below: &TestShop| {
        let (inner, outer) = parted(&at.holds(), "b/");
        assert_eq!(inner, digests(&below.at("public")));
        assert_eq!(outer, digests(&above.at("public")));
    };
    stands(&above, &below);
    above.run(&["post"]).exits(0).says("Nothing to put up");
    // Both lose their records, a piece and a page, and heal.
    for shop in [&above, &below] {
        fs::remove_dir_all(shop.at(".benchlight/posted")).unwrap();
        fs::remove_dir_all(shop.at("content/jobs/26-041 Fenn gobbler")).unwrap();
        shop.file("content/pages/prices.md", "# Prices\n\nA hen from 540.\n");
        shop.make(0);
        shop.run(&["post"]).exits(0).says("gone");
        shop.run(&["post"]).exits(0).says("Nothing to put up");
    }
    stands(&above, &below);
    // And with their records.
    for shop in [&below, &above] {
        fs::remove_dir_all(shop.at("content/jobs/26-042 Ruell hen")).unwrap();
        shop.make(0);
        shop.run(&["post"]).exits(0).says("gone");
    }
    stands(&above, &below);
}

#[test]
fn one_shop_below_another_in_a_folder() {
    let place = tempfile::tempdir().unwrap();
    let site = place.path().join("site");
    let inner = At::Folder(site.join("b"));
    one_below_the_other(&At::Folder(site), &inner.lines());
}

#[test]
fn one_shop_below_another_in_object_storage() {
    let storage = Storage::start();
    let at = At::Storage(storage);
    let lines = at.lines();
    assert!(!lines.contains("\nfolder"), "the README's bucket has a folder by now: {lines}");
    one_below_the_other(&at, &format!("{}\nfolder = \"b\"\n", lines.trim_end()));
}

#[test]
fn one_shop_below_another_in_a_webdav_share() {
    let webdav = Webdav::start();
    let inner = webdav.site().join("b");
    fs::create_dir(&inner).unwrap();
    // Whoever the server runs as makes folders there.
    std::os::unix::fs::chown(&inner, owner(&webdav.site()), owner(&webdav.site())).unwrap();
    let lines =
        readme_lines("webdav").replace("https://dav.example/studio", &format!("{}/b", webdav.address()));
    one_below_the_other(&At::Webdav(webdav), &lines);
}

fn owner(path: &Path) -> Option<u32> {
    Some(std::os::unix::fs::MetadataExt::uid(&fs::metadata(path).unwrap()))
}

#[test]
fn a_place_with_anything_in_it_is_asked_about_once() {
    let place = tempfile::tempdir().unwrap();
    let at = At::Folder(place.path().to_owned());
    let shop = TestShop::healthy();
    put_up_at(&shop, &at);
    shop.make(0);
    at.stranger("notes/mine.txt", "mine");
    let private = format!("see/{}/index.html", "0123456789abcdefghjkmnpqrs");
    at.stranger(&private, "<title>somebody's</title><meta name=generator content=Benchlight>");
    at.stranger(&private.replace("index.html", "0123456789abcdef.jpg"), "a picture");
    let told = is_refused(&shop, &at, "(place-taken)");
    assert!(told.contains("no files would be written over, 0 taken away, 3 left"), "{told}");
    shop.run(&["post", "--even-so"]).exits(0).tells_nothing();
    shop.run(&["post"]).exits(0).says("Nothing to put up");
    // What lies at an address that only looks like one of ours stays, with the record and without.
    fs::remove_dir_all(shop.at(".benchlight/posted")).unwrap();
    shop.run(&["post"]).exits(0);
    let held = at.holds();
    assert!(held.contains_key(&private) && held.contains_key("notes/mine.txt") && held.len() > 5);
}

#[test]
fn a_copy_of_a_page_elsewhere_is_nobodys() {
    let place = tempfile::tempdir().unwrap();
    let at = At::Folder(place.path().to_owned());
    let shop = TestShop::healthy();
    put_up_at(&shop, &at);
    shop.make(0);
    posts(&shop, &at);
    // Somebody keeps the site of today beside it.
    for (path, bytes) in crate::builder::tree(&shop.at("public")) {
        let copy = place.path().join("kept").join(path);
        fs::create_dir_all(copy.parent().unwrap()).unwrap();
        super::servers::write(&copy, "");
        fs::File::create(&copy).and_then(|mut f| std::io::Write::write_all(&mut f, &bytes)).unwrap();
    }
    fs::remove_dir_all(shop.at(".benchlight/posted")).unwrap();
    fs::remove_dir_all(shop.at("content/jobs/26-041 Fenn gobbler")).unwrap();
    let before = digests(&place.path().join("kept"));
    shop.make(0);
    shop.run(&["post"]).exits(0).says("gone");
    assert_eq!(digests(&place.path().join("kept")), before);
}

/// Lays a site into a place as the program before the shops' marks put it up.
fn laid_without_marks(shop: &TestShop, place: &Path) {
    for (path, bytes) in crate::builder::tree(&shop.at("public")) {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let bytes = match text.split_once("<!-- benchlight ") {
            Some((before, rest)) => format!("{before}{}", rest.split_once(" -->").unwrap().1).into_bytes(),
            None => bytes,
        };
        let at = place.join(path);
        fs::create_dir_all(at.parent().unwrap()).unwrap();
        fs::File::create(&at).and_then(|mut f| std::io::Write::write_all(&mut f, &bytes)).unwrap();
    }
}

/// The record of a place as it was written before it was bound to a shop, of all that is there.
fn record_of_before(shop: &TestShop, words: &str, place: &Path) {
    let files: serde_json::Map<String, serde_json::Value> = digests(place)
        .into_iter()
        .map(|(path, digest)| {
            let bytes = fs::metadata(place.join(&path)).unwrap().len();
            (path, serde_json::json!({ "digest": digest, "bytes": bytes }))
        })
        .collect();
    let record = serde_json::json!({ "version": 1, "place": words, "files": files, "strangers": {} });
    let name = Digest::of(words.as_bytes()).short();
    shop.file(&format!(".benchlight/posted/{name}.json"), record.to_string());
}

#[test]
fn what_was_put_up_before_there_were_marks_goes_on_being_ours_by_its_record() {
    let place = tempfile::tempdir().unwrap();
    let at = At::Folder(place.path().to_owned());
    let shop = TestShop::healthy();
    put_up_at(&shop, &at);
    shop.make(0);
    laid_without_marks(&shop, place.path());
    let words = format!("the folder {}", place.path().display());
    record_of_before(&shop, &words, place.path());
    fs::remove_dir_all(shop.at("content/jobs/26-041 Fenn gobbler")).unwrap();
    shop.make(0);
    posts(&shop, &at).says("gone").tells_nothing();

    // The same record in the hidden folder of another shop is not believed.
    let other = other_shop();
    put_up_at(&other, &at);
    other.make(0);
    record_of_before(&other, &words, place.path());
    is_refused(&other, &at, "(place-taken)");

    // Without a record there is nothing to know it by, and nothing is taken away on a guess.
    let lost = tempfile::tempdir().unwrap();
    let at = At::Folder(lost.path().to_owned());
    put_up_at(&shop, &at);
    laid_without_marks(&shop, lost.path());
    shop.edit("content/shop.toml", "Hollow Ash Studio", "Hollow Ash");
    shop.make(0);
    is_refused(&shop, &at, "(place-taken)");
    shop.run(&["post", "--even-so"]).exits(0);
    assert_eq!(at.holds(), digests(&shop.at("public")));
}

#[test]
fn a_record_that_came_with_another_shops_folder_is_not_believed() {
    let place = tempfile::tempdir().unwrap();
    let at = At::Folder(place.path().join("site"));
    let (one, two) = (TestShop::healthy(), other_shop());
    for shop in [&one, &two] {
        put_up_at(shop, &at);
        shop.make(0);
    }
    posts(&one, &at);
    for (path, bytes) in one.tree(".benchlight/posted") {
        two.file(&format!(".benchlight/posted/{path}"), bytes);
    }
    is_refused(&two, &at, "(place-taken)");
    // Nor by the owner's word, which says nothing of whose the record is.
    let first = at.holds();
    two.run(&["post", "--even-so"]).exits(0).says("0 gone");
    both(&at, &first, &two);
}

#[test]
fn a_shop_stays_the_same_shop_with_a_new_key_even_if_the_old_one_is_lost() {
    for lost in [false, true] {
        let place = tempfile::tempdir().unwrap();
        let at = At::Folder(place.path().join("site"));
        let shop = TestShop::healthy();
        put_up_at(&shop, &at);
        shop.make(0);
        posts(&shop, &at);
        if lost {
            fs::remove_file(shop.at("content/shop.key")).unwrap();
        } else {
            fs::remove_dir_all(shop.at(".benchlight")).unwrap();
        }
        shop.run(&["open", "--new-key"]).exits(0);
        assert!(shop.at("content/shop.id").exists());
        shop.run(&["make", "--as-of", TODAY]).exits(0);
        // Every page has moved, and none stays at its old address.
        posts(&shop, &at).says("gone");
        fs::remove_dir_all(shop.at(".benchlight")).unwrap();
        shop.run(&["open", "--new-key"]).exits(0);
        shop.run(&["make", "--as-of", TODAY]).exits(0);
        posts(&shop, &at).says("gone");
    }
    // One that others know gives no identity.
    let shop = TestShop::healthy();
    shop.file("content/shop.key", benchlight::door::command::open::key_text(&[3; 32]));
    shop.run(&["open", "--new-key"]).exits(0);
    assert!(!shop.at("content/shop.id").exists());
    // One that cannot be read is no reason to go by another.
    shop.file("content/shop.id", "# nothing\n");
    shop.make(2).tells("the shop's identity").tells("(bad-key)");
}

#[test]
fn the_same_content_on_the_same_day_gives_the_same_marks() {
    let (one, two) = (TestShop::healthy(), TestShop::healthy());
    for shop in [&one, &two] {
        shop.make(0);
    }
    let (site, again) = (one.tree("public"), two.tree("public"));
    assert!(site == again);
    let marks: BTreeMap<&String, String> = site
        .iter()
        .filter(|(path, _)| path.ends_with(".html"))
        .map(|(path, bytes)| {
            let text = String::from_utf8_lossy(bytes).into_owned();
            let mark = text.split("<!-- benchlight ").nth(1).unwrap_or_else(|| panic!("{path} has no mark"));
            assert_eq!(text.matches("<!-- benchlight ").count(), 1, "{path}");
            (path, mark[..16].to_owned())
        })
        .collect();
    assert!(marks.len() > 5);
    // Another key gives others.
    two.key(9);
    two.make(0);
    let other = String::from_utf8(two.tree("public")["index.html"].clone()).unwrap();
    assert!(!other.contains(&marks[&"index.html".to_owned()]));
}

#[test]
fn no_shops_own_folder_is_a_place_to_go_to() {
    // All in a folder of its own, so that what lies above a shop is the test's as well.
    let house = TestShop::empty();
    for (name, shop) in [("shop", TestShop::healthy()), ("next", other_shop())] {
        for (path, bytes) in shop.tree("content") {
            house.file(&format!("in/{name}/content/{path}"), bytes);
        }
        house.run(&["--shop", &format!("in/{name}"), "make", "--as-of", TODAY]).exits(0);
    }
    let out = house.at("made").display().to_string();
    house.run(&["--shop", "in/shop", "make", "--as-of", TODAY, "--out", &out]).exits(0);
    house.file("holds/deep/Shop/content/shop.toml", "");
    let links = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(house.at("in/next"), links.path().join("link")).unwrap();
    let lines = fs::read_to_string(house.at("in/shop/content/shop.toml")).unwrap();
    let all = || (house.tree(""), digests(&house.at("in/shop/public")));
    let inside = ["..", ".", "./", "content", "Content", "content/jobs", "public", ".benchlight", "site"];
    let absolute =
        ["in/shop", "in/next", "in/next/public", "in/next/new/site", "holds", "holds/deep", "made", "in"];
    let by_link = ["link", "link/public"];
    let targets = inside.map(str::to_owned).into_iter();
    let targets = targets.chain(absolute.map(|path| house.at(path).display().to_string()));
    let targets = targets.chain(by_link.map(|path| links.path().join(path).display().to_string()));
    for target in targets {
        let post = readme_lines("folder").replace("../site-to-sync", &target);
        house.file("in/shop/content/shop.toml", format!("{lines}\n{post}"));
        let before = all();
        house
            .run(&["--shop", "in/shop", "post", "--even-so"])
            .exits(2)
            .tells("(bad-place)")
            .tells("othing was changed");
        assert!(before == all(), "{target}");
    }
}

#[test]
fn a_watch_says_so_and_goes_on() {
    let place = tempfile::tempdir().unwrap();
    let at = At::Folder(place.path().to_owned());
    at.stranger("index.html", "<title>Mine</title>");
    let shop = TestShop::healthy();
    put_up_at(&shop, &at);
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    shop.file("content/shop.toml", format!("{text}quiet = 1\n"));
    crate::watching::pin(&shop);
    let mut watching = crate::watching::Watching::with(&shop, &["--post"]);
    watching.has_said("1 file would be written over, 0 taken away, 0 left");
    watching.has_said("benchlight post --even-so");
    assert_eq!(at.holds().len(), 1);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "over the left wing", "over the right wing");
    watching.has_said("1 private page");
    // Once the owner has said so in another window, it goes up by itself.
    shop.run(&["post", "--even-so"]).exits(0);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "over the right wing", "over both wings");
    watching.until("Put up: ");
    let page = shop.private_page("26-041").unwrap().0;
    let begun = std::time::Instant::now();
    let holds =
        |site: &PathBuf| fs::read_to_string(site.join(&page)).is_ok_and(|text| text.contains("both wings"));
    while !holds(&place.path().to_owned()) {
        assert!(begun.elapsed() < std::time::Duration::from_secs(30), "{}", watching.all_said());
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    assert_eq!(watching.end().0, Some(0));
}
