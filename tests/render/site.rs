//! The site as a whole: which files there are, where links lead, what each page carries.

use super::check::{addresses, bytes, is_private, made, pages, target, text, write};
use super::example::{self, day};
use benchlight::door::base::day::Day;
use benchlight::door::base::money::Money;
use benchlight::door::model::{
    LedgerLine, LedgerLineKind, LineBy, Owner, PageLife, Spoilt, Stage, StepState, StoragePer, Window,
};
use benchlight::door::problem::Severity;
use benchlight::door::render;
use scraper::{Html, Selector};

fn words(html: &str) -> String {
    let page = Html::parse_document(html);
    let body: String = page.select(&Selector::parse("body").unwrap()).flat_map(|body| body.text()).collect();
    body.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn private(letter: &str) -> String {
    format!("see/{}/index.html", letter.repeat(26))
}

#[test]
fn every_page_there_should_be_is_there() {
    let (site, notes) = made(&example::plain());
    assert!(notes.is_empty(), "{notes:?}");
    for path in [
        "index.html",
        "404.html",
        "see/index.html",
        "robots.txt",
        "sitemap.xml",
        "showroom/index.html",
        "showroom/turkey/index.html",
        "showroom/turkey/half-strut/index.html",
        "care/index.html",
    ] {
        assert!(site.files.contains_key(path), "{path}");
    }
    assert!(site.files.contains_key(&private("f")), "a collected job keeps a closing page");
    assert!(
        !site.files.keys().any(|path| path.contains(&"g".repeat(26))),
        "a page that is gone is gone with its photos"
    );
    assert_eq!(site.files[&private("a")].owner, Owner::Part(Spoilt::Job("26-041".into())));
}

#[test]
fn every_link_leads_to_a_file_of_the_site() {
    for example in [example::plain(), example::empty()] {
        let (site, _) = made(&example);
        for (path, html) in pages(&site) {
            for (element, attribute, address) in addresses(&html) {
                if let Some(id) = address.strip_prefix('#') {
                    assert!(
                        html.contains(&format!("id=\"{id}\"")) || html.contains(&format!("id={id}")),
                        "{path}: #{id}"
                    );
                    continue;
                }
                let outside = ["tel:", "sms:", "mailto:", "data:image/svg+xml,"];
                if outside.iter().any(|known| address.starts_with(known)) {
                    continue;
                }
                if path == "404.html" {
                    assert_eq!(address, "https://tamarack-lamp.example/");
                    continue;
                }
                let found = target(&path, &address);
                assert!(site.files.contains_key(&found), "{path}: <{element} {attribute}={address}>");
                assert!(
                    !is_private(&found) || is_private(&path),
                    "{path} leads to a private page: {address}"
                );
            }
        }
    }
}

#[test]
fn every_page_carries_what_keeps_it_to_itself() {
    let (site, _) = made(&example::plain());
    for (path, html) in pages(&site) {
        let page = Html::parse_document(&html);
        let content = |selector: &str| {
            let found = page.select(&Selector::parse(selector).unwrap()).next();
            found.and_then(|meta| meta.value().attr("content")).map(str::to_owned)
        };
        let policy = content("meta[http-equiv=Content-Security-Policy]").unwrap();
        assert!(policy.starts_with("default-src 'none';") && !policy.contains("unsafe"), "{path}: {policy}");
        assert!(page.select(&Selector::parse("[style]").unwrap()).next().is_none(), "{path}");
        let own = policy.contains("img-src 'self' data:; style-src 'self';");
        let plain = ["404.html", "see/index.html"].contains(&path.as_str());
        assert!(own || plain, "{path}: {policy}");
        assert_eq!(content("meta[name=referrer]").as_deref(), Some("no-referrer"), "{path}");
        assert_eq!(content("meta[name=generator]").as_deref(), Some("Benchlight"), "{path}");
        let robots = content("meta[name=robots]");
        let want = match path.as_str() {
            "404.html" | "see/index.html" => Some("noindex"),
            _ if is_private(&path) => Some("noindex, nofollow, noarchive"),
            _ => None,
        };
        assert_eq!(robots.as_deref(), want, "{path}");
        assert_eq!(page.select(&Selector::parse("h1").unwrap()).count(), 1, "{path}");
        assert_eq!(
            page.select(&Selector::parse("script, iframe, form, object, embed, base").unwrap()).count(),
            0,
            "{path}"
        );
        assert_eq!(page.select(&Selector::parse("[style]").unwrap()).count(), 0, "{path}");
        assert!(html.contains("made-up shop"), "{path} does not say that the shop is made up");
    }
}

#[test]
fn the_folder_of_private_pages_has_a_page_that_shows_none() {
    for example in [example::plain(), example::empty()] {
        let (site, _) = made(&example);
        let html = text(&site, "see/index.html");
        let said = words(&html);
        assert!(said.contains("Nothing to see here") && said.contains("hang tag"), "{said}");
        assert_eq!(site.files["see/index.html"].owner, Owner::Shop);
        // It needs no style sheet or picture beside it, and leads to the front page alone.
        let inside: Vec<String> = addresses(&html).into_iter().map(|(_, _, address)| address).collect();
        let inside: Vec<&String> = inside.iter().filter(|address| !address.contains(':')).collect();
        assert_eq!(inside, ["../index.html"]);
        for worked in &example.worked.jobs {
            assert!(!html.contains(&worked.address));
        }
        // No page, no sitemap and no robots.txt leads to it.
        for (path, html) in pages(&site).iter().filter(|(path, _)| path != "see/index.html") {
            let leads = addresses(html).into_iter().any(|(_, _, address)| {
                !address.contains(':')
                    && !address.starts_with('#')
                    && target(path, &address) == "see/index.html"
            });
            assert!(!leads, "{path}");
        }
        for path in ["sitemap.xml", "robots.txt"].iter().filter(|path| site.files.contains_key(**path)) {
            assert!(!text(&site, path).contains("see"), "{path}");
        }
    }
}

#[test]
fn the_policy_of_the_lone_pages_lets_in_exactly_their_style() {
    for path in ["404.html", "see/index.html"] {
        lets_in_exactly_its_style(&text(&made(&example::plain()).0, path));
    }
}

fn lets_in_exactly_its_style(html: &str) {
    use sha2::Digest as _;
    let page = Html::parse_document(html);
    let style: String =
        page.select(&Selector::parse("style").unwrap()).flat_map(|style| style.text()).collect();
    // CSP level 3, 2.3.1: a hash source is the base64 of the SHA-256 of the element's text.
    let hash = data_encoding::BASE64.encode(&sha2::Sha256::digest(style.as_bytes()));
    assert!(html.contains(&format!("'sha256-{hash}'")), "{html}");
}

#[test]
fn the_private_page_answers_in_order() {
    let (site, _) = made(&example::plain());
    let html = text(&site, &private("b"));
    let page = Html::parse_document(&html);
    let headings: Vec<String> =
        page.select(&Selector::parse("main h2").unwrap()).map(|h| h.text().collect::<String>()).collect();
    let first_words: Vec<&str> = headings.iter().map(String::as_str).collect();
    assert_eq!(
        first_words,
        [
            "Do you need something from me?",
            "Is it done?",
            "When will it be done?",
            "What’s happening now, and is that normal?",
            "How far along is it?",
            "Photos",
            "What did I choose, and until when can I change it?",
            "What do I owe, and how can I pay?",
            "How do I pick it up?",
            "How do I care for it?",
        ]
    );
}

#[test]
fn what_holds_a_job_up_is_asked_for_with_one_tap() {
    let (site, _) = made(&example::plain());
    let html = text(&site, &private("b"));
    let said = words(&html);
    assert!(said.contains("The deposit for this piece is $388.35. Still to pay: $288.35."), "{said}");
    assert!(said.contains("harvest tag"), "{said}");
    assert!(html.contains("tel:5550142"), "{html}");
    // RFC 5724, section 2.2: the text of a message is percent-encoded in `body`.
    assert!(
        html.contains(
            "sms:5550142?body=This%20is%20about%20job%2026-052%20%28Rio%20Grande%20turkey%29%3A%20"
        ),
        "{html}"
    );
    assert!(
        html.contains("mailto:desk@tamarack-lamp.example?subject=Job%2026-052%2C%20Rio%20Grande%20turkey"),
        "{html}"
    );
    let quiet = words(&text(&site, &private("c")));
    assert!(quiet.contains("No. There’s nothing you have to do right now."), "{quiet}");
}

#[test]
fn the_page_says_what_goes_on_and_how_far_it_is() {
    let (site, _) = made(&example::plain());
    let away = words(&text(&site, &private("a")));
    for part in [
        "Away",
        "It’s with the freeze-dryer now.",
        "Since May 4, 2026. It may still take until around October 1, 2026, and that’s normal.",
        "Skinned done by May 2, 2026",
        "Head back with the freeze-dryer since May 4, 2026",
        "Mounted to come starts after: head back and washed",
        "2 of 7 steps are done.",
        "We can’t give you a date yet",
        "As it came in",
        "Half strut",
        "28 in wide, 32 high, 32 deep",
        "12 × $4.25",
        "Second bird April 28, 2026−$15.00",
        "Total$776.69",
        "Paid, check April 28, 2026−$400.00",
        "Still to pay$376.69",
        "Read more: Care of a mount",
    ] {
        assert!(away.contains(part), "no `{part}` in: {away}");
    }
    let dated = words(&text(&site, &private("d")));
    for part in [
        "Soonest",
        "the week of September 14, 2026",
        "Most likely",
        "the week of September 28, 2026",
        "Latest",
        "the week of November 2, 2026",
        "We tell you what we think, and we may be wrong.",
    ] {
        assert!(dated.contains(part), "no `{part}` in: {dated}");
    }
    let ready = words(&text(&site, &private("e")));
    assert!(
        ready.contains("Ready") && ready.contains("It can stay here until September 19, 2026 for free."),
        "{ready}"
    );
    let closing = words(&text(&site, &private("f")));
    assert!(
        closing.contains("Thank you") && closing.contains("This page stays up until November 6, 2026."),
        "{closing}"
    );
}

#[test]
fn photos_not_shown_or_not_yet_taken_stay_away() {
    let example = example::plain();
    let (site, _) = made(&example);
    let folder = format!("see/{}/", "a".repeat(26));
    let photos = site.files.keys().filter(|path| path.starts_with(&folder) && path.ends_with(".jpg")).count();
    assert_eq!(photos, 3 * 3, "three photos in three sizes");
    let wanted = render::pictures(&example.shop, &example.worked);
    let files: Vec<&str> = wanted.iter().map(|p| p.file.rsplit('/').next().unwrap_or_default()).collect();
    for unwanted in ["26-041-3.jpg", "26-041-unseen.jpg", "26-041-later.jpg", "24-001-0.jpg"] {
        assert!(!files.contains(&unwanted), "{files:?}");
    }
    // Open jobs, their newest photos first; then the collected one; then the showroom and the pages.
    assert_eq!(
        files[..6],
        ["26-033-0.jpg", "25-107-0.jpg", "26-041-1.jpg", "26-041-2.jpg", "26-041-0.jpg", "25-090-0.jpg"]
    );
    assert_eq!(files.len(), 6 + 4 * 2 + 5);
}

#[test]
fn a_photo_that_could_not_be_developed_is_left_out() {
    let mut example = example::plain();
    let wanted = render::pictures(&example.shop, &example.worked);
    example.prints.album.clear();
    let (site, _) = made(&example);
    assert!(!wanted.is_empty());
    assert!(!site.files.keys().any(|path| path.ends_with(".jpg")));
    assert!(pages(&site).iter().all(|(_, html)| !html.contains("<img")));
}

#[test]
fn the_sitemap_lists_public_pages_only_and_needs_a_web_address() {
    let (site, _) = made(&example::plain());
    let sitemap = text(&site, "sitemap.xml");
    let listed: Vec<&str> =
        sitemap.split("<loc>").skip(1).filter_map(|part| part.split("</loc>").next()).collect();
    assert_eq!(listed.len(), 13);
    for address in listed {
        let path = address.strip_prefix("https://tamarack-lamp.example/").unwrap();
        assert!(site.files.contains_key(&format!("{path}index.html")) && !is_private(path), "{address}");
    }
    assert!(text(&site, "robots.txt").contains("\nSitemap: https://tamarack-lamp.example/sitemap.xml\n"));
    let (empty, _) = made(&example::empty());
    assert!(!empty.files.contains_key("sitemap.xml"));
    assert!(!text(&empty, "robots.txt").contains("Sitemap"));
}

#[test]
fn the_same_shop_gives_the_same_bytes() {
    let (first, second) = (example::plain(), example::plain());
    let ((one, _), (two, _)) = (made(&first), made(&second));
    assert_eq!(one.files.keys().collect::<Vec<_>>(), two.files.keys().collect::<Vec<_>>());
    for path in one.files.keys() {
        assert!(bytes(&one, path) == bytes(&two, path), "{path}");
    }
}

#[test]
fn a_template_that_fails_while_rendering_gives_no_site() {
    let root = tempfile::tempdir().unwrap();
    let own = root.path().join("themes/hangtag/page.html");
    benchlight::door::base::files::create_new(&own, b"<p>\n{{ title }}{{ say(key=\"none.\" ~ \"such\") }}\n")
        .unwrap();
    let (theme, _) = render::theme::load(root.path()).unwrap();
    let example = example::plain();
    let failed = example.site(&theme);
    let problems: Vec<_> = failed.map(|_| ()).unwrap_err().into_iter().collect();
    assert_eq!(problems.len(), 1, "told once for five pages: {problems:?}");
    assert_eq!(problems[0].severity, Severity::Stop);
    assert!(problems[0].place.as_ref().unwrap().short().starts_with("themes/hangtag/page.html:2:"));
}

#[test]
fn notes_on_what_stands_on_many_pages_are_told_once() {
    let mut example = example::plain();
    example.shop.studio.money.pay = Some("[by card](javascript:pay)".to_owned());
    let (_, notes) = made(&example);
    assert_eq!(notes.len(), 1, "{notes:?}");
    assert_eq!(notes[0].place.as_ref().unwrap().short(), "content/shop.toml");
}

#[test]
fn what_is_spoilt_is_kept_and_not_made() {
    let mut example = example::plain();
    example.shop.spoilt = vec![Spoilt::Page("prices".into())];
    example.shop.pages.retain(|page| page.key != "prices");
    example.worked.spoilt = vec!["26-099".into()];
    let (site, notes) = made(&example);
    assert_eq!(site.kept, [Spoilt::Job("26-099".into()), Spoilt::Page("prices".into())]);
    assert!(!site.files.contains_key("prices/index.html"));
    assert!(!notes.is_empty(), "links to a page that is not made are noted");
}

#[test]
fn closures_are_told_when_announced_and_until_past() {
    let mut example = example::plain();
    let said = |example: &example::Example| words(&text(&made(example).0, "index.html"));
    assert!(said(&example).contains("October 31, 2026 to November 8, 2026"));
    // First of all where somebody may come in vain, from four weeks before; below the bench until then.
    let first = |example: &example::Example| {
        let said = said(example);
        said.find("When we are closed").unwrap() < said.find("On the bench now").unwrap()
    };
    for (today, told_first) in [("2026-10-02", false), ("2026-10-03", true), ("2026-11-08", true)] {
        example.worked.today = day(today);
        assert_eq!(first(&example), told_first, "{today}");
    }
    example.worked.today = day("2026-07-31");
    assert!(!said(&example).contains("October 31, 2026"));
    example.worked.today = day("2026-11-09");
    assert!(!said(&example).contains("October 31, 2026"));
}

#[test]
fn an_empty_shop_has_a_front_page() {
    let (site, notes) = made(&example::empty());
    assert!(notes.is_empty());
    let said = words(&text(&site, "index.html"));
    assert!(said.contains("Tamarack Lamp Taxidermy") && said.contains("The bench is clear today."), "{said}");
    assert_eq!(pages(&site).len(), 3);
}

#[test]
fn a_private_page_stays_within_the_first_window() {
    use flate2::{Compression, write::GzEncoder};
    use std::io::Write as _;
    let size = |bytes: &[u8]| {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
        encoder.write_all(bytes).unwrap();
        encoder.finish().unwrap().len()
    };
    let mut example = example::plain();
    for at in 0..57 {
        let mut photo = example.prints.photo(&format!("many-{at}"), "2026-05-02", false);
        photo.step = Some("washed".to_owned());
        example.shop.jobs[0].photos.push(photo);
    }
    let (site, _) = made(&example);
    assert_eq!(text(&site, &private("a")).matches("<img").count(), 60);
    let style = site.files.keys().find(|path| path.ends_with(".css")).unwrap().clone();
    for letter in ["a", "b", "e", "f"] {
        let all = size(&bytes(&site, &private(letter))) + size(&bytes(&site, &style));
        // RFC 6928: ten segments of 1,460 bytes.
        println!("private page {letter} and its style: {all} bytes compressed");
        assert!(all < 14_600, "{letter}: {all} bytes");
    }
}

/// Every state of a job, every way of storing and every kind of line has its words: the pages are
/// made without an error, which a missing word would be.
#[test]
fn every_state_has_its_words() {
    let stages = [
        Stage::InLine,
        Stage::Held,
        Stage::AtBench,
        Stage::Away,
        Stage::Resting,
        Stage::Ready,
        Stage::Collected,
    ];
    let kinds = [
        LedgerLineKind::Charge,
        LedgerLineKind::Discount,
        LedgerLineKind::Storage,
        LedgerLineKind::Payment,
        LedgerLineKind::Refund,
        LedgerLineKind::WrittenOff,
    ];
    let pers = [StoragePer::Day, StoragePer::Week, StoragePer::Month, StoragePer::Once];
    let standing = |since: Day| {
        [StepState::Open { since }, StepState::Sent { since }, StepState::Held { since }, StepState::Ahead]
    };
    for (round, stage) in stages.into_iter().enumerate() {
        let mut example = example::plain();
        example.shop.studio.line = if round % 2 == 0 { LineBy::Arrival } else { LineBy::Deposit };
        example.shop.studio.money.storage.as_mut().unwrap().per = pers[round % 4];
        example.shop.partners.clear();
        for (at, job) in example.worked.jobs.iter_mut().enumerate() {
            job.stage = stage;
            job.in_line_since = None;
            for (step, state) in job.steps.iter_mut().enumerate() {
                state.state = standing(day("2026-05-01"))[(at + step) % 4];
                if matches!(state.state, StepState::Held { .. }) {
                    state.missing = vec!["form".to_owned(), "pose".to_owned(), "antlers".to_owned()];
                }
            }
            job.ledger.due = Money::from_minor(at as i128 - 2);
            let line = |kind: &LedgerLineKind| LedgerLine {
                kind: *kind,
                what: String::new(),
                on: None,
                each: None,
                amount: Money::ZERO,
            };
            job.ledger.lines = kinds[..3].iter().map(line).collect();
            job.ledger.payments = kinds[3..].iter().map(line).collect();
            for tax in &mut job.ledger.taxes {
                tax.included = true;
            }
        }
        let (site, _) = made(&example);
        assert_eq!(pages(&site).iter().filter(|(path, _)| is_private(path)).count(), 6);
    }
}

#[test]
fn dates_are_shown_as_soon_as_they_can_be_named() {
    let mut example = example::plain();
    let window = Window { soonest: day("2027-01-02"), likely: day("2027-03-04"), latest: day("2027-06-05") };
    example.worked.windows[0].window = Some(window);
    let said = words(&text(&made(&example).0, "index.html"));
    let wanted =
        "most likely early March 2027 early January 2027 at the soonest, early June 2027 at the latest";
    assert!(said.contains(wanted) && said.contains("no date yet"), "{said}");
}

#[test]
fn a_page_whose_life_is_over_is_not_made() {
    let mut example = example::plain();
    for job in &mut example.worked.jobs {
        job.page = PageLife::Gone;
    }
    let (site, _) = made(&example);
    assert!(!site.files.keys().any(|path| is_private(path)));
}

#[test]
fn the_example_is_written_for_the_eye() {
    // Left in the target folder (the folder `look` of the tests), to be opened in a browser.
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("look");
    for (name, example) in [("plain", example::plain()), ("empty", example::empty())] {
        write(&made(&example).0, &folder.join(name));
        assert!(folder.join(name).join("index.html").exists());
    }
}
