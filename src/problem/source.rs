//! A text file that problems point into: byte spans become lines and columns.

use std::ops::Range;
use std::sync::Arc;
use unicode_width::UnicodeWidthStr;

/// A range of bytes in a source.
pub type Span = Range<usize>;

/// A file's text with the name that messages use.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Path from the shop's folder, with forward slashes.
    pub file: Arc<str>,
    pub text: Arc<str>,
}

/// Where a problem is: a file, and in it perhaps a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    pub file: Arc<str>,
    pub at: Option<At>,
}

/// A place in a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct At {
    /// Line, counted from 1.
    pub line: usize,
    /// Column, counted from 1 in characters.
    pub column: usize,
    /// The whole line, without its end.
    pub text: String,
    /// How far the mark stands from the line's beginning and how long it is, in terminal columns.
    pub mark: (usize, usize),
}

impl Source {
    pub fn new(file: impl Into<Arc<str>>, text: impl Into<Arc<str>>) -> Source {
        Source { file: file.into(), text: text.into() }
    }

    /// The place of a byte span; a span that runs over its line marks that line to its end.
    pub fn place(&self, span: &Span) -> Place {
        let text = &*self.text;
        let start = floor_boundary(text, span.start);
        let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        let line = text[line_start..line_end].trim_end_matches('\r');
        let end =
            floor_boundary(text, span.end).clamp(start, line_start + line.len().max(start - line_start));
        let width = |s: &str| s.replace('\t', "    ").width();
        let at = At {
            line: text[..start].matches('\n').count() + 1,
            column: text[line_start..start].chars().count() + 1,
            text: line.replace('\t', "    "),
            mark: (width(&text[line_start..start]), width(&text[start..end]).max(1)),
        };
        Place { file: self.file.clone(), at: Some(at) }
    }

    /// The file as a whole.
    pub fn whole(&self) -> Place {
        Place::file(self.file.clone())
    }
}

impl Place {
    /// A file as a whole.
    pub fn file(file: impl Into<Arc<str>>) -> Place {
        Place { file: file.into(), at: None }
    }

    /// `content/shop.toml:3:9`, or the file alone.
    pub fn short(&self) -> String {
        match &self.at {
            Some(at) => format!("{}:{}:{}", self.file, at.line, at.column),
            None => self.file.to_string(),
        }
    }
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
