//! Every page is made small before it is written, within what the HTML Standard allows.

use crate::base::ours::{COMMENT, has_mark};
use minify_html::Cfg;

/// The same page in fewer bytes.
pub fn minified(page: &str) -> String {
    let bytes = minify_html::minify(page.as_bytes(), &settings());
    String::from_utf8(bytes).unwrap_or_else(|_| page.to_owned())
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
    fn space_goes_and_meaning_stays() {
        let page = "<!doctype html>\n<html lang=\"en\"><head><title> x </title></head>\n<body>\n<p> 1 &lt; 2 &amp;amp; \"q\"  <b>b</b> c </p>\n</body></html>";
        let small = minified(page);
        assert!(small.len() < page.len());
        assert!(small.contains("1 &lt; 2 &amp;amp; \"q\" <b>b</b> c"), "{small}");
        assert!(small.contains("</p>") && small.contains("<head>"), "{small}");
    }
}
