//! Text that stands in markup: what may stand there at all, and what has to be written another way.
//!
//! HTML's own way is the engine's (`theme::functions`), with the same rule for what may stand there. A library's ways
//! (`quick-xml`, which comes with posting) write apostrophes as references too, which would change every feed that
//! stands; and drop nothing.

/// Whether a character may stand in an HTML document (controls and noncharacters may not: HTML Standard, 13.2.3.5), and
/// so in XML too (XML 1.0, section 2.2).
pub(super) fn is_showable(c: char) -> bool {
    let code = u32::from(c);
    let noncharacter = (0xfdd0..=0xfdef).contains(&code) || code & 0xfffe == 0xfffe;
    !noncharacter && (!c.is_control() || c == '\n' || c == '\t')
}

/// Text in XML, between tags or between double quotes: markup and quotes become references (XML 1.0, section 2.4), and
/// what may not stand there is left out.
pub(super) fn in_xml(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().filter(|c| is_showable(*c)) {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_and_quotes_become_references_and_controls_go() {
        // XML 1.0, section 2.4 and 2.2.
        assert_eq!(in_xml("<a b=\"c\">&'\u{0}\u{7}\u{fffe}\t"), "&lt;a b=&quot;c&quot;&gt;&amp;'\t");
    }
}
