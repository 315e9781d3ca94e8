//! What holds for whatever a reader was given.

use crate::problem::{Problem, Problems, print};

/// What is told of a file can be printed, shows no sign that a terminal would obey, and is in the measure of the file.
pub fn told(problems: Vec<Problem>, input: &[u8]) {
    let problems = Problems::from_iter(problems).sorted();
    let text = print::text(&problems);
    visible(&text);
    bounded(text.len() + print::json(&problems).to_string().len(), input, 200);
}

/// A length in the measure of the input.
pub fn bounded(length: usize, input: &[u8], times: usize) {
    let most = 20_000 + times * input.len();
    assert!(length <= most, "{length} bytes come of {}", input.len());
}

/// No control sign but the end of a line, and none that turns the direction of what is read (Unicode, UAX 9).
pub fn visible(text: &str) {
    let turns = |c: char| matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let odd = text.chars().find(|c| c.is_control() && *c != '\n' || turns(*c));
    assert!(odd.is_none(), "{odd:?} in {text:?}");
}

/// Elements that the owner's Markdown can become, and their attributes.
const ELEMENTS: [&str; 28] = [
    "p",
    "em",
    "strong",
    "del",
    "code",
    "pre",
    "ul",
    "ol",
    "li",
    "blockquote",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "table",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "div",
    "br",
    "hr",
    "a",
    "sup",
    "span",
];
const ATTRIBUTES: [&str; 4] = ["href", "title", "start", "class"];
const SCHEMES: [&str; 6] = ["http:", "https:", "mailto:", "tel:", "sms:", "../"];

/// HTML of known elements and attributes alone, with addresses that run nothing.
pub fn harmless(html: &str) {
    for tag in html.split('<').skip(1) {
        let tag = tag.strip_prefix('/').unwrap_or(tag);
        let end = tag.find(|c: char| !c.is_ascii_alphanumeric()).unwrap_or(tag.len());
        assert!(ELEMENTS.contains(&&tag[..end]), "<{} in {html:?}", &tag[..end]);
        let mut rest = tag[end..].trim_start();
        while !rest.starts_with('>') && !rest.starts_with("/>") {
            let (name, after) = rest.split_once("=\"").unwrap_or_else(|| panic!("<{tag} in {html:?}"));
            let (value, after) = after.split_once('"').unwrap_or_else(|| panic!("<{tag} in {html:?}"));
            assert!(ATTRIBUTES.contains(&name), "{name} in {html:?}");
            let leads =
                |scheme: &&str| value.get(..scheme.len()).is_some_and(|s| s.eq_ignore_ascii_case(scheme));
            assert!(
                name != "href" || SCHEMES.iter().any(leads) || value.contains('@'),
                "{value} in {html:?}"
            );
            rest = after.trim_start();
        }
    }
}

/// A whole JPEG of at most this size that carries nothing but the picture (ISO/IEC 10918-1, table B.1: APPn, COM).
pub fn bare_jpeg(file: &[u8], (width, height): (u32, u32)) {
    assert!(file.starts_with(b"\xFF\xD8\xFF") && file.ends_with(b"\xFF\xD9"), "no whole JPEG");
    let mut at = 2;
    while let [0xFF, mark, high, low, ..] = file[at..] {
        let length = usize::from(u16::from_be_bytes([high, low]));
        match mark {
            0xDA => return,
            // JFIF says which colours these are; a profile may stand in APP2.
            0xE0 | 0xE2 => {}
            0xE1..=0xEF | 0xFE => panic!("it carries a segment {mark:x}"),
            0xC0 | 0xC2 => {
                let side =
                    |from: usize| u32::from(u16::from_be_bytes([file[at + from], file[at + from + 1]]));
                let (high, wide) = (side(5), side(7));
                let most = width.max(height);
                assert!(wide <= most && high <= most, "{wide} x {high} of {width} x {height}");
            }
            _ => {}
        }
        at += 2 + length;
    }
    panic!("no scan in it");
}
