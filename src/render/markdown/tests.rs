//! What becomes of the owner's Markdown: harmless, at home in its page, and quick.

use super::*;
use crate::problem::Severity;

fn html_and_notes(text: &str) -> (String, Vec<Problem>) {
    with_pictures(text, None)
}

fn with_pictures(text: &str, picture: Option<Pictures<'_>>) -> (String, Vec<Problem>) {
    let pages: BTreeSet<String> =
        ["index.html", "prices/index.html", "showroom/turkey/index.html"].map(String::from).into();
    let around = Around { root: "../", pages: &pages, heading: 2, picture };
    let mut notes = Problems::default();
    let html = of_source(&Source::new("a.md", text), &around, &mut notes);
    (html, notes.into_iter().collect())
}

fn html(text: &str) -> String {
    html_and_notes(text).0
}

#[test]
fn html_is_shown_as_text() {
    assert_eq!(html("a <b onclick=x>c</b>").trim(), "<p>a &lt;b onclick=x&gt;c&lt;/b&gt;</p>");
    assert_eq!(
        html("<script>\nalert(1)\n</script>").trim(),
        "<p>&lt;script&gt;\nalert(1)\n&lt;/script&gt;</p>"
    );
}

#[test]
fn only_harmless_addresses_are_linked() {
    // OWASP XSS Filter Evasion Cheat Sheet: schemes, case, embedded tabs and references.
    for harmful in [
        "[x](javascript:alert(1))",
        "[x](JaVaScRiPt:alert(1))",
        "[x](<java\tscript:alert(1)>)",
        "[x](&#106;avascript:alert(1))",
        "[x](java&#x0A;script:alert(1))",
        "[x](<\u{1} javascript:alert(1)>)",
        "[x](vbscript:x)",
        "[x](data:text/html;base64,PHNjcmlwdD4=)",
        "[x](//elsewhere.example/)",
        "[x](/\\elsewhere.example/)",
        "<javascript:alert(1)>",
    ] {
        let (html, notes) = html_and_notes(harmful);
        assert!(!html.contains("<a"), "{harmful} -> {html}");
        assert_eq!(notes.iter().map(|n| n.code).collect::<Vec<_>>(), [Code::UnsafeAddress], "{harmful}");
    }
    for fine in
        ["https://a.example/?q=1", "mailto:a@b.example", "tel:555-0100", "sms:555-0100", "HTTP://a.example"]
    {
        assert!(html(&format!("[x]({fine})")).contains("<a href="), "{fine}");
    }
}

#[test]
fn links_to_pages_are_found_from_the_root() {
    for written in ["prices", "prices.md", "./prices/", "../prices/index.html", "/prices"] {
        assert!(html(&format!("[x]({written})")).contains("<a href=\"../prices/index.html\">"), "{written}");
    }
    assert!(html("[x](/)").contains("<a href=\"../index.html\">"));
    let (html, notes) = html_and_notes("[x](price)");
    assert_eq!(html.trim(), "<p>x</p>");
    assert_eq!((notes[0].code, notes[0].severity), (Code::UnknownPage, Severity::Note));
    assert_eq!(notes[0].hint.as_deref(), Some("did you mean `prices`?"));
}

#[test]
fn pictures_that_are_not_the_shops_become_their_words() {
    let (html, notes) = html_and_notes("![a *b* `c`](https://elsewhere.example/x.png)");
    assert_eq!(html.trim(), "<p>a b c</p>");
    assert_eq!(notes[0].code, Code::UnsafeAddress);
    let note = &html_and_notes("![a](b.jpg)").1[0];
    assert_eq!(note.code, Code::MissingPicture);
    assert!(note.hint.as_deref().unwrap().contains("content/pages/"));
}

#[test]
fn what_the_reading_room_told_of_a_pages_pictures_is_not_told_again() {
    for told in ["b.jpg", "../b.jpg", "b%20c.jpg", "..\\b.jpg"] {
        let (html, notes) = with_pictures(&format!("![a *b*]({told})"), Some(&|_| None));
        assert_eq!((html.trim(), notes.len()), ("<p>a b</p>", 0), "{told}");
    }
    for elsewhere in ["https://elsewhere.example/x.png", "//elsewhere.example/x.png", "#x"] {
        let (_, notes) = with_pictures(&format!("![a]({elsewhere})"), Some(&|_| None));
        assert_eq!(notes.len(), 1, "{elsewhere}");
    }
}

#[test]
fn headings_begin_at_the_pages_level_and_skip_none() {
    let levels = html("# a\n\n### b\n\n## c\n\n###### d\n\n# e");
    assert_eq!(levels.replace('\n', ""), "<h2>a</h2><h3>b</h3><h3>c</h3><h4>d</h4><h2>e</h2>");
    assert_eq!(html("### a\n\n# b").replace('\n', ""), "<h2>a</h2><h2>b</h2>");
}

#[test]
fn depth_and_tables_stay_within_bounds() {
    let deep = html(&format!("{} x", ">".repeat(5000)));
    assert!(deep.matches("<blockquote>").count() <= DEEPEST);
    assert_eq!(deep.matches("<blockquote>").count(), deep.matches("</blockquote>").count());
    let list = html(&(0..200).map(|i| format!("{}- x\n", "  ".repeat(i))).collect::<String>());
    assert_eq!(list.matches("<li>").count(), list.matches("</li>").count());
    let table = html("|a|\n|--:|\n|1|\n");
    assert!(table.starts_with("<div class=\"wide\"><table>") && !table.contains("style"), "{table}");
}

#[test]
fn the_time_for_a_deep_text_grows_with_its_length_alone() {
    // Ten times the depth takes about ten times as long; what looks through all open quotes at
    // each one takes a hundred times. The best of five leaves out what else the machine did.
    let best = |depth: usize| {
        let text = "> ".repeat(depth);
        let time = |_| {
            let start = std::time::Instant::now();
            assert!(html(&text).matches("<blockquote>").count() <= DEEPEST);
            start.elapsed()
        };
        (0..5).map(time).min().unwrap()
    };
    let (few, many) = (best(20_000), best(200_000));
    assert!(many < few * 50, "{few:?} for 20,000 levels, {many:?} for 200,000");
}
