//! Messages: the right ones, in links that other people's code takes apart again. Parsed by Python's urllib (RFC
//! 3986) and email.headerregistry (RFC 5322).

use super::{JOB, page_of, shop};
use crate::builder::{TODAY, TestShop, tools};
use scraper::{Html, Selector};

fn drafts(shop: &TestShop, more: &[&str]) -> String {
    let mut args = vec!["board", "--as-of", TODAY, "--drafts"];
    args.extend(more);
    shop.run(&args).exits(0).tells_nothing().out()
}

const JOB_FILE: &str = "content/jobs/26-077 Quillon gobbler/job.toml";

#[test]
fn each_change_has_its_message_until_its_cause_is_gone() {
    let shop = shop();
    let with = |more: &str| {
        let text = JOB.replace("[reached]", &format!("{more}\n[reached]"));
        shop.file(JOB_FILE, text);
        drafts(&shop, &["26-077"])
    };
    let ready = with("");
    assert!(ready.contains("It’s ready to go home. Still to pay: $695.00."), "{ready}");
    assert!(ready.contains("https://hollow-ash.example/see/"), "{ready}");
    assert!(ready.contains("`told = 2026-05-20`"), "{ready}");
    let balance = with("told = 2026-05-18");
    assert!(balance.contains("Still to pay: $695.00.") && !balance.contains("ready to go home"), "{balance}");
    shop.file(
        JOB_FILE,
        JOB.replace("[reached]", "told = 2026-05-18\n[[paid]]\non = 2026-05-19\namount = 695\n[reached]"),
    );
    let paid = drafts(&shop, &["26-077"]);
    assert!(paid.contains("nothing that a customer should hear"), "{paid}");
}

#[test]
fn storage_is_announced_before_it_begins() {
    let shop = shop();
    // The healthy shop's rule: 30 days of grace.
    let on = |told: &str| {
        shop.file(JOB_FILE, JOB.replace("[reached]", &format!("told = {told}\n[reached]")));
        drafts(&shop, &["26-077"])
    };
    // Told on the 4th, 30 days of grace: June 3 is the last day, 14 days from May 20.
    assert!(on("2026-05-04").contains("After June 3, 2026 we charge storage"), "{}", on("2026-05-04"));
    assert!(!on("2026-05-05").contains("storage"));
    shop.file(
        JOB_FILE,
        JOB.replace("dried = 2026-05-02", "dried = 2026-04-10")
            .replace("[reached]", "told = 2026-04-11\n[reached]"),
    );
    assert!(drafts(&shop, &["26-077"]).contains("Free storage ended May 11, 2026"));
}

#[test]
fn what_is_needed_and_what_came_back_is_told() {
    let shop = shop();
    shop.file(
        "content/jobs/26-078 Tarn hen/job.toml",
        "customer = \"Bo Tarn\"\npiece = \"Hen\"\nroute = \"turkey-full\"\ntaken-in = 2026-03-28\npose = \"half-strut\"\n\
         [reached]\nskinned = 2026-03-29\nhead-sent = 2026-04-06\nhead-back = 2026-05-12\n",
    );
    let told = drafts(&shop, &["26-078"]);
    assert!(told.contains("what was with the freeze-dryer came back May 12, 2026"), "{told}");
    let poseless = "customer = \"Bo Tarn\"\npiece = \"Hen\"\nroute = \"turkey-full\"\ntaken-in = 2026-03-28\n[reached]\nskinned = 2026-03-29\n";
    shop.file("content/jobs/26-078 Tarn hen/job.toml", poseless);
    let told = drafts(&shop, &["26-078"]);
    assert!(told.contains("Hello Bo, ") && told.contains("which pose you’d like"), "{told}");
}

const PARSE: &str = r#"
import json, sys
from email.headerregistry import Address
from urllib.parse import parse_qs, unquote, urlsplit
out = []
for link in json.load(sys.stdin):
    assert link.isascii() and " " not in link, link
    parts = urlsplit(link)
    query = parse_qs(parts.query, strict_parsing=True, keep_blank_values=True)
    assert all(len(values) == 1 for values in query.values()), query
    to = unquote(parts.path, errors="strict")
    if parts.scheme == "mailto":
        to = Address(addr_spec=to).addr_spec
    out.append({"scheme": parts.scheme, "to": to, **{name: values[0] for name, values in query.items()}})
print(json.dumps(out))
"#;

/// The links as Python takes them apart.
fn parsed(links: &[String]) -> Vec<serde_json::Value> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("links.json");
    benchlight::door::base::files::replace(&file, &serde_json::to_vec(links).unwrap()).unwrap();
    let mut python = tools::python();
    python.args(["-c", PARSE]).stdin(std::fs::File::open(&file).unwrap());
    serde_json::from_str(&tools::printed(&mut python)).unwrap()
}

fn links(page: &str) -> Vec<String> {
    let page = Html::parse_document(page);
    let selector = Selector::parse("[id='job-26-077'] .draft a").unwrap();
    page.select(&selector).map(|a| a.value().attr("href").unwrap().to_owned()).collect()
}

#[test]
fn links_are_taken_apart_again_by_other_peoples_code() {
    let shop = shop();
    let links = links(&page_of(shop.path(), Some(TODAY)));
    let found = parsed(&links);
    assert_eq!(found.len(), 2, "{links:?}");
    let text = drafts(&shop, &["26-077"]);
    let text = text.lines().find(|line| line.starts_with("Hello")).unwrap();
    assert!(text.contains("50 % & more: “Old Tom”"), "{text}");
    // RFC 5724, section 2.2: a global number keeps its plus and loses its visual separators.
    assert_eq!((&found[0]["scheme"], &found[0]["to"]), (&"sms".into(), &"+15555550117".into()));
    assert_eq!(found[0]["body"], text);
    assert_eq!(
        (&found[1]["scheme"], &found[1]["to"]),
        (&"mailto".into(), &"ada+birds@quillon.example".into())
    );
    assert_eq!(found[1]["body"], text);
    assert_eq!(found[1]["subject"], "Job 26-077: Gobbler, 50 % & more: “Old Tom”");
    // A plus in a query is read as a space by some: RFC 6068, section 5, wants it encoded.
    assert!(!links[1].contains('+'), "{}", links[1]);
}

#[test]
fn what_cannot_be_dialled_or_written_to_has_no_link() {
    let shop = shop();
    let text = JOB
        .replace("+1 (555) 555-0117", "ask his sister")
        .replace("ada+birds@quillon.example", "ada at quillon");
    shop.file(JOB_FILE, text);
    let page = page_of(shop.path(), Some(TODAY));
    assert!(links(&page).is_empty());
    assert!(page.contains("ask his sister") && page.contains("ada at quillon"));
}
