//! One rule for signs that a text may not hold where a person reads it in a terminal: what a terminal would obey, what
//! turns the order of letters around, and what cannot be seen.
//!
//! The signs are those of general category Cc and Cf of the Unicode Character Database (UAX #44, version 15), line and
//! paragraph separators, and letters without any shape (`Default_Ignorable_Code_Point`). Left as they are: Arabic number
//! signs and their like (`Prepended_Concatenation_Mark`), which can be seen; the usual variation selectors, by which
//! emoji take their color; and the two joiners behind a letter of a script that needs them or behind an emoji.
//!
//! Who prints asks here; how a message looks is `problem::print`'s.

use std::borrow::Cow;
use std::fmt::Write;

/// What stands in the place of such a sign: one column wide, so that marks below a line stay under their letters.
pub const STAND_IN: char = '\u{fffd}';

/// Joiners, which some scripts and emoji need (Unicode Standard, 23.2, "Cursive Connection and Ligatures").
const JOINERS: [char; 2] = ['\u{200c}', '\u{200d}'];

/// Beyond the Latin letters and their accents: below this nothing is joined.
const FIRST_JOINED: char = '\u{300}';

/// Whether a sign acts, deceives or cannot be seen. Joiners are, as nothing is known of what they stand behind.
pub fn is_veiled(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}' | '\u{180e}'
            | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{3164}'
            | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' | '\u{13430}'..='\u{1343f}'
            | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}')
}

/// A text for one line: each such sign, ends of lines included, becomes [`STAND_IN`].
pub fn line(text: &str) -> Cow<'_, str> {
    if text.is_ascii() && !text.bytes().any(|b| b.is_ascii_control()) {
        return Cow::Borrowed(text);
    }
    let mut before = ' ';
    let signs = text.chars().map(|c| {
        let joins = JOINERS.contains(&c) && before >= FIRST_JOINED && !is_veiled(before);
        let shown = if is_veiled(c) && !joins { STAND_IN } else { c };
        before = if shown == STAND_IN { ' ' } else { c };
        shown
    });
    Cow::Owned(signs.collect())
}

/// A text of several lines: their ends stay.
pub fn lines(text: &str) -> String {
    text.split('\n').map(line).collect::<Vec<_>>().join("\n")
}

/// JSON that means the same and holds none of these signs: they can only stand inside of its words, where they are
/// written as `\u` and four digits, in two where they need it (RFC 8259, section 7).
pub fn json(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c != '\n' && is_veiled(c) {
            for unit in c.encode_utf16(&mut [0; 2]) {
                let _ = write!(out, "\\u{unit:04x}");
            }
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_acts_or_deceives_is_seen_and_what_is_written_stays() {
        assert_eq!(line("\u{1b}]52;c;eA==\u{7}"), "\u{fffd}]52;c;eA==\u{fffd}");
        assert_eq!(line("a\u{9b}2Jb\u{7f}\tc\nd"), "a\u{fffd}2Jb\u{fffd}\u{fffd}c\u{fffd}d");
        assert_eq!(line("Fenn\u{202e}gpj\u{2066}x\u{2069}"), "Fenn\u{fffd}gpj\u{fffd}x\u{fffd}");
        for plain in ["", "Ada Fenn", "鱒", "Å e\u{301}", "٠\u{600}", "\u{2764}\u{fe0f}", "…█▀▄"] {
            assert_eq!(line(plain), plain, "{plain:?}");
        }
        assert_eq!(lines("a\n\tb\r\n"), "a\n\u{fffd}b\u{fffd}\n");
    }

    #[test]
    fn joiners_stay_where_they_join() {
        // A family of emoji (UTS #51, 2.2), a Persian plural, a letter of Devanagari.
        for joined in ["\u{1f468}\u{200d}\u{1f467}", "می\u{200c}خواهم", "क\u{94d}\u{200d}ष"] {
            assert_eq!(line(joined), joined);
        }
        assert_eq!(line("Fe\u{200d}nn\u{200c}"), "Fe\u{fffd}nn\u{fffd}");
        assert_eq!(line("\u{1f468}\u{200d}\u{200d}"), "\u{1f468}\u{200d}\u{fffd}");
    }

    #[test]
    fn json_keeps_its_meaning() {
        let value = serde_json::json!({"a\u{9b}": "b\u{7f}\u{1b}[m\u{202e}\u{e0041}\u{200d}é"});
        let text = json(&serde_json::to_string_pretty(&value).unwrap());
        assert!(text.chars().all(|c| c == '\n' || !is_veiled(c)), "{text}");
        assert_eq!(serde_json::from_str::<serde_json::Value>(&text).unwrap(), value);
    }
}
