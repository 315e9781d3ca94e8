//! Writes a dated line into a TOML file that somebody wrote by hand: comments, order, blanks and line ends
//! stay as they are, byte for byte.
//!
//! Which line, and whether it may stand there, is for whoever asks.

use super::day::Day;
use toml_edit::{Date, Datetime, DocumentMut, Item, Table, TableLike, Value};

/// Why a line could not be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotWritten {
    /// The file is not well-formed; the parser's reason.
    Syntax(String),
    /// Something else than a group of lines stands under that heading.
    NoTable,
    /// The key is there already.
    IsThere,
}

/// The text with `key = day` under `[heading]`, which is added where there is none. `reached = { … }` and
/// `reached.skinned = …` are kept as they were written.
pub fn with_day(text: &str, heading: &str, key: &str, day: Day) -> Result<String, NotWritten> {
    // A byte order mark and the line ends of other computers are put aside, and back in the end.
    let (mark, body) = match text.strip_prefix('\u{feff}') {
        Some(body) => ("\u{feff}", body),
        None => ("", text),
    };
    let plain = body.replace("\r\n", "\n");
    let mut document: DocumentMut =
        plain.parse().map_err(|e: toml_edit::TomlError| NotWritten::Syntax(e.message().to_owned()))?;
    if document.get(heading).is_none() {
        let mut table = Table::new();
        table.decor_mut().set_prefix(if plain.trim().is_empty() { "" } else { "\n" });
        document.insert(heading, Item::Table(table));
    }
    let mut value = Value::from(date(day));
    let table = document.get_mut(heading).ok_or(NotWritten::NoTable)?;
    if table.as_table_like().is_some_and(|table| table.contains_key(key)) {
        return Err(NotWritten::IsThere);
    }
    if let Some(inline) = table.as_inline_table_mut() {
        // What stood before the closing brace goes on standing there.
        let last = inline.iter_mut().last().map(|(_, last)| {
            let end = last.decor().suffix().and_then(|end| end.as_str()).unwrap_or_default().to_owned();
            last.decor_mut().set_suffix("");
            end
        });
        value.decor_mut().set_suffix(last.unwrap_or_else(|| " ".to_owned()));
    }
    let table: &mut dyn TableLike = table.as_table_like_mut().ok_or(NotWritten::NoTable)?;
    table.insert(key, Item::Value(value));
    Ok(format!("{mark}{}", spliced(body, &document.to_string())))
}

fn date(day: Day) -> Datetime {
    let part = |n: u32| u8::try_from(n).unwrap_or(1);
    let year = u16::try_from(day.year()).unwrap_or(1970);
    Datetime {
        date: Some(Date { year, month: part(day.month()), day: part(day.day()) }),
        time: None,
        offset: None,
    }
}

/// The old text with only those lines taken from the new one that differ.
fn spliced(old: &str, new: &str) -> String {
    let bare = |line: &str| line.trim_end_matches(['\r', '\n']).to_owned();
    let old_lines: Vec<&str> = old.split_inclusive('\n').collect();
    let new_lines: Vec<&str> = new.split_inclusive('\n').collect();
    let same = |a: &&str, b: &&str| bare(a) == bare(b);
    let before = old_lines.iter().zip(&new_lines).take_while(|(a, b)| same(a, b)).count();
    let most = old_lines.len().min(new_lines.len()) - before;
    let after = old_lines.iter().rev().zip(new_lines.iter().rev()).take(most);
    let after = after.take_while(|(a, b)| same(a, b)).count();
    let end = if old.contains("\r\n") { "\r\n" } else { "\n" };
    let mut text: String = old_lines.iter().take(before).copied().collect();
    for line in new_lines.iter().take(new_lines.len() - after).skip(before) {
        if !text.is_empty() && !text.ends_with('\n') {
            text.push_str(end);
        }
        text.push_str(&bare(line));
        text.push_str(end);
    }
    text.extend(old_lines.iter().skip(old_lines.len() - after).copied());
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sent(text: &str) -> Result<String, NotWritten> {
        with_day(text, "reached", "head-sent", Day::new(2026, 6, 1).unwrap())
    }

    /// Where the new line stands: the old text cut in two there.
    fn lands(before: &str, after: &str) {
        let line = "head-sent = 2026-06-01";
        for (mark, end) in [("", "\n"), ("", "\r\n"), ("\u{feff}", "\n")] {
            let [before, after] = [before, after].map(|part| part.replace('\n', end));
            let old = format!("{mark}{before}{after}");
            assert_eq!(sent(&old), Ok(format!("{mark}{before}{line}{end}{after}")), "{old:?}");
        }
    }

    #[test]
    fn the_line_is_all_that_is_new() {
        lands("# mine\ncustomer = \"A\"   # odd\n\n[reached]   # steps\nskinned = 2026-05-02 # wet\n", "");
        lands(
            "[reached]\nskinned    = 2026-05-02\n",
            "\n# the money\n[[paid]]\non=2026-05-02\namount= 4_00\n",
        );
        lands("a = 1\n[reached]\n", "# later: head-sent = 2026-01-01\n\n[tag]\nnumber = 'x'\n# the end\n");
        lands("  [ reached ]\n  skinned=2026-05-02\n\n\n  washed = 2026-05-03\n", "\t\n[tag]\n\n\n");
        lands("note = \"\"\"\na = 1\n[reached]\n\"\"\"\n[reached]\nskinned = 2026-05-02\n", "");
    }

    #[test]
    fn a_heading_is_added_where_there_is_none() {
        assert_eq!(sent("a = 1 # x\n").unwrap(), "a = 1 # x\n\n[reached]\nhead-sent = 2026-06-01\n");
        assert_eq!(sent("a = 1").unwrap(), "a = 1\n\n[reached]\nhead-sent = 2026-06-01\n");
        let tail = sent("a = 1\n\n[tag]\nnumber = \"7\"   # last\n# bye\n").unwrap();
        assert!(tail.starts_with("a = 1\n\n[tag]\nnumber = \"7\"   # last\n"), "{tail}");
        assert!(tail.contains("# bye\n") && tail.contains("[reached]\nhead-sent = 2026-06-01\n"), "{tail}");
    }

    #[test]
    fn other_ways_to_write_a_heading_stay() {
        assert_eq!(
            sent("reached = { skinned = 2026-05-02 } # all\nb = 2\n").unwrap(),
            "reached = { skinned = 2026-05-02, head-sent = 2026-06-01 } # all\nb = 2\n"
        );
        assert_eq!(
            sent("a = 1\nreached.skinned = 2026-05-02\n[tag]\n").unwrap(),
            "a = 1\nreached.skinned = 2026-05-02\nreached.head-sent = 2026-06-01\n[tag]\n"
        );
    }

    #[test]
    fn mixed_line_ends_stay_where_they_are() {
        let old = "a = 1\r\n[reached]\nskinned = 2026-05-02\r\n\n[tag]\r\n";
        let new = "a = 1\r\n[reached]\nskinned = 2026-05-02\r\nhead-sent = 2026-06-01\r\n\n[tag]\r\n";
        assert_eq!(sent(old).unwrap(), new);
    }

    #[test]
    fn what_cannot_be_written_is_told() {
        assert_eq!(sent("[reached]\nhead-sent = 2026-01-01\n"), Err(NotWritten::IsThere));
        assert_eq!(sent("reached = 5\n"), Err(NotWritten::NoTable));
        assert!(matches!(sent("a = \n"), Err(NotWritten::Syntax(_))));
    }
}
