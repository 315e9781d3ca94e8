//! Hang tags: what stands on which part, and that the codes can be read from paper by other people's decoders.

use super::{faults, script, sheets, shop, web_address};
use crate::builder::{TODAY, tools};
use scraper::{Html, Selector};
use std::io::Write;
use std::process::Stdio;

fn text_of(html: &str, selector: &str) -> String {
    let page = Html::parse_document(html);
    let all = Selector::parse(selector).unwrap();
    page.select(&all).flat_map(|e| e.text()).collect::<Vec<_>>().join(" ")
}

#[test]
fn codes_are_read_from_paper_by_two_decoders_also_blurred_and_turned() {
    let shop = shop();
    let wanted: Vec<String> = ["26-041", "26-042"].map(|n| web_address(&shop, n)).into_iter().collect();
    for (paper, size) in [("letter", (612.0, 792.0)), ("a4", (595.0, 842.0))] {
        shop.run(&["tag", "26-041", "26-042", "--paper", paper, "--as-of", TODAY]).exits(0);
        let into = tempfile::tempdir().unwrap();
        let (pages, on) = sheets(&shop.at("print/tags 26-041 to 26-042.html"), into.path(), 200);
        // Points of 8.5 by 11 inches, and of ISO 216 A4.
        assert!((on.0 - size.0).abs() < 1.5 && (on.1 - size.1).abs() < 1.5, "{paper} is {on:?}");
        assert_eq!(pages.len(), 1, "two tags on one sheet of {paper}");
        let read = script("tags.py", &[&pages[0].display().to_string(), "200"]);
        let mut sorted = wanted.clone();
        sorted.sort();
        for (how, by) in read.as_object().unwrap() {
            for decoder in ["zbar", "zxing"] {
                assert_eq!(by[decoder], serde_json::json!(sorted), "{decoder}, {how}, {paper}");
            }
        }
        let levels = read["plain"]["level"].as_array().unwrap();
        // ISO/IEC 18004: L is the one level below M.
        assert!(
            !levels.is_empty() && levels.iter().all(|l| ["M", "Q", "H"].contains(&l.as_str().unwrap())),
            "{levels:?}"
        );
    }
}

#[test]
fn many_tags_fit_four_to_a_sheet_or_each_has_its_own() {
    let shop = shop();
    for (args, want) in [(&["--single"][..], 2), (&[][..], 1)] {
        let all = [&["tag", "26-041", "26-042", "--as-of", TODAY][..], args].concat();
        shop.run(&all).exits(0);
        let into = tempfile::tempdir().unwrap();
        let (pages, _) = sheets(&shop.at("print/tags 26-041 to 26-042.html"), into.path(), 30);
        assert_eq!(pages.len(), want, "{args:?}");
    }
    for n in 50..55 {
        let job = std::fs::read_to_string(shop.at("content/jobs/26-042 Ruell hen/job.toml")).unwrap();
        shop.file(&format!("content/jobs/26-0{n} Ott hen/job.toml"), job);
    }
    let numbers = ["26-041", "26-042", "26-050", "26-051", "26-052"];
    for paper in ["letter", "a4"] {
        shop.run(&[&["tag", "--paper", paper, "--as-of", TODAY][..], &numbers].concat()).exits(0);
        let into = tempfile::tempdir().unwrap();
        let (pages, _) = sheets(&shop.at("print/tags 26-041 to 26-052.html"), into.path(), 30);
        assert_eq!(pages.len(), 2, "five tags on {paper}");
    }
}

#[test]
fn the_stub_ties_to_the_piece_and_leads_nowhere() {
    let shop = shop();
    let web = web_address(&shop, "26-041");
    shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0).says(&format!("26-041: {web}")).tells_nothing();
    let page = shop.at("print/tag 26-041.html");
    let html = std::fs::read_to_string(&page).unwrap();
    assert_eq!(faults(&page), [""; 0]);
    let hang = text_of(&html, ".hang");
    for what in [
        "Hollow Ash Studio",
        "26-041",
        "Eastern wild turkey",
        "Half strut",
        "Ada F.",
        "April 28, 2026",
        "$400.00",
    ] {
        assert!(hang.contains(what), "no {what} in {hang}");
    }
    let stub = text_of(&html, ".stub");
    assert!(stub.contains("26-041") && stub.contains("F.") && stub.contains("Eastern wild turkey"), "{stub}");
    let address = web.trim_end_matches('/').rsplit('/').next().unwrap();
    assert!(!stub.contains("Ada") && !stub.contains("hollow-ash") && !stub.contains(&address[..4]), "{stub}");
    // Nothing that is private stands on either part, and the page asks nothing of any other host.
    assert!(["Fenn", "555-0117", "TAG-7781", "Tamarack", "11B"].iter().all(|w| !html.contains(w)));
    assert!(!html.contains("<script") && !html.contains("href=") && !html.contains("src="));
    // What is read over the phone, without the gaps, is the address.
    let spelled: String = text_of(&html, ".spelled").split_whitespace().collect();
    assert_eq!(spelled, address);
}

#[test]
fn the_code_in_the_terminal_is_read_as_well() {
    let shop = shop();
    let web = web_address(&shop, "26-041");
    let out = shop.run(&["tag", "26-041", "--show", "--as-of", TODAY]).exits(0).out();
    let drawn: String =
        out.lines().take_while(|l| !l.starts_with("26-041")).map(|l| format!("{l}\n")).collect();
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle/tags.py");
    let mut child = tools::python()
        .arg(path)
        .arg("--terminal")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(drawn.as_bytes()).unwrap();
    let read: serde_json::Value = serde_json::from_slice(&child.wait_with_output().unwrap().stdout).unwrap();
    assert_eq!((&read["zbar"][0], &read["zxing"][0]), (&web.as_str().into(), &web.as_str().into()));
}

#[test]
fn what_keeps_a_tag_from_being_printed_is_told() {
    let shop = shop();
    shop.run(&["tag", "26-401", "--as-of", TODAY])
        .exits(2)
        .tells("unknown-job")
        .tells("did you mean `26-041`?");
    shop.run(&["tag"]).exits(2).tells("JOB");
    for place in ["public/tag.html", "content/tag.html", "public/see/tag.html", ".benchlight/tag.html"] {
        shop.run(&["tag", "26-041", "--out", place, "--as-of", TODAY]).exits(2).tells("output-taken");
        assert!(!shop.at(place).exists(), "{place}");
    }
    shop.run(&["make", "--as-of", TODAY, "--out", "elsewhere"]).exits(0);
    shop.run(&["tag", "26-041", "--out", "elsewhere/tag.html", "--as-of", TODAY])
        .exits(2)
        .tells("output-taken");
    shop.edit("content/shop.toml", "web   = ", "# web = ");
    shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(2).tells("no-web-address").tells("web = ");
    assert!(!shop.at("print").exists());
}

#[test]
fn printing_leaves_the_site_as_it_is_and_the_site_holds_nothing_printed() {
    let shop = shop();
    shop.make(0);
    let before = shop.tree("public");
    shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0);
    shop.run(&["register", "--as-of", TODAY]).exits(0);
    shop.run(&["parcel", "freeze-dryer", "--as-of", TODAY]).exits(0);
    assert!(before == shop.tree("public"));
    shop.make(0);
    assert!(before == shop.tree("public"));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::metadata(shop.at("print")).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o700);
    }
}
