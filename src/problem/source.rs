//! A text file that problems point into: byte spans become lines and columns.
//!
//! Of a long line a piece around the mark is kept, so that a problem is small whatever the file holds; where lines begin
//! is worked out once for each text.

use crate::base::shown;
use std::ops::Range;
use std::sync::{Arc, OnceLock};
use unicode_width::UnicodeWidthChar;

/// A range of bytes in a source.
pub type Span = Range<usize>;

/// So much of a line is shown, in terminal columns.
const WIDEST: usize = 160;
/// So much of it before the mark, where the line is longer.
const BEFORE: usize = 60;

/// A file's text with the name that messages use.
#[derive(Clone, Debug)]
pub struct Source {
    /// Path from the shop's folder, with forward slashes.
    pub file: Arc<str>,
    pub text: Arc<str>,
    /// Where its lines begin, once somebody has asked.
    lines: Arc<OnceLock<Vec<usize>>>,
}

impl PartialEq for Source {
    fn eq(&self, other: &Source) -> bool {
        (&self.file, &self.text) == (&other.file, &other.text)
    }
}

impl Eq for Source {}

/// Where a problem is: a file, and in it perhaps a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Location {
    pub file: Arc<str>,
    pub at: Option<Position>,
}

/// A place in a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Position {
    /// Line, counted from 1.
    pub line: usize,
    /// Column, counted from 1 in characters.
    pub column: usize,
    /// The line without its end, or the piece of a long one that is marked, with a mark where it was cut.
    pub text: String,
    /// How far the mark stands from the beginning of `text` and how long it is, in terminal columns.
    pub mark: (usize, usize),
}

impl Source {
    pub fn new(file: impl Into<Arc<str>>, text: impl Into<Arc<str>>) -> Source {
        Source { file: file.into(), text: text.into(), lines: Arc::default() }
    }

    /// The place of a byte span; a span that runs over its line marks that line to its end.
    pub fn place(&self, span: &Span) -> Location {
        let text = &*self.text;
        let start = floor_boundary(text, span.start);
        let begins = self.begins();
        // Line 1 begins at 0, so that there always is one.
        let line = begins.partition_point(|begin| *begin <= start).max(1);
        let line_start = begins.get(line - 1).copied().unwrap_or(0);
        let line_end = begins.get(line).map_or(text.len(), |next| next - 1);
        let whole = text[line_start..line_end].trim_end_matches('\r');
        let end =
            floor_boundary(text, span.end).clamp(start, line_start + whole.len().max(start - line_start));
        let before = &text[line_start..start];
        let rest = whole.get(before.len()..).unwrap_or_default();
        let marked = rest.get(..end - start).unwrap_or(rest);
        let (piece, mark) = piece(before, rest, marked);
        let at = Position { line, column: before.chars().count() + 1, text: piece, mark };
        Location { file: self.file.clone(), at: Some(at) }
    }

    fn begins(&self) -> &[usize] {
        self.lines.get_or_init(|| {
            let ends = self.text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
            std::iter::once(0).chain(ends.map(|(at, _)| at + 1)).collect()
        })
    }

    /// The file as a whole.
    pub fn whole(&self) -> Location {
        Location::file(self.file.clone())
    }
}

impl Location {
    /// A file as a whole.
    pub fn file(file: impl Into<Arc<str>>) -> Location {
        Location { file: file.into(), at: None }
    }

    /// `content/shop.toml:3:9`, or the file alone.
    pub fn short(&self) -> String {
        match &self.at {
            Some(at) => format!("{}:{}:{}", self.file, at.line, at.column),
            None => self.file.to_string(),
        }
    }
}

impl Position {
    /// Whether `line` is still the one that this was taken from, as far as that can be told.
    pub fn is_of(&self, line: &str) -> bool {
        let (line, text) = (untabbed(line), self.text.trim());
        let kept = text.trim_start_matches(CUT).trim_end_matches(CUT);
        line.trim() == text || (kept.len() < text.len() && line.contains(kept))
    }
}

