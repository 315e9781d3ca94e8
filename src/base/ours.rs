//! How a file that Benchlight made is known again where no record of it is left: by a mark near its beginning, or by
//! a name made of what it holds. One rule for the output folder (`write`), a host (`post`) and the pages that are
//! given a mark (`render`).
//!
//! The plain mark says that some Benchlight made it, which is enough in a shop's own folder. At a host others may have
//! put theirs, so each page carries the shop's own mark as well (`identity`): it vouches for the page, and an `index.html`
//! for what is ours beside and below it.

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

/// Whether there is a mark near the beginning of these bytes.
pub fn has_mark(bytes: &[u8]) -> bool {
    let beginning = bytes.get(..BEGINNING).unwrap_or(bytes);
    let text = String::from_utf8_lossy(beginning).replace('"', "");
    MARKS.iter().any(|mark| text.contains(mark))
}

/// The page with the mark of its shop, in a comment behind its first line; one may stand before the `html` element
/// (HTML Standard, "Writing HTML documents").
pub fn with_shop_mark(page: &[u8], mark: &str) -> Vec<u8> {
    const TYPE: &[u8] = b"<!doctype html>";
    let typed = page.get(..TYPE.len()).is_some_and(|start| start.eq_ignore_ascii_case(TYPE));
    let (start, rest) = page.split_at(if typed { TYPE.len() } else { 0 });
    [start, shop_comment(mark).as_bytes(), rest].concat()
}

/// Whether a page carries the mark of its shop near its beginning.
pub fn has_shop_mark(bytes: &[u8], mark: &str) -> bool {
    let beginning = bytes.get(..BEGINNING).unwrap_or(bytes);
    String::from_utf8_lossy(beginning).contains(&shop_comment(mark))
}

/// Whether a page carries no shop's mark, as all did before there were any.
pub fn has_plain_mark_alone(bytes: &[u8]) -> bool {
    let beginning = bytes.get(..BEGINNING).unwrap_or(bytes);
    has_mark(bytes) && !String::from_utf8_lossy(beginning).contains(SHOP)
}

/// How the comment with a shop's mark begins.
const SHOP: &str = "<!-- benchlight ";

fn shop_comment(mark: &str) -> String {
    format!("{SHOP}{mark} -->")
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
    }

    #[test]
    fn a_shops_own_mark_stands_behind_the_first_line() {
        let marked = with_shop_mark(b"<!DOCTYPE html><html>", "abc");
        assert_eq!(marked, b"<!DOCTYPE html><!-- benchlight abc --><html>");
        assert!(has_shop_mark(&marked, "abc") && !has_shop_mark(&marked, "ab") && !has_mark(&marked));
        assert_eq!(with_shop_mark(b"x", "abc"), b"<!-- benchlight abc -->x");
        let before = b"<!doctype html><meta name=generator content=Benchlight>";
        assert!(has_plain_mark_alone(before) && !has_plain_mark_alone(&with_shop_mark(before, "abc")));
    }
}
