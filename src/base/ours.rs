//! How a file that Benchlight made is known again where no record of it is left: by a mark near its beginning, or by
//! a name made of what it holds. One rule for the output folder (`write`), a host (`post`) and the pages that are
//! given a mark (`render`).

/// The mark that a page of the owner's own making gets; the built-in theme says it in the words of HTML.
pub const COMMENT: &str = "<!-- made by Benchlight -->";
/// What every page, feed, calendar, `robots.txt` and `sitemap.xml` of ours carries, without its quote marks; a minifier
/// may turn the attributes of the first around.
const MARKS: [&str; 5] = [
    "<meta name=generator content=Benchlight>",
    "<meta content=Benchlight name=generator>",
    COMMENT,
    "# made by Benchlight",
    "PRODID:-//Benchlight//",
];
/// So much of a file is looked through for a mark, in bytes.
pub const BEGINNING: usize = 4096;

/// Whether a file with this ending carries a mark.
pub fn is_marked_kind(ending: &str) -> bool {
    matches!(ending, "html" | "xml" | "txt" | "atom" | "ics")
}

/// Whether there is a mark near the beginning of these bytes.
pub fn has_mark(bytes: &[u8]) -> bool {
    let beginning = bytes.get(..BEGINNING).unwrap_or(bytes);
    let text = String::from_utf8_lossy(beginning).replace('"', "");
    MARKS.iter().any(|mark| text.contains(mark))
}

/// Whether a name is shaped like the digest that names files by what they hold: sixteen hexadecimal digits.
pub fn is_content_name(stem: &str) -> bool {
    stem.len() == 16 && stem.bytes().all(|b| b.is_ascii_hexdigit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_counts_near_the_beginning_alone() {
        assert!(has_mark(b"<!doctype html><meta name=\"generator\" content=\"Benchlight\">"));
        assert!(!has_mark(b"<title>Benchlight</title>"));
        let far = format!("{}{COMMENT}", " ".repeat(BEGINNING));
        assert!(!has_mark(far.as_bytes()) && has_mark(&far.as_bytes()[100..]));
        assert!(is_content_name("0123456789abcdef") && !is_content_name("0123456789abcde"));
        assert!(is_marked_kind("ics") && !is_marked_kind("jpg"));
    }
}
