//! A shop that an earlier program made, posted and printed: today's program goes on with it, the addresses are the same,
//! nothing is lost, and the owner edits nothing. How it was made stands beside the fixture.

use crate::builder::{Ran, TestShop, tools, tree};
use crate::watching::Watching;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::process::Command;

/// Noon of the day on which it was frozen, 2026-06-16.
const FROZEN: &str = "1781611200";
/// What says that a file was taken for somebody else's, or was lost.
const WRONG: [&str; 4] = ["output-taken", "not-ours", "host-taken", "jobs-gone"];

/// The frozen shop, in `shop` of a temporary folder, beside the `site` that it was posted to.
fn thawed() -> TestShop {
    let shop = TestShop::empty();
    let archive = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/frozen/shop.tar.gz");
    tools::printed(Command::new("tar").args(["-xzf", archive, "-C"]).arg(shop.path()));
    shop
}

fn run(shop: &TestShop, args: &[&str]) -> Ran {
    let all = [&["--shop", "shop"], args].concat();
    shop.run_with(&all, &[("SOURCE_DATE_EPOCH".to_owned(), FROZEN.to_owned())])
}

/// Number and private address of each job, the key of a sealed one behind a `#`.
fn listed(shop: &TestShop, file: &str) -> BTreeMap<String, String> {
    let text = fs::read_to_string(shop.at(file)).unwrap();
    let lines = text.lines().filter_map(|line| line.split_once(' '));
    lines.map(|(number, address)| (number.to_owned(), address.to_owned())).collect()
}

/// The folder that an address leads to, from the root of the site.
fn folder(address: &str) -> &str {
    address.split('#').next().unwrap()
}

/// What can be reached under the name that it has: pages, calendars, feeds, what is sealed; not style sheets and photos,
/// which are named by what they hold and reached through pages.
fn pages(files: &BTreeMap<String, Vec<u8>>) -> BTreeSet<String> {
    let endings = [".html", ".ics", ".atom", ".xml", ".txt"];
    files.keys().filter(|path| endings.iter().any(|ending| path.ends_with(ending))).cloned().collect()
}

/// How many photos and sealed files lie in each folder.
fn pictures(files: &BTreeMap<String, Vec<u8>>) -> BTreeMap<String, usize> {
    let mut count = BTreeMap::new();
    for path in files.keys().filter(|path| path.ends_with(".jpg") || path.ends_with(".bin")) {
        *count.entry(path.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned()).or_default() += 1;
    }
    count
}

fn stands_as_frozen(shop: &TestShop, place: &str, before: &BTreeMap<String, Vec<u8>>) {
    let now = shop.tree(place);
    assert_eq!(pages(&now), pages(before), "in {place}");
    assert_eq!(pictures(&now), pictures(before), "in {place}");
    for (number, address) in listed(shop, "addresses.txt") {
        assert!(shop.at(place).join(folder(&address)).join("index.html").exists(), "{number} in {place}");
    }
    for (number, address) in listed(shop, "retired.txt") {
        assert!(!shop.at(place).join(folder(&address)).exists(), "{number} in {place} is retired");
    }
}

fn complains_of_nothing_new(ran: &Ran) {
    for wrong in WRONG {
        assert!(!ran.err().contains(wrong), "{wrong} in\n{}", ran.err());
    }
}

/// Posts; where the program asks once before it goes on, the owner's word is given.
fn post(shop: &TestShop) -> Ran {
    let ran = run(shop, &["post"]);
    match ran.output.status.code() {
        Some(2) if ran.err().contains("--even-so") => run(shop, &["post", "--even-so"]),
        _ => ran,
    }
}

#[test]
fn addresses_are_those_on_the_tags() {
    let shop = thawed();
    let board: serde_json::Value =
        serde_json::from_str(&run(&shop, &["board", "--json"]).exits(1).out()).unwrap();
    let jobs = board["jobs"].as_array().unwrap();
    let told: BTreeMap<String, String> = jobs
        .iter()
        .map(|job| (job["job"].as_str().unwrap().to_owned(), job["page"].as_str().unwrap().to_owned()))
        .collect();
    let frozen = listed(&shop, "addresses.txt");
    let broken: Vec<&String> = frozen.keys().filter(|number| !told.contains_key(*number)).collect();
    assert_eq!(broken, ["25-049", "26-021"], "what is broken is on no list");
    assert!(told.iter().all(|(number, address)| frozen[number] == *address), "{told:?}");
    // As printed: every symbol of the address stands on the tag, in groups.
    let symbols = |text: &str| -> String { text.chars().filter(char::is_ascii_alphanumeric).collect() };
    let words = |page: &str| {
        symbols(&page.split('<').filter_map(|part| Some(part.split_once('>')?.1)).collect::<String>())
    };
    let printed = fs::read_to_string(shop.at("shop/print/tags 26-041 to 26-021.html")).unwrap();
    run(&shop, &["tag", "25-083", "--out", "again.html"]).exits(0);
    let again = fs::read_to_string(shop.at("again.html")).unwrap();
    let address = symbols(&frozen["25-083"]);
    assert!(words(&printed).contains(&address) && words(&again).contains(&address), "{address}");
}

