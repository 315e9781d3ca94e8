//! Every page is made small before it is written, within what the HTML Standard allows.

use crate::base::ours::{COMMENT, has_mark};
use minify_html::Cfg;

/// Elements lie no deeper than this in each other on any page that a person lays out. The minifier goes down step by step,
/// and a few thousand of them end the program.
const DEEPEST: usize = 200;

/// The same page in fewer bytes; one that is nested too deep stays as it is.
pub fn minified(page: &str) -> String {
    if depth(page) > DEEPEST {
        return page.to_owned();
    }
    let bytes = minify_html::minify(page.as_bytes(), &settings());
    String::from_utf8(bytes).unwrap_or_else(|_| page.to_owned())
}

/// How deep elements lie in each other at most. What only looks like one, in a script, counts as well.
fn depth(page: &str) -> usize {
    // HTML Standard, 13.1.2, "Void elements".
    const VOID: [&str; 13] = [
        "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr",
    ];
    let (mut now, mut most) = (0usize, 0);
    for behind in page.split('<').skip(1) {
        let name: String = behind.chars().take_while(char::is_ascii_alphanumeric).take(16).collect();
        let closes_itself = behind.split_once('>').is_some_and(|(tag, _)| tag.ends_with('/'));
        if behind.starts_with('/') {
            now = now.saturating_sub(1);
        } else if !name.is_empty() && !closes_itself && !VOID.contains(&name.to_ascii_lowercase().as_str()) {
            now += 1;
            most = most.max(now);
        }
    }
    most
}

/// A page that is known for ours even where the owner's template leaves out what says so. A comment may stand before
/// the `html` element (HTML Standard, "Writing HTML documents").
pub fn marked(page: String) -> String {
    if has_mark(page.as_bytes()) {
        return page;
    }
    const TYPE: &str = "<!doctype html>";
    let at = match page.get(..TYPE.len()) {
        Some(start) if start.eq_ignore_ascii_case(TYPE) => TYPE.len(),
        _ => 0,
    };
    let (start, rest) = page.split_at(at);
    format!("{start}{COMMENT}{rest}")
}

/// Nothing that a validator would object to.
fn settings() -> Cfg {
    let mut settings = Cfg::new();
    settings.keep_closing_tags = true;
    settings.keep_html_and_head_opening_tags = true;
    settings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_without_the_mark_gets_one() {
        let own = "<!doctype html><html><head><meta content=\"Benchlight\" name=generator></head></html>";
        assert_eq!(marked(own.to_owned()), own);
        assert_eq!(
            marked("<!DOCTYPE html><html></html>".to_owned()),
            "<!DOCTYPE html><!-- made by Benchlight --><html></html>"
        );
        assert_eq!(marked("<p>é".to_owned()), "<!-- made by Benchlight --><p>é");
        assert_eq!(marked(String::new()), "<!-- made by Benchlight -->");
    }

    #[test]
    fn what_is_nested_too_deep_stays_as_it_is() {
        assert_eq!(depth("<!doctype html><html><br><img><p>1 < 2<b>x</b></p><svg><path/></svg>"), 3);
        let nested = |n: usize| format!("{}  x  {}", "<div>".repeat(n), "</div>".repeat(n));
        assert!(minified(&nested(DEEPEST)).len() < nested(DEEPEST).len());
        for deep in [nested(100_000), "<b>".repeat(100_000), "<p><ul><li>".repeat(50_000)] {
            assert_eq!(minified(&deep), deep);
        }
    }

    #[test]
    fn space_goes_and_meaning_stays() {
        let page = "<!doctype html>\n<html lang=\"en\"><head><title> x </title></head>\n<body>\n<p> 1 &lt; 2 &amp;amp; \"q\"  <b>b</b> c </p>\n</body></html>";
        let small = minified(page);
        assert!(small.len() < page.len());
        assert!(small.contains("1 &lt; 2 &amp;amp; \"q\" <b>b</b> c"), "{small}");
        assert!(small.contains("</p>") && small.contains("<head>"), "{small}");
    }
}