/// Stands where a line was cut.
const CUT: char = '…';

/// What is shown of a line, and where its mark stands: `rest` begins with what is `marked`.
fn piece(before: &str, rest: &str, marked: &str) -> (String, (usize, usize)) {
    let (mut front, mut behind) = (tail(before, WIDEST), head(rest, WIDEST));
    let fits = wide(front) + wide(behind) <= WIDEST;
    if front.len() < before.len() || behind.len() < rest.len() || !fits {
        front = tail(before, BEFORE);
        behind = head(rest, WIDEST - wide(front) - 2);
    }
    let cut_before = if front.len() < before.len() { "…" } else { "" };
    let cut_behind = if behind.len() < rest.len() { "…" } else { "" };
    let mark = (wide(cut_before) + wide(front), wide(head(marked, wide(behind))).max(1));
    (format!("{cut_before}{}{}{cut_behind}", untabbed(front), untabbed(behind)), mark)
}

/// The beginning of a text in at most so many columns.
fn head(text: &str, columns: usize) -> &str {
    &text[..fitting(text.chars(), columns)]
}

/// The end of a text in at most so many columns.
fn tail(text: &str, columns: usize) -> &str {
    &text[text.len() - fitting(text.chars().rev(), columns)..]
}

/// The bytes of the first signs that fit; what takes no column counts as half of one, or there could be any number.
fn fitting(signs: impl Iterator<Item = char>, columns: usize) -> usize {
    let mut halves = columns * 2;
    let fits = |c: &char| {
        let own = (column_of(*c) * 2).max(1);
        let fits = own <= halves;
        halves = halves.saturating_sub(own);
        fits
    };
    signs.take_while(fits).map(char::len_utf8).sum()
}

fn wide(text: &str) -> usize {
    text.chars().map(column_of).sum()
}

/// The columns of a sign as it is shown.
fn column_of(c: char) -> usize {
    match c {
        '\t' => TAB.len(),
        c if shown::is_veiled(c) => 1,
        c => c.width().unwrap_or(1),
    }
}

const TAB: &str = "    ";

fn untabbed(text: &str) -> String {
    text.replace('\t', TAB)
}

/// The nearest place at or before `at` where a character begins.
fn floor_boundary(text: &str, at: usize) -> usize {
    let at = at.min(text.len());
    (0..=at).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_count_from_one() {
        let source = Source::new("a.toml", "one = 1\r\nzwei = \"Å\" # x\n");
        let place = source.place(&(16..20));
        assert_eq!(place.short(), "a.toml:2:8");
        let at = place.at.unwrap();
        assert_eq!((at.text.as_str(), at.mark), ("zwei = \"Å\" # x", (7, 3)));
    }

    #[test]
    fn of_a_long_line_the_piece_around_the_mark_is_shown() {
        let long = format!("{}key = 1{}", "a".repeat(3000), "鱒".repeat(3000));
        let at = Source::new("a", format!("x\n{long}\ny")).place(&(3002..3005)).at.unwrap();
        assert_eq!((at.line, at.column, at.mark), (2, 3001, (BEFORE + 1, 3)));
        assert!(at.text.starts_with("…aa") && at.text.ends_with("鱒…"), "{}", at.text);
        assert!(at.text.contains("akey = 1鱒") && wide(&at.text) <= WIDEST);
        assert!(at.is_of(&long) && !at.is_of("key = 1"));
        // Signs without any width are not shown without end.
        let none = Source::new("a", "\u{301}".repeat(1 << 16)).place(&(50_000..50_002)).at.unwrap();
        assert!(none.text.len() < 1000, "{}", none.text.len());
    }

    #[test]
    fn any_span_is_answered() {
        for text in ["", "\n", "é", "a\nb", "\r\n", "\t\u{1F983}x"] {
            let source = Source::new("a", text);
            for start in 0..8 {
                for end in 0..8 {
                    let _ = source.place(&(start..end));
                }
            }
        }
    }
}
