//! What the TOML parser stumbles over, in words for somebody who has never heard of TOML.
//!
//! The parser says what it expected next; the owner wants to know what to type. So the line is looked
//! at again for the usual slips: a missing quote, a curly one from a phone, a date or a price as
//! people write them elsewhere, a colon for an equals sign.

use crate::base::words::ticked;
use crate::problem::{Code, Problem, Source, Span};
use toml::de::Error;

/// After this many the file is clearly something else.
const MOST: usize = 8;

/// A slip: its code, what is wrong, and what to do.
type Slip = (Code, String, String);

/// One problem for each line that cannot be read, as far as one does not follow from another.
pub(super) fn problems(source: &Source, errors: &[Error]) -> Vec<Problem> {
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
        if swallows(message) {
            // What stands on the lines below belongs to it, so that nothing more can be said.
            let (said, hint) = open_end(message);
            let place = source.place(&opening(&source.text, span.start).unwrap_or(line));
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

const FOREIGN: &str = "the file is written for another program";

/// Of two complaints about a line the one that says more comes first.
fn rank(message: &str) -> u8 {
    match message {
        m if m.starts_with("unexpected key or value") => 1,
        m if m.starts_with("invalid unquoted key") => 2,
        _ => 0,
    }
}

fn slip(message: &str, line: &str, token: &str) -> Slip {
    let (name, value) = match line.split_once('=') {
        Some((name, value)) => (name.trim(), Some(value.trim())),
        None => (line.trim(), None),
    };
    if message == "duplicate key" {
        return twice(line.trim(), token);
    }
    if message.starts_with("cannot extend value") {
        let said = format!("{} is both a line with a value and a heading", ticked(token));
        return (Code::Twice, said, "rename one of the two, or take one out".into());
    }
    if line.trim_start().starts_with('[') && value.is_none() {
        return heading(line.trim());
    }
    match value {
        None => no_value(name),
        Some(value) => bad_name(name).unwrap_or_else(|| bad_value(message, name, value, token)),
    }
}

fn syntax(said: impl Into<String>, hint: impl Into<String>) -> Slip {
    (Code::Syntax, said.into(), hint.into())
}

fn twice(line: &str, token: &str) -> Slip {
    let hint = if line.starts_with('[') {
        format!("put what belongs to {} below a single heading", ticked(token))
    } else {
        "take one of the two lines out".to_owned()
    };
    (Code::Twice, format!("{} is written twice", ticked(token)), hint)
}

fn heading(line: &str) -> Slip {
    let name = line.trim_matches(['[', ']', ' ']);
    if name.is_empty() {
        return syntax("the heading has no name", "write a name between the brackets, such as `[reached]`");
    }
    let whole = if line.starts_with("[[") { format!("[[{name}]]") } else { format!("[{name}]") };
    if !crate::base::names::is_address_word(name) {
        return syntax(
            format!("the heading {} cannot be read", ticked(line)),
            "write one word of small letters, digits and hyphens between the brackets",
        );
    }
    syntax(format!("the heading {} has no right ending", ticked(line)), format!("write {}", ticked(&whole)))
}

/// A line without an equals sign.
fn no_value(line: &str) -> Slip {
    if line.starts_with(['{', '}', '<']) {
        return syntax(FOREIGN, "write lines such as `name = \"…\"`");
    }
    if line.starts_with("//") || line.starts_with("--") || line.starts_with(';') || line.starts_with('*') {
        return syntax("the line is neither a value nor a remark", "put a `#` before a remark");
    }
    if let Some((name, rest)) = line.split_once(':') {
        let rest = rest.trim();
        // Only what is a value as it stands goes without quotes.
        let value =
            toml::de::DeValue::parse(rest).map_or_else(|_| format!("\"{rest}\""), |_| rest.to_owned());
        return syntax(
            "a `:` stands where an `=` belongs",
            format!("write `{} = {}`", name.trim(), cut(&value)),
        );
    }
    syntax(
        format!("nothing is said about {}", ticked(&cut(line))),
        "write `name = value`, or put a `#` before a remark",
    )
}

/// What stands on the left of the equals sign.
fn bad_name(name: &str) -> Option<Slip> {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_.\"'".contains(c);
    if name.is_empty() {
        return Some(syntax(
            "nothing stands before the `=`",
            "write a name there, or put a `#` before a remark",
        ));
    }
    if name.chars().all(plain) || name.starts_with(['[', '{', '#', '"', '\'']) {
        return None;
    }
    if let Some((before, _)) = name.split_once(':') {
        let said = "a `:` stands where an `=` belongs";
        return Some(syntax(said, format!("write {}", ticked(&format!("{} = …", before.trim())))));
    }
    let one_word = name.split_whitespace().collect::<Vec<_>>().join("-");
    let hint = match one_word.chars().all(plain) {
        true => format!("write `{one_word} = …`"),
        false => "use plain letters, digits and hyphens".to_owned(),
    };
    Some(syntax(format!("{} cannot stand before an `=`", ticked(&cut(name))), hint))
}

/// What stands on the right of the equals sign.
fn bad_value(message: &str, name: &str, value: &str, token: &str) -> Slip {
    let word = if token.is_empty() { without_remark(value) } else { token };
    let shown = ticked(&cut(word));
    if word.is_empty() {
        return syntax("nothing stands after the `=`", "write a value there, or take the line out");
    }
    if word.starts_with(['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}', '\u{ab}']) {
        let straight = word.trim_matches(|c: char| !c.is_alphanumeric());
        let hint = format!("type straight ones, as in `\"{}\"`", cut(straight));
        return syntax("these quote marks are curly", hint);
    }
    let dated = message.starts_with("invalid date") || message.starts_with("invalid time");
    if looks_like_a_date(word) || dated && begins_with_a_year(word) {
        let said = format!("{shown} is not a day of the calendar");
        return (Code::BadDate, said, "write the year, month and day, such as `2026-05-02`".into());
    }
    if looks_like_money(without_remark(value)) {
        let said = format!("{} is not an amount of money", ticked(&cut(without_remark(value))));
        return (Code::BadMoney, said, "write the number alone, such as `695` or `1250.50`".into());
    }
    if ["yes", "no", "true", "false", "on", "off"].iter().any(|w| word.eq_ignore_ascii_case(w)) {
        return syntax(format!("{shown} cannot be read"), "write `true` or `false`, in small letters");
    }
    if let Some(slip) = bad_quotes(message, value) {
        return slip;
    }
    if message.starts_with("unexpected leading zero") {
        return syntax("a number cannot begin with `0`", "take the zeros away, or put the number in quotes");
    }
    let figure = word.trim_start_matches(['+', '-']);
    let figure = figure.bytes().all(|b| b.is_ascii_digit() || b"_.".contains(&b));
    if !figure && !word.contains(['"', '\'', '\\']) {
        let hint = format!("write `{} = \"{}\"`", cut(name), cut(word));
        return syntax(format!("{shown} needs quote marks"), hint);
    }
    syntax(
        format!("{shown} cannot be read"),
        "put words between quotes and write numbers plainly, such as `4.25`",
    )
}

fn bad_quotes(message: &str, value: &str) -> Option<Slip> {
    if message.contains("escape") {
        let hint = "write two of them, or put the words between single quotes";
        return Some(syntax("a `\\` between quotes means something else", hint));
    }
    if message.contains("visible characters") {
        let said = "a sign that cannot be seen stands between the quotes";
        return Some(syntax(said, "type the words again by hand"));
    }
    let mark = value.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    if message.starts_with("invalid") || message.contains("string") {
        let said = "the words begin with a quote mark and do not end with one";
        return Some(syntax(said, format!("put a `{mark}` at the end")));
    }
    let hint = match mark {
        '\'' => "put words that hold a `'` between double quotes",
        _ => "write a quote mark inside words as `\\\"`, and a remark with a `#` before it",
    };
    Some(syntax("something stands behind the closing quote mark", hint))
}

fn looks_like_a_date(word: &str) -> bool {
    let parts: Vec<&str> = word.split(['/', '.', '-']).collect();
    parts.len() == 3
        && parts.iter().all(|p| (1..=4).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_digit()))
}

fn begins_with_a_year(word: &str) -> bool {
    word.split_once('-').is_some_and(|(year, _)| year.len() == 4)
}

fn looks_like_money(word: &str) -> bool {
    let digits = word.trim_matches(|c: char| "$€£¥".contains(c) || c.is_whitespace());
    let signed = digits.len() < word.trim().len()
        || digits.contains(',')
        || digits.ends_with('.')
        || digits.starts_with('.');
    signed
        && digits.bytes().any(|b| b.is_ascii_digit())
        && digits.bytes().all(|b| b.is_ascii_digit() || b",.".contains(&b))
}

fn without_remark(value: &str) -> &str {
    value.split('#').next().unwrap_or_default().trim()
}

/// The first few letters, so that a message stays one line.
fn cut(words: &str) -> String {
    match words.char_indices().nth(40) {
        Some((at, _)) => format!("{}…", &words[..at]),
        None => words.to_owned(),
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
            (
                "route = turkey-full",
                "syntax: `turkey-full` needs quote marks; write `route = \"turkey-full\"`",
            ),
            ("phone: 555-0117", "syntax: a `:` stands where an `=` belongs; write `phone = \"555-0117\"`"),
            ("phone = 555-0117", "syntax: `555-0117` needs quote marks; write `phone = \"555-0117\"`"),
            ("deposit = 50%", "syntax: `50%` needs quote marks; write `deposit = \"50%\"`"),
            ("hours = 10 to 4 # noon", "syntax: `10 to 4` needs quote marks; write `hours = \"10 to 4\"`"),
            ("bench note = \"x\"", "syntax: `bench note` cannot stand before an `=`; write `bench-note = …`"),
            ("customer: \"Ada\"", "syntax: a `:` stands where an `=` belongs; write `customer = \"Ada\"`"),
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
            ("rush =", "syntax: nothing stands after the `=`; write a value there, or take the line out"),
            ("// note", "syntax: the line is neither a value nor a remark; put a `#` before a remark"),
            ("[reached", "syntax: the heading `[reached` has no right ending; write `[reached]`"),
            ("[[charge]", "syntax: the heading `[[charge]` has no right ending; write `[[charge]]`"),
            (
                "number = 007",
                "syntax: a number cannot begin with `0`; take the zeros away, or put the number in quotes",
            ),
            (
                "note = 'it's'",
                "syntax: something stands behind the closing quote mark; put words that hold a `'` between double quotes",
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