#[test]
fn it_is_made_as_it_stood() {
    let shop = thawed();
    let before = shop.tree("shop/public");
    for _ in 0..2 {
        let ran = run(&shop, &["make"])
            .exits(1)
            .says("job 25-049 (since 2026-06-16)")
            .says("job 26-021 (since 2026-06-16)");
        complains_of_nothing_new(&ran);
        stands_as_frozen(&shop, "shop/public", &before);
    }
    // The kept pages are the very ones.
    let frozen = listed(&shop, "addresses.txt");
    let kept = format!("{}index.html", folder(&frozen["26-021"]));
    assert_eq!(shop.tree("shop/public")[&kept], before[&kept]);
}

#[test]
fn it_is_made_without_what_the_program_kept() {
    let shop = thawed();
    let before = shop.tree("shop/public");
    fs::remove_dir_all(shop.at("shop/.benchlight")).unwrap();
    let ran = run(&shop, &["make"]).exits(1);
    complains_of_nothing_new(&ran);
    let after = shop.tree("shop/public");
    // Broken public pages go until they are mended, as README says; no private page does.
    let gone: Vec<String> = pages(&before).difference(&pages(&after)).cloned().collect();
    assert_eq!(gone, ["care-of-a-mount/index.html", "showroom/fish/straight/index.html"]);
    for (number, address) in listed(&shop, "addresses.txt") {
        let folder = folder(&address).trim_end_matches('/').to_owned();
        assert_eq!(pictures(&after).get(&folder), pictures(&before).get(&folder), "{number}");
    }
}

#[test]
fn it_is_posted_and_nothing_is_taken_away() {
    for forgotten in ["", "shop/.benchlight/posted", "shop/.benchlight"] {
        let shop = thawed();
        let before = shop.tree("site");
        let stranger = b"somebody else's";
        shop.file("site/letter.txt", stranger).file("site/see/letter.html", stranger);
        if !forgotten.is_empty() {
            fs::remove_dir_all(shop.at(forgotten)).unwrap();
        }
        if forgotten != "shop/.benchlight" {
            run(&shop, &["make"]).exits(1);
        }
        let ran = post(&shop).exits(0);
        complains_of_nothing_new(&ran);
        let mut site = shop.tree("site");
        assert_eq!(site.remove("letter.txt").as_deref(), Some(&stranger[..]));
        assert_eq!(site.remove("see/letter.html").as_deref(), Some(&stranger[..]));
        assert!(site == shop.tree("shop/public"), "what is there is what is here, without {forgotten:?}");
        fs::remove_file(shop.at("site/letter.txt")).unwrap();
        fs::remove_file(shop.at("site/see/letter.html")).unwrap();
        stands_as_frozen(&shop, "site", &before);
    }
}

#[test]
fn it_is_watched() {
    let shop = thawed();
    let before = shop.tree("shop/public");
    let mut command = Command::new("env");
    command.arg(format!("SOURCE_DATE_EPOCH={FROZEN}")).arg(env!("CARGO_BIN_EXE_benchlight"));
    let watching = Watching::run(&shop, command.args(["--shop", "shop", "watch"]));
    let frozen = listed(&shop, "addresses.txt");
    for number in ["26-064", "26-021", "25-083"] {
        assert_eq!(watching.get(folder(&frozen[number])).0, 200, "{number}");
    }
    let (code, said) = watching.end();
    assert_eq!(code, Some(0), "{said}");
    assert!(WRONG.iter().all(|wrong| !said.contains(wrong)), "{said}");
    stands_as_frozen(&shop, "shop/public", &before);
    assert!(tree(&shop.at("site")).len() > 90, "watch alone posts nothing");
}
