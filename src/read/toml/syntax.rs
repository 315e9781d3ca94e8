//! What the TOML parser stumbles over, in words for somebody who has never heard of TOML.
//!
//! The parser says what it expected next; the owner wants to know what to type. So each line is looked at
//! again, by `slips`. What is chosen here is which lines are worth telling.

use super::slips::{FOREIGN, slip};
use crate::problem::{Code, Problem, Source, Span};
use toml::de::Error;

/// After this many the file is clearly something else.
const MOST: usize = 8;

/// Fewer parts than this a name can have.
const MOST_DEEP: usize = 70;

/// One problem for each line that cannot be read, as far as one does not follow from another.
pub(in crate::read) fn problems(source: &Source, errors: &[Error]) -> Vec<Problem> {
    let mut ordered: Vec<(Span, &str)> =
        errors.iter().map(|e| (e.span().unwrap_or(0..0), e.message())).collect();
    ordered.sort_by_key(|(span, _)| span.start);
    // Of a long file that is no TOML at all the beginning says enough.
    ordered.truncate(200);
    ordered.sort_by_cached_key(|(span, message)| {
        (line_of(&source.text, span.start).start, rank(message), span.start)
    });
    let mut problems = Vec::new();
    let mut last_line = None;
    for (span, message) in ordered {
        let line = line_of(&source.text, span.start);
        if last_line.replace(line.start) == Some(line.start) {
            continue;
        }
        let text = source.text.get(line.clone()).unwrap_or_default();
        let recurs = message.contains("recurs");
        if let Some(deep) = recurs.then(|| dotted_deep(&source.text)).flatten() {
            // The parser does not say where, and what else it says may follow from it.
            let said = "a name with so many dots goes too deep";
            let hint = "take the dots out, or put the words between quotes";
            problems.push(Problem::new(Code::Syntax, said).hint(hint).at(source.place(&deep)));
            break;
        }
        if swallows(message) {
            // What stands on the lines below belongs to it, so that nothing more can be said.
            let (said, hint) = open_end(message);
            let opened = match message.contains("multi-line") {
                true => opening_of_three(&source.text, span.start),
                false => opening(&source.text, span.start),
            };
            let place = source.place(&opened.unwrap_or(line));
            problems.push(Problem::new(Code::Syntax, said).hint(hint).at(place));
            break;
        }
        let token = source.text.get(span.clone()).unwrap_or_default().trim();
        let (code, said, hint) = slip(message, text, token);
        problems.push(Problem::new(code, said).hint(hint).at(source.place(&marked(&span, &line, text))));
        if problems.len() == MOST || said_of_the_whole(&problems) {
            break;
        }
    }
    problems
}

/// The line that a place lies in, without its end. A place behind the last line belongs to that line.
fn line_of(text: &str, at: usize) -> Span {
    let at = (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
    let at = if at == text.len() { text.trim_end_matches(['\n', '\r']).len() } else { at };
    let start = text[..at].rfind('\n').map_or(0, |i| i + 1);
    let end = text[at..].find('\n').map_or(text.len(), |i| at + i);
    start..end
}

/// What to mark: the bad word, or the whole line if the parser only points between two letters.
fn marked(span: &Span, line: &Span, text: &str) -> Span {
    if !span.is_empty() {
        return span.clone();
    }
    let start = line.start + (text.len() - text.trim_start().len());
    start..(line.start + text.trim_end().len()).max(start)
}

/// Whether something is left open, so that the lines below are taken for a part of it.
fn swallows(message: &str) -> bool {
    let open = ["array", "inline", "multi-line", "recurs"].iter().any(|word| message.contains(word));
    // That is what the parser calls a heading in double brackets.
    open && !message.contains("array table") && !message.contains("type array")
}

fn open_end(message: &str) -> (&'static str, &'static str) {
    if message.contains("recurs") {
        return ("the brackets go too deep", "take some of them out");
    }
    if message.contains("multi-line") {
        return (
            "three quote marks are opened and not closed",
            "put three quote marks at the end of the words",
        );
    }
    ("the brackets here are not closed, or a comma is missing", "write it like `[\"one\", \"two\"]`")
}

/// The first name that has more parts than the parser goes down, each behind a dot.
fn dotted_deep(text: &str) -> Option<Span> {
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        for part in line.split_inclusive(['=', '{', ',', '"', '\'', '[', ']', '#']) {
            if part.split('.').filter(|word| !word.trim().is_empty()).count() > MOST_DEEP {
                let blank = part.len() - part.trim_start().len();
                // A few letters are enough of a mark.
                return Some(start + blank..(start + blank + 20).min(start + part.len()));
            }
            start += part.len();
        }
    }
    None
}

