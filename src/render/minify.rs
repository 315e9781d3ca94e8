//! Every page is made small before it is written, within what the HTML Standard allows.

use crate::base::ours::{COMMENT, has_mark};
use minify_html::Cfg;

/// The minifier goes into an element by calling itself, and a thread that runs out of stack takes the whole program with
/// it, which no guard holds. Pages of ours are a tenth as deep; at a few thousand it comes to that.
const DEEPEST: usize = 400;
/// Elements that hold nothing (HTML Standard, "Void elements").
const VOID: [&str; 13] =
    ["area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"];

/// The same page in fewer bytes; one that is nested too deeply stays as it is.
pub fn minified(page: &str) -> String {
    if depth(page) > DEEPEST {
        return page.to_owned();
    }
    let bytes = minify_html::minify(page.as_bytes(), &settings());
    String::from_utf8(bytes).unwrap_or_else(|_| page.to_owned())
}

/// How deep the elements of a page lie in one another, rather too much than too little.
fn depth(page: &str) -> usize {
    let (mut depth, mut deepest, mut in_drawing) = (0_usize, 0, false);
    for tag in page.split('<').skip(1) {
        let is_name = |c: char| c.is_ascii_alphanumeric() || c == '-';
        let (closes, rest) = tag.strip_prefix('/').map_or((false, tag), |rest| (true, rest));
        let name = rest.split(|c| !is_name(c)).next().unwrap_or_default();
        if !name.starts_with(|c: char| c.is_ascii_alphabetic()) {
            continue;
        }
        let is = |other: &&str| name.eq_ignore_ascii_case(other);
        if is(&"svg") {
            in_drawing = !closes;
        }
        // Only in a drawing does a stroke at the end of a tag close it.
        let holds_nothing =
            VOID.iter().any(is) || in_drawing && rest.split('>').next().is_some_and(|tag| tag.ends_with('/'));
        match (closes, holds_nothing) {
            (true, _) => depth = depth.saturating_sub(1),
            (false, true) => {}
            (false, false) => depth += 1,
        }
        deepest = deepest.max(depth);
    }
    deepest
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
    fn a_page_is_never_too_deep_for_the_minifier() {
        for (page, deep) in [
            ("", 0),
            ("<p>a<br>b<img src=x> 1 < 2</p><p>c</p>", 1),
            ("<div><DIV><p>x</p></DIV></div><p>y", 3),
            ("<div/><div/>", 2),
            ("<svg><path d=x /><path d=y /></svg><p>", 1 + 1),
        ] {
            assert!(depth(page).abs_diff(deep) <= 1, "{page}: {}", depth(page));
        }
        for tag in ["div", "em", "template", "svg"] {
            let deep = format!(
                "<!doctype html>{}x{}",
                format!("<{tag}> ").repeat(100_000),
                format!("</{tag}>").repeat(100_000)
            );
            assert_eq!(minified(&deep), deep);
            let less = format!(
                "<!doctype html>{} x{}",
                format!("<{tag}>").repeat(300),
                format!("</{tag}>").repeat(300)
            );
            assert!(!minified(&less).is_empty());
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
