//! The page: whole, valid, found by name, and never part of the site.

use super::{page_of, shop};
use crate::builder::{TODAY, tools};
use scraper::{Html, Selector};
use std::path::Path;
use std::process::Command;

fn count(page: &Html, selector: &str) -> usize {
    page.select(&Selector::parse(selector).unwrap()).count()
}

#[test]
fn it_tells_of_every_open_piece_and_leads_to_its_page() {
    let shop = shop();
    shop.make(0);
    let text = page_of(shop.path(), Some(TODAY));
    let page = Html::parse_document(&text);
    assert_eq!(count(&page, "article.slip"), 3);
    let slip = page.select(&Selector::parse("[id='job-26-077']").unwrap()).next().expect("its slip");
    let told: String = slip.text().collect();
    for wanted in ["Ada Quillon", "T-4471-ZQ", "use the 11B form", "$695.00 due of $695.00", "Old Tom"] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    let link =
        slip.select(&Selector::parse(".ways a").unwrap()).next().unwrap().value().attr("href").unwrap();
    let path = link.strip_prefix("../").expect("relative to /board/");
    assert!(shop.at("public").join(path).is_file(), "{path}");
    // Each row and the list of last names lead to a slip of this page.
    for link in page.select(&Selector::parse("a[href^='#job-']").unwrap()) {
        let id = link.value().attr("href").unwrap().trim_start_matches('#');
        assert_eq!(count(&page, &format!("[id='{id}']")), 1, "{id}");
    }
}

#[test]
fn nothing_of_it_gets_into_the_site() {
    let shop = shop();
    shop.make(0);
    // What would be found, if it were there.
    assert!(page_of(shop.path(), Some(TODAY)).contains("Quillon"));
    for (path, bytes) in shop.tree("public") {
        assert!(!path.contains("board"), "{path}");
        let text = String::from_utf8_lossy(&bytes);
        for secret in ["Quillon", "quillon", "T-4471", "0117", "11B form", "Every open piece"] {
            assert!(!text.contains(secret), "{secret} in {path}");
        }
    }
}

#[test]
fn the_demo_boards_html_is_sound_and_a_browser_has_nothing_to_say() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("board/index.html");
    benchlight::door::base::files::replace(&file, page_of(demo, None).as_bytes()).unwrap();
    let look = folder.path().join(look_of(&std::fs::read_to_string(&file).unwrap()));
    benchlight::door::base::files::replace(&look, b"body { margin: 0 }").unwrap();
    let served = tools::Served::folder(folder.path());
    let mut checker = Command::new("java");
    checker.arg("-Dnu.validator.servlet.allow-forbidden-hosts=true").arg("-jar");
    checker.arg(tools::npm("vnu-jar/build/dist/vnu.jar")).args(["--format", "json", "--stdout"]);
    let answer = tools::run(checker.arg(served.address("board/index.html")));
    let answer: serde_json::Value =
        serde_json::from_slice(&answer.stdout).expect("the checker answers in JSON");
    assert_eq!(answer["messages"].as_array().map(Vec::len), Some(0), "{answer:#}");
    let profile = tempfile::tempdir().unwrap();
    let mut browser = Command::new("chromium");
    browser
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        .args(["--enable-logging=stderr", "--virtual-time-budget=4000", "--dump-dom"])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .arg(format!("file://{}", file.display()));
    let output = tools::run(&mut browser);
    let told = String::from_utf8_lossy(&output.stderr);
    let refused: Vec<&str> = told.lines().filter(|l| l.contains("CONSOLE")).collect();
    assert!(refused.is_empty(), "{refused:?}");
    let dom = Html::parse_document(&String::from_utf8_lossy(&output.stdout));
    // The script ran: it shows the box for finding, which is hidden without it.
    assert_eq!(count(&dom, "#seek"), 1);
    assert_eq!(count(&dom, "#seek[hidden]"), 0, "the script was not let in");
}

fn look_of(page: &str) -> String {
    let page = Html::parse_document(page);
    let link = page.select(&Selector::parse("link[rel=stylesheet]").unwrap()).next().expect("a style sheet");
    link.value().attr("href").unwrap().trim_start_matches("../").to_owned()
}

#[test]
fn a_broken_job_is_named_and_takes_nobody_else_off_the_board() {
    let shop = shop();
    shop.edit("content/jobs/26-042 Ruell hen/job.toml", "turkey-full", "turkey-ful");
    let page = page_of(shop.path(), Some(TODAY));
    let page = Html::parse_document(&page);
    let told: String = page.select(&Selector::parse(".notice").unwrap()).flat_map(|e| e.text()).collect();
    assert!(told.contains("26-042"), "{told}");
    assert_eq!(count(&page, "article.slip"), 2);
}
