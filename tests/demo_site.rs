//! The demo shop's whole site, made once and looked at from the outside: links, HTML, photos,
//! what is private, and whether a browser opens it straight from disk.

use crate::builder::tools;
use scraper::{Html, Selector};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;
use tempfile::TempDir;

struct Demo {
    _folder: TempDir,
    out: PathBuf,
    files: BTreeMap<String, Vec<u8>>,
    told: String,
    said: String,
    code: Option<i32>,
}

/// The demo shop of this repository, made into a temporary folder.
fn demo() -> &'static Demo {
    static DEMO: OnceLock<Demo> = OnceLock::new();
    DEMO.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("site");
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
        command.args(["--shop", env!("CARGO_MANIFEST_DIR"), "make", "--out"]).arg(&out);
        let output = command.env_remove("SOURCE_DATE_EPOCH").output().unwrap();
        Demo {
            files: crate::builder::tree(&out),
            told: String::from_utf8_lossy(&output.stderr).into_owned(),
            said: String::from_utf8_lossy(&output.stdout).into_owned(),
            code: output.status.code(),
            out,
            _folder: folder,
        }
    })
}

fn pages() -> impl Iterator<Item = (&'static str, &'static str)> {
    let pages = demo().files.iter().filter(|(path, _)| path.ends_with(".html"));
    pages.map(|(path, bytes)| (path.as_str(), std::str::from_utf8(bytes).expect("pages are UTF-8")))
}

fn is_private(path: &str) -> bool {
    path.starts_with("see/")
}

/// Every address that a page asks for or leads to, by the attribute that holds it.
fn addresses(page: &str) -> Vec<(String, String)> {
    let page = Html::parse_document(page);
    let mut found = Vec::new();
    for name in ["href", "src", "srcset", "action", "poster", "data"] {
        let with = Selector::parse(&format!("[{name}]")).unwrap();
        for element in page.select(&with) {
            let value = element.value().attr(name).unwrap_or_default();
            if name == "srcset" {
                let each = value.split(',').filter_map(|part| part.split_whitespace().next());
                found.extend(each.map(|one| (name.to_owned(), one.to_owned())));
            } else {
                found.push((name.to_owned(), value.to_owned()));
            }
        }
    }
    found
}

#[test]
fn it_is_made_without_a_word_of_complaint() {
    let demo = demo();
    assert_eq!((demo.code, demo.told.as_str()), (Some(0), ""), "{}", demo.said);
    let private = pages().filter(|(path, _)| is_private(path)).count();
    assert!(private >= 30, "{private} private pages");
    for wanted in ["index.html", "404.html", "robots.txt", "sitemap.xml", "showroom/index.html"] {
        assert!(demo.files.contains_key(wanted), "{wanted}");
    }
}

#[test]
fn every_file_has_one_role_that_fits_what_it_holds() {
    let roles = crate::roles::every_file_has_its_role(&demo().files);
    // All kinds that an unsealed site with an address has.
    let kinds = ["Cover", "FrontPage", "Style", "Robots", "Sitemap"].map(str::to_owned).into_iter();
    let sided = ["Page", "Photo"]
        .into_iter()
        .flat_map(|kind| ["Public", "Private"].map(|side| format!("{kind}({side})")));
    let private = ["Calendar(Private)", "Feed(Private)"].map(str::to_owned);
    assert_eq!(roles, kinds.chain(sided).chain(private).collect::<BTreeSet<_>>());
}

