//! The usual slips on one line of a TOML file, and what to type instead.
//!
//! A missing quote, a curly one from a phone, a date or a price as people write them elsewhere, a colon
//! for an equals sign. Which lines are looked at is `syntax`'s.

use crate::base::words::ticked;
use crate::problem::Code;

/// A slip: its code, what is wrong, and what to do.
pub(in crate::read) type Slip = (Code, String, String);

/// Said of a file that is not TOML at all.
pub(in crate::read) const FOREIGN: &str = "the file is written for another program";

/// What is wrong with a line of which the parser says `message` at `token`.
pub(in crate::read) fn slip(message: &str, line: &str, token: &str) -> Slip {
    let (name, value) = match line.split_once('=') {
        Some((name, value)) => (name.trim(), Some(value.trim())),
        None => (line.trim(), None),
    };
    if let Some(odd) = odd_blank(line) {
        return syntax(
            format!("there is a {odd} in this line"),
            "delete the gap where the mark is, and type a plain space",
        );
    }
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

/// A blank outside quotes that looks like a space and is none, by its name. Text that was copied from a page brings them.
fn odd_blank(line: &str) -> Option<&'static str> {
    let bare = line.split('#').next()?.split(['"', '\'']).step_by(2);
    bare.flat_map(str::chars).find_map(|c| match c {
        '\u{a0}' | '\u{202f}' => Some("no-break space"),
        '\u{2002}'..='\u{200a}' | '\u{3000}' => Some("space of another width"),
        '\u{200b}' | '\u{feff}' | '\u{2060}' => Some("letter that cannot be seen"),
        _ => None,
    })
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
        let rest = without_remark_behind(rest.trim());
        // Only what is a value as it stands goes without quotes.
        let value =
            toml::de::DeValue::parse(rest).map_or_else(|_| format!("\"{rest}\""), |_| rest.to_owned());
        return syntax(
            "there is a `:` where an `=` belongs",
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
            "there is nothing before the `=`",
            "write a name there, or put a `#` before a remark",
        ));
    }
    if name.chars().all(plain) || name.starts_with(['[', '{', '#', '"', '\'']) {
        return None;
    }
    if let Some((before, _)) = name.split_once(':') {
        // An equals sign stood further on, in a remark or between quotes.
        let said = "there is a `:` where an `=` belongs";
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
        return syntax("there is nothing after the `=`", "write a value there, or take the line out");
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
    if let Some(number) = COUNTED.contains(&name).then(|| number_meant(without_remark(value))).flatten() {
        let said = format!("{} is not a plain number", ticked(&cut(without_remark(value))));
        return syntax(said, format!("write {}", ticked(&format!("{name} = {number}"))));
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

/// Keys whose values are hours, percentages or counts, and no money.
const COUNTED: [&str; 10] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun", "rate", "percent", "count"];

/// The number that was meant by one with a comma, a fraction, or a word or sign behind it: `5,5`, `5 1/2`, `5 hours`, `6.25%`.
fn number_meant(value: &str) -> Option<String> {
    let units = ["hours", "hour", "hrs", "hr", "h", "%", "percent", "inches", "feet"];
    let bare = units.iter().find_map(|unit| value.strip_suffix(unit)).unwrap_or(value).trim();
    let digits = |part: &str| (1..=6).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
    let number = match (bare.split_once(' '), bare.split_once(['.', ','])) {
        (Some((whole, fraction)), _) if digits(whole) => {
            let (of, parts) = fraction.trim().split_once('/')?;
            let (of, parts) = (of.parse::<u32>().ok()?, parts.parse::<u32>().ok()?);
            let exact = [2, 4, 5, 8, 10, 16].contains(&parts) && of < parts;
            let behind = exact.then(|| format!("{:04}", of * 10_000 / parts))?;
            format!("{whole}.{behind}").trim_end_matches(['0']).trim_end_matches('.').to_owned()
        }
        (None, Some((whole, behind))) if digits(whole) && digits(behind) => format!("{whole}.{behind}"),
        (None, None) if digits(bare) => bare.to_owned(),
        _ => return None,
    };
    (number != value).then_some(number)
}

fn bad_quotes(message: &str, value: &str) -> Option<Slip> {
    if message.contains("escape") {
        let hint = "write two of them, or put the words between single quotes";
        return Some(syntax("a `\\` between quotes means something else", hint));
    }
    if message.contains("visible characters") {
        let said = "there is a letter between the quotes that cannot be seen";
        return Some(syntax(said, "type the words again by hand"));
    }
    let mark = opening_mark(value)?;
    if message.starts_with("invalid") || message.contains("string") {
        let said = "the words begin with a quote mark and do not end with one";
        return Some(syntax(said, format!("put a `{mark}` at the end")));
    }
    let hint = match mark {
        '\'' => "put words that hold a `'` between double quotes",
        _ => "write a quote mark inside words as `\\\"`, and a remark with a `#` before it",
    };
    Some(syntax("there is something after the closing quote mark", hint))
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

/// The quote mark that a value begins with.
fn opening_mark(value: &str) -> Option<char> {
    value.chars().next().filter(|c| matches!(c, '"' | '\''))
}

/// The value alone, where a remark follows it: up to the closing quote mark, if it begins with one.
fn without_remark_behind(value: &str) -> &str {
    let end = opening_mark(value).and_then(|mark| value[1..].find(mark)).map(|at| at + 2);
    end.and_then(|end| value.get(..end)).unwrap_or_else(|| without_remark(value))
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