/// Where the three quote marks stand that are left open: the last ones of all, whatever quotes lie behind them.
fn opening_of_three(text: &str, at: usize) -> Option<Span> {
    let before = text.get(..at)?;
    let start = before.rfind("\"\"\"").max(before.rfind("'''"))?;
    Some(start..start + 3)
}

/// Where the list or the words that are left open begin: the last `= [` and the like before a place.
fn opening(text: &str, at: usize) -> Option<Span> {
    let before = text.get(..at)?;
    let start = before.rmatch_indices(['[', '{', '"', '\'']).map(|(place, _)| place);
    let opens = |place: &usize| before[..*place].trim_end_matches(' ').ends_with('=');
    let start = start.take(10_000).find(opens)?;
    let end = text[start..].find('\n').map_or(text.len(), |end| start + end);
    Some(start..end)
}

/// Whether the file is not TOML at all, so that each line would be told.
fn said_of_the_whole(problems: &[Problem]) -> bool {
    problems.last().is_some_and(|problem| problem.message == FOREIGN)
}

/// Of two complaints about a line the one that says more comes first.
fn rank(message: &str) -> u8 {
    match message {
        m if m.starts_with("unexpected key or value") => 1,
        m if m.starts_with("invalid unquoted key") => 2,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use toml::de::DeTable;

    fn said(text: &str) -> Vec<String> {
        let (_, errors) = DeTable::parse_recoverable(text);
        let told = problems(&Source::new("job.toml", text), &errors);
        told.iter()
            .map(|p| format!("{}: {}; {}", p.code.name(), p.message, p.hint.as_ref().unwrap()))
            .collect()
    }

    #[test]
    fn usual_slips_are_named() {
        for (text, want) in [
            ("mon = 5,5", "syntax: `5,5` is not a plain number; write `mon = 5.5`"),
            ("tue = 5 hours   # on good days", "syntax: `5 hours` is not a plain number; write `tue = 5`"),
            ("wed = 5 1/2", "syntax: `5 1/2` is not a plain number; write `wed = 5.5`"),
            ("thu = 0 3/8", "syntax: `0 3/8` is not a plain number; write `thu = 0.375`"),
            ("rate = 6.25%", "syntax: `6.25%` is not a plain number; write `rate = 6.25`"),
            ("rate = 6,25", "syntax: `6,25` is not a plain number; write `rate = 6.25`"),
            (
                "name: \"My Studio\"   # CHANGE ME",
                "syntax: there is a `:` where an `=` belongs; write `name = \"My Studio\"`",
            ),
            (
                "route = turkey-full",
                "syntax: `turkey-full` needs quote marks; write `route = \"turkey-full\"`",
            ),
            ("phone: 555-0117", "syntax: there is a `:` where an `=` belongs; write `phone = \"555-0117\"`"),
            ("phone = 555-0117", "syntax: `555-0117` needs quote marks; write `phone = \"555-0117\"`"),
            ("deposit = 50%", "syntax: `50%` needs quote marks; write `deposit = \"50%\"`"),
            ("hours = 10 to 4 # noon", "syntax: `10 to 4` needs quote marks; write `hours = \"10 to 4\"`"),
            ("bench note = \"x\"", "syntax: `bench note` cannot stand before an `=`; write `bench-note = …`"),
            ("customer: \"Ada\"", "syntax: there is a `:` where an `=` belongs; write `customer = \"Ada\"`"),
            (
                "customer = “Ada Fenn”",
                "syntax: these quote marks are curly; type straight ones, as in `\"Ada Fenn\"`",
            ),
            (
                "customer = \"Ada",
                "syntax: the words begin with a quote mark and do not end with one; put a `\"` at the end",
            ),
            (
                "on = 5/2/2026",
                "bad-date: `5/2/2026` is not a day of the calendar; write the year, month and day, such as `2026-05-02`",
            ),
            (
                "on = 2026-02-30",
                "bad-date: `2026-02-30` is not a day of the calendar; write the year, month and day, such as `2026-05-02`",
            ),
            (
                "amount = $695",
                "bad-money: `$695` is not an amount of money; write the number alone, such as `695` or `1250.50`",
            ),
            (
                "amount = 1,000",
                "bad-money: `1,000` is not an amount of money; write the number alone, such as `695` or `1250.50`",
            ),
            ("rush = yes", "syntax: `yes` cannot be read; write `true` or `false`, in small letters"),
            ("rush =", "syntax: there is nothing after the `=`; write a value there, or take the line out"),
            ("// note", "syntax: the line is neither a value nor a remark; put a `#` before a remark"),
            ("[reached", "syntax: the heading `[reached` has no right ending; write `[reached]`"),
            ("[[charge]", "syntax: the heading `[[charge]` has no right ending; write `[[charge]]`"),
            (
                "number = 007",
                "syntax: a number cannot begin with `0`; take the zeros away, or put the number in quotes",
            ),
            (
                "note = 'it's'",
                "syntax: there is something after the closing quote mark; put words that hold a `'` between double quotes",
            ),
            ("a = 1\na = 2", "twice: `a` is written twice; take one of the two lines out"),
            ("[a]\n[a]", "twice: `a` is written twice; put what belongs to `a` below a single heading"),
        ] {
            assert_eq!(said(text), [want], "{text}");
        }
    }

    #[test]
    fn each_line_is_told_once_and_an_open_list_ends_the_tale() {
        assert_eq!(said("a = x y\nb = 1\nc = z").len(), 2);
        assert_eq!(said("a = [1, 2\nb = 3\nc = z\n").len(), 1);
        assert_eq!(said(&"a b\n".repeat(100)).len(), MOST);
    }

    #[test]
    fn a_name_of_too_many_dots_is_told_where_it_stands() {
        for deep in
            [format!("{} = 1", vec!["a"; 30_000].join(".")), format!("[{}]", vec!["a"; 200].join("."))]
        {
            let text = format!("rush = true\nnote = \"{}\"\n{deep}\n", ".".repeat(200));
            let (_, errors) = DeTable::parse_recoverable(&text);
            let told = problems(&Source::new("job.toml", text.as_str()), &errors);
            assert_eq!(told.len(), 1);
            assert_eq!(told[0].message, "a name with so many dots goes too deep");
            assert_eq!(told[0].place.as_ref().unwrap().at.as_ref().unwrap().line, 3);
        }
    }

    #[test]
    fn no_message_speaks_of_the_parser() {
        for text in [
            "é = 1",
            "a = 0x1G",
            "a = +-5",
            "= 3",
            "[]",
            "a = \"\\q\"",
            "a = 695.",
            "a = \"\x01\"",
            "a = [1 2]",
            "{}",
            "\u{1F983}",
        ] {
            for line in said(text) {
                for jargon in ["literal", "expected", "unquoted", "key", "scalar", "escape", "array", "table"]
                {
                    assert!(!line.contains(jargon), "{text}: {line}");
                }
            }
            assert_eq!(said(text).len(), 1, "{text}");
        }
    }
}
