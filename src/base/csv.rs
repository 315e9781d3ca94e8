//! Comma-separated values after RFC 4180, safe to open in a spreadsheet.
//!
//! Which columns there are is for whoever has the values.

use csv::{QuoteStyle, Terminator, WriterBuilder};

/// A head and its rows as text: UTF-8, lines end with CR LF (RFC 4180, section 2).
pub fn of(head: &[String], rows: &[Vec<String>]) -> String {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .quote_style(QuoteStyle::Necessary)
        .from_writer(Vec::new());
    // Writing into memory fails only for rows of unequal length, which a test of each caller would show.
    let whole = std::iter::once(head).chain(rows.iter().map(Vec::as_slice));
    for row in whole {
        let _ = writer.write_record(row.iter().map(|cell| harmless(cell)));
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

/// A cell that a spreadsheet would reckon out gets an apostrophe before it (OWASP, "CSV Injection"): what a
/// customer is called can do nothing on the computer that opens the list.
fn harmless(cell: &str) -> String {
    let first = cell.trim_start_matches(|c: char| c.is_whitespace() || c.is_control()).chars().next();
    let acts = first.is_some_and(|c| "=+-@＝＋－＠".contains(c)) || cell.starts_with(['\t', '\r', '\n']);
    if acts { format!("'{cell}") } else { cell.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_quoted_where_they_must_be_and_none_acts() {
        let head = ["a", "b"].map(str::to_owned);
        let row = |a: &str, b: &str| vec![a.to_owned(), b.to_owned()];
        let rows = [row("x, \"y\"", "two\nlines"), row("=1+1", "-2"), row(" @x", "+1 555"), row("", "plain")];
        assert_eq!(
            of(&head, &rows),
            "a,b\r\n\"x, \"\"y\"\"\",\"two\nlines\"\r\n'=1+1,'-2\r\n' @x,'+1 555\r\n,plain\r\n"
        );
    }
}
