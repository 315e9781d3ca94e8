//! Every page is made small before it is written, within what the HTML Standard allows.

use minify_html::Cfg;

/// The same page in fewer bytes.
pub fn minified(page: &str) -> String {
    let bytes = minify_html::minify(page.as_bytes(), &settings());
    String::from_utf8(bytes).unwrap_or_else(|_| page.to_owned())
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
    fn space_goes_and_meaning_stays() {
        let page = "<!doctype html>\n<html lang=\"en\"><head><title> x </title></head>\n<body>\n<p> 1 &lt; 2 &amp;amp; \"q\"  <b>b</b> c </p>\n</body></html>";
        let small = minified(page);
        assert!(small.len() < page.len());
        assert!(small.contains("1 &lt; 2 &amp;amp; \"q\" <b>b</b> c"), "{small}");
        assert!(small.contains("</p>") && small.contains("<head>"), "{small}");
    }
}
