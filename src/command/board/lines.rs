//! Lines of a terminal: 80 columns, words cut with a mark, texts broken between words.

use crate::base::shown;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// How wide a line may be.
pub const WIDE: usize = 80;

/// A text in exactly so many columns: cut or filled up.
pub fn cell(text: &str, wide: usize) -> String {
    let text = cut(text, wide);
    let filled = wide.saturating_sub(text.width());
    format!("{text}{}", " ".repeat(filled))
}

/// A text in at most so many columns, with the signs in it that a terminal would obey made visible.
pub fn cut(text: &str, wide: usize) -> String {
    let clean = shown::line(text);
    if clean.width() <= wide {
        return clean.into_owned();
    }
    let mut out = String::new();
    let mut used = 0;
    for c in clean.chars() {
        let own = c.width().unwrap_or(0);
        if used + own + 1 > wide {
            break;
        }
        used += own;
        out.push(c);
    }
    format!("{}…", out.trim_end())
}

/// A heading with something at the end of its line.
pub fn heading(left: &str, right: &str) -> String {
    let room = WIDE.saturating_sub(right.width() + 1);
    format!("{} {right}", cell(left, room)).trim_end().to_owned()
}

/// A text broken between words, each line behind the same margin; a word too long for a line stays whole.
pub fn folded(text: &str, margin: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let word = shown::line(word);
        if !line.is_empty() && margin.width() + line.width() + 1 + word.width() > WIDE {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(&word);
    }
    lines.push(line);
    lines.iter().map(|line| format!("{margin}{line}\n")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_keep_their_width() {
        assert_eq!(cell("Fenn", 6), "Fenn  ");
        assert_eq!(cell("Eastern wild turkey", 8), "Eastern…");
        // Each of these takes two columns: Unicode Standard Annex 11, East Asian Wide.
        assert_eq!(cell("鱒鱒鱒", 5), "鱒鱒…");
        assert_eq!(cut("a\u{1b}[31mb", 9), "a\u{fffd}[31mb");
        assert_eq!(heading("To be done", "4 h").width(), WIDE);
    }

    #[test]
    fn texts_break_between_words() {
        let text = "word ".repeat(40);
        assert!(folded(&text, "    ").lines().all(|line| line.width() <= WIDE && line.starts_with("    ")));
        assert_eq!(folded("", "  "), "  \n");
    }
}