#[test]
fn every_local_link_resolves_and_nothing_asks_another_host() {
    let mut broken = Vec::new();
    for (path, text) in pages() {
        let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
        for (attribute, address) in addresses(text) {
            let scheme = address.split_once(':').map(|(scheme, _)| scheme);
            match scheme {
                Some("data") if attribute == "src" || attribute == "href" => continue,
                Some("mailto" | "tel" | "sms") if attribute == "href" => continue,
                // The page for what is not found is served at any depth, so it may name the site's own address.
                Some("https") if path == "404.html" && attribute == "href" => continue,
                Some(_) => broken.push(format!("{path}: {attribute}={address}")),
                None => {
                    let local = address.split(['#', '?']).next().unwrap_or_default();
                    if !local.is_empty() && !demo().files.contains_key(&joined(folder, local)) {
                        broken.push(format!("{path}: {attribute}={address}"));
                    }
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

/// A relative address taken from a folder of the site.
fn joined(folder: &str, address: &str) -> String {
    let mut parts: Vec<&str> = folder.split('/').filter(|p| !p.is_empty()).collect();
    for part in address.split('/') {
        match part {
            "." => {}
            ".." => {
                parts.pop();
            }
            part => parts.push(part),
        }
    }
    parts.join("/")
}

#[test]
fn no_page_runs_a_script_or_carries_a_form() {
    for (path, text) in pages() {
        let page = Html::parse_document(text);
        let unwanted =
            Selector::parse("script, iframe, object, embed, form, base, [onclick], [onload], [onerror]")
                .unwrap();
        assert!(page.select(&unwanted).next().is_none(), "{path}");
        let policy = Selector::parse("meta[http-equiv=Content-Security-Policy i]").unwrap();
        let policy = page.select(&policy).next().unwrap_or_else(|| panic!("{path} has no policy"));
        assert!(policy.value().attr("content").unwrap().contains("default-src 'none'"), "{path}");
        let referrer = Selector::parse("meta[name=referrer][content=no-referrer]").unwrap();
        assert!(page.select(&referrer).next().is_some(), "{path}");
        let robots = Selector::parse("meta[name=robots][content*=noindex]").unwrap();
        assert!(!is_private(path) || page.select(&robots).next().is_some(), "{path} may be indexed");
    }
}

#[test]
fn public_files_know_no_private_address_and_no_job_number() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let jobs = fs::read_dir(root.join("content/jobs"))
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap());
    let numbers: Vec<String> = jobs.filter_map(|name| name.split(' ').next().map(str::to_owned)).collect();
    let addresses: BTreeSet<&str> =
        demo().files.keys().filter_map(|p| Some(p.strip_prefix("see/")?.split_once('/')?.0)).collect();
    assert!(
        numbers.len() >= 90 && addresses.len() >= 30,
        "{} jobs, {} pages",
        numbers.len(),
        addresses.len()
    );
    let public = demo().files.iter().filter(|(path, _)| !is_private(path) && !path.ends_with(".jpg"));
    for (path, bytes) in public {
        let text = String::from_utf8_lossy(bytes);
        for secret in numbers.iter().map(String::as_str).chain(addresses.iter().copied()) {
            assert!(!text.contains(secret), "{path} holds {secret}");
        }
        assert!(!text.contains("see/"), "{path} leads into the private pages");
    }
}

#[test]
fn every_page_says_that_the_shop_is_made_up() {
    let line = "made-up shop";
    for (path, text) in pages() {
        assert!(text.to_lowercase().contains(line), "{path} does not say it");
    }
}

#[test]
fn the_nu_html_checker_finds_nothing() {
    // Over http: on plain files the checker takes `'self'` in the policy for nobody.
    let served = tools::Served::folder(&demo().out);
    let addresses: Vec<String> = pages().map(|(path, _)| served.address(path)).collect();
    let messages = checked(&addresses);
    let each: Vec<String> = messages
        .iter()
        .take(20)
        .map(|m| format!("{}: {} {}", m["url"], m["message"], m["extract"]))
        .collect();
    assert!(messages.is_empty(), "{} messages\n{}", messages.len(), each.join("\n"));
}

#[test]
fn the_checker_does_look_at_what_it_is_given() {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("a.html");
    fs::File::create(page).and_then(|mut f| std::io::Write::write_all(&mut f, b"<p>a")).unwrap();
    let served = tools::Served::folder(folder.path());
    assert!(checked(&[served.address("a.html")]).iter().any(|m| m["type"] == "error"));
}

/// What the Nu HTML Checker says of some pages.
fn checked(addresses: &[String]) -> Vec<serde_json::Value> {
    let mut command = Command::new("java");
    command.arg("-Dnu.validator.servlet.allow-forbidden-hosts=true").arg("-jar");
    command
        .arg(tools::npm("vnu-jar/build/dist/vnu.jar"))
        .args(["--format", "json", "--stdout"])
        .args(addresses);
    let output = tools::run(&mut command);
    let told: serde_json::Value =
        serde_json::from_slice(&output.stdout).expect("the checker answers in JSON");
    told["messages"].as_array().expect("a list of messages").clone()
}

#[test]
fn photos_carry_nothing_but_the_picture() {
    let mut command = Command::new("exiftool");
    command.args(["-json", "-G1", "-a", "-U", "-r", "-ext", "jpg"]).arg(&demo().out);
    let output = tools::run(&mut command);
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("exiftool answers in JSON");
    let photos = told.as_array().expect("a list of photos");
    assert!(photos.len() > 60, "{} photos", photos.len());
    for photo in photos {
        for (tag, value) in photo.as_object().expect("tags") {
            let group = tag.split(':').next().unwrap_or_default();
            let own = ["SourceFile", "ExifTool", "System", "File", "Composite", "JFIF"].contains(&group);
            assert!(own, "{}: {tag} = {value}", photo["SourceFile"]);
            assert!(!tag.contains("Comment") && !tag.contains("Thumbnail") && !tag.contains("GPS"), "{tag}");
        }
    }
}

#[test]
fn a_browser_opens_it_straight_from_disk() {
    let private = pages().map(|(path, _)| path).find(|path| is_private(path)).unwrap();
    for path in ["index.html", "showroom/index.html", private] {
        let profile = tempfile::tempdir().unwrap();
        let mut command = Command::new("chromium");
        command
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
            .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
            .args(["--enable-logging=stderr", "--virtual-time-budget=4000", "--dump-dom"])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg(format!("file://{}", demo().out.join(path).display()));
        let output = tools::run(&mut command);
        let told = String::from_utf8_lossy(&output.stderr);
        let refused: Vec<&str> = told.lines().filter(|l| l.contains("CONSOLE")).collect();
        assert!(refused.is_empty(), "{path}: {refused:?}");
        assert!(String::from_utf8_lossy(&output.stdout).contains("<h1"), "{path} was not opened");
    }
}

/// The open jobs of the demo as the machine view tells them, on the shop's own day.
fn board() -> Vec<serde_json::Value> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command.args(["--shop", env!("CARGO_MANIFEST_DIR"), "board", "--json"]);
    let output = command.env_remove("SOURCE_DATE_EPOCH").output().unwrap();
    let board: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    board["jobs"].as_array().unwrap().clone()
}

/// The words of a part of a page, by the name that the page jumps to it by.
fn section(page: &str, name: &str) -> String {
    let page = Html::parse_document(page);
    let with = Selector::parse(&format!("section:has(h2[id={name}])")).unwrap();
    let part = page.select(&with).next().unwrap_or_else(|| panic!("no {name}"));
    part.text().collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_open_piece_has_its_window_its_reason_and_its_last_days() {
    let jobs = board();
    let open: Vec<_> =
        jobs.iter().filter(|job| job["state"] != "ready" && job["state"] != "collected").collect();
    assert!(open.len() >= 25, "{} open jobs", open.len());
    let (mut chosen, mut away) = (0, 0);
    for job in open {
        let path = format!("{}index.html", job["page"].as_str().unwrap());
        let page = std::str::from_utf8(&demo().files[&path]).unwrap();
        let when = section(page, "when");
        assert!(job["window"].is_object(), "{job}");
        assert!(
            when.contains("Most likely") && when.contains("This is an estimate, not a promise."),
            "{when}"
        );
        assert!(when.contains("Updated June ") && when.contains("How we got these dates"), "{when}");
        let reasons = ["ahead of yours.", "Nothing is ahead of it", "The bench work is done."];
        assert!(reasons.iter().any(|reason| when.contains(reason)), "{when}");
        // In line before a piece is nobody's number and nobody's name.
        for other in jobs.iter().filter(|other| other["job"] != job["job"]) {
            assert!(!when.contains(other["job"].as_str().unwrap()), "{when}");
            assert!(!when.contains(other["customer"].as_str().unwrap()), "{when}");
        }
        let need = section(page, "need");
        if let Some(by) = job["choose_by"].as_str() {
            chosen += 1;
            let by = benchlight::door::base::day::Day::parse(by).unwrap();
            let month =
                ["January", "February", "March", "April", "May", "June", "July", "August", "September"];
            let month =
                month.into_iter().chain(["October", "November", "December"]).nth(by.month() as usize - 1);
            let date = format!("{} {}, {}", month.unwrap(), by.day(), by.year());
            let now = ["From today on, each day without it", "the sooner, the better"];
            let is_told =
                need.contains(&date) || by.iso() == "2026-06-15" && now.iter().any(|n| need.contains(n));
            assert!(is_told, "{date}: {need}");
        } else {
            let none =
                need.contains("There’s nothing you have to do right now.") && !need.contains("Later on");
            assert!(none, "{job}: {need}");
        }
        away += usize::from(job["state"] == "away" && when.contains("Expected back from "));
    }
    assert!(chosen >= 5 && away >= 3, "{chosen} with open gates, {away} away");
}

#[test]
fn the_front_page_tells_when_a_piece_brought_in_today_is_ready_and_how_past_windows_held() {
    let front = std::str::from_utf8(&demo().files["index.html"]).unwrap();
    assert_eq!(front.matches("at the latest").count(), 7, "a window for each of seven routes");
    assert!(front.contains(" were ready within the dates we gave three months before."));
}

#[test]
fn one_broken_job_among_the_others_takes_nobody_else_down() {
    let shop = crate::builder::TestShop::empty();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for (path, bytes) in crate::builder::tree(&root.join("content")) {
        shop.file(&format!("content/{path}"), bytes);
    }
    shop.run(&["make"]).exits(0);
    let before = shop.tree("public");
    let private =
        |path: &str| path.starts_with("see/") && path.ends_with("/index.html") && path != "see/index.html";
    let (broken, _) =
        before.iter().find(|(path, bytes)| private(path) && holds(bytes, "26-052")).expect("its page");
    let folder = "content/jobs";
    let job = fs::read_dir(shop.at(folder)).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    let job = job.into_iter().find(|name| name.starts_with("26-052 ")).expect("its folder");
    let file = format!("{folder}/{job}/job.toml");
    let text = fs::read_to_string(shop.at(&file)).unwrap();
    shop.file(&file, text.replacen("taken-in", "taken-inn", 1));
    shop.edit("content/shop.toml", "555-0142", "555-0143");
    let line = text.lines().position(|l| l.starts_with("taken-in")).unwrap() + 1;
    shop.run(&["make"]).exits(1).tells(&format!("{file}:{line}:1")).tells("did you mean `taken-in`?");
    let after = shop.tree("public");
    assert_eq!(before[broken], after[broken], "the broken job keeps its last good page");
    let pages: Vec<&String> = before.keys().filter(|path| private(path) && *path != broken).collect();
    assert!(pages.len() >= 29, "{} other pages", pages.len());
    for path in pages {
        assert!(holds(&after[path], "555-0143") && !holds(&after[path], "555-0142"), "{path} is new");
    }
}

fn holds(bytes: &[u8], text: &str) -> bool {
    bytes.windows(text.len()).any(|window| window == text.as_bytes())
}
