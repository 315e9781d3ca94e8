//! Words, keys and quotes of a line, told apart whatever is wrong with them.

use super::words::{is_secret, means_post, user_in_address};

/// So many signs of a line are looked behind for a second key.
const MOST_SIGNS: usize = 64;

/// A key that is called like a secret in the middle of a line, with the sign behind it.
pub(super) fn second_secret(text: &str) -> Option<(usize, usize)> {
    let signs = text.match_indices(['=', ':']).map(|(at, _)| at);
    signs.take(MOST_SIGNS).find_map(|sign| {
        let before = text[..sign].trim_end();
        let is_part = |c: char| c.is_alphanumeric() || "_-.".contains(c);
        let from = before.rfind(|c: char| !is_part(c)).map_or(0, |at| at + 1);
        let from = (from..before.len()).find(|at| before.is_char_boundary(*at))?;
        is_secret(&before[from..]).then_some((from, before.len()))
    })
}

/// The key at the beginning of a line, and where the sign behind it is: `=`, or the `:` of another format.
pub(super) fn key_and_sign(line: &str) -> Option<(&str, usize)> {
    let mut at = 0;
    while let Some(c) = line.get(at..).and_then(|rest| rest.chars().next()) {
        match c {
            '"' | '\'' => {
                let (length, closed) = quoted(&line[at..]);
                if !closed {
                    return None;
                }
                at += length;
            }
            '=' | ':' => {
                let key = line[..at].trim_end();
                return (!key.is_empty()).then_some((key, at));
            }
            '#' | ',' | '[' | ']' | '{' | '}' => return None,
            _ => at += c.len_utf8(),
        }
    }
    None
}

/// The names that a key is made of, without their quotes.
pub(super) fn path(key: &str) -> Vec<String> {
    let mut names = vec![String::new()];
    let mut rest = key;
    while let Some(c) = rest.chars().next() {
        if c == '"' || c == '\'' {
            let (length, closed) = quoted(rest);
            let inner = rest.get(1..length - usize::from(closed && length > 1)).unwrap_or_default();
            if let Some(name) = names.last_mut() {
                name.push_str(&plain_letters(inner));
            }
            rest = &rest[length..];
            continue;
        }
        match (c, names.last_mut()) {
            ('.', _) => names.push(String::new()),
            (_, Some(name)) => name.push(c),
            _ => {}
        }
        rest = &rest[c.len_utf8()..];
    }
    names.into_iter().map(|name| name.trim().to_owned()).collect()
}

/// The text with the letters that are written by their number (TOML 1.0, "String").
fn plain_letters(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let digits = if rest.starts_with("\\u") { 4 } else { 8 };
        let number =
            if rest.starts_with("\\u") || rest.starts_with("\\U") { rest.get(2..2 + digits) } else { None };
        match number.and_then(|hex| u32::from_str_radix(hex, 16).ok()).and_then(char::from_u32) {
            Some(letter) => {
                out.push(letter);
                rest = &rest[2 + digits..];
            }
            None => {
                out.push(c);
                rest = &rest[c.len_utf8()..];
            }
        }
    }
    out
}

/// How long what is between quotes at the beginning of a text is, quotes included, and whether it is closed. What is not goes to
/// the end of its line, as nobody knows what the lines below belong to.
pub(super) fn quoted(text: &str) -> (usize, bool) {
    let line_end = || text.find('\n').unwrap_or(text.len());
    for mark in ["\"\"\"", "'''"] {
        if let Some(inside) = text.strip_prefix(mark) {
            return match inside.find(mark) {
                Some(end) => {
                    // One or two more may belong to the words.
                    let mut end = end + 2 * mark.len();
                    while text[end..].starts_with(&mark[..1]) && end - 2 * mark.len() < inside.len() {
                        end += 1;
                    }
                    (end, true)
                }
                None => (line_end(), false),
            };
        }
    }
    let mark = text.chars().next().unwrap_or('"');
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            '\n' => return (at, false),
            _ if escaped => escaped = false,
            '\\' if mark == '"' => escaped = true,
            c if c == mark => return (at + 1, true),
            _ => {}
        }
    }
    (text.len(), false)
}

/// Whether a line inside of brackets is one that cannot stand there: a heading, or a key outside of braces.
pub(super) fn begins_anew(line: &str, open: &[char]) -> bool {
    let bare = line.split('#').next().unwrap_or_default().trim_end();
    let heading = bare.starts_with('[') && bare.ends_with(']') && {
        let name = bare.trim_matches(['[', ']', ' ', '\t']);
        !name.is_empty()
            && name.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c))
            && name.chars().any(|c| c.is_ascii_alphabetic())
            && !["true", "false", "inf", "nan"].contains(&name)
            || means_post(name)
    };
    heading || open.last() == Some(&'[') && key_and_sign(line).is_some_and(|(key, _)| is_key(key))
}

fn is_key(key: &str) -> bool {
    !key.starts_with(|c: char| c.is_ascii_digit())
}

/// What of a setting's value is a secret: the user's password in an address or before an `@`, and what an address asks.
pub(super) fn secret_in_setting(key: &str, value: &str) -> Option<(usize, usize)> {
    let quote = usize::from(value.starts_with(['"', '\'']));
    let inner = value.get(quote..value.len() - quote).unwrap_or_default();
    let inside = |from: usize, to: usize| Some((quote + from, quote + to));
    if let Some((from, to)) = user_in_address(inner) {
        return inside(from, to);
    }
    if let (Some(start), Some(at)) = (inner.find("://"), inner.rfind('@')) {
        return inside((start + 3).min(at), at);
    }
    if let Some(at) = inner.find(['?']).filter(|_| inner.contains("://")) {
        return inside(at + 1, inner.len());
    }
    match (key, inner.find(':'), inner.rfind('@')) {
        ("host" | "endpoint" | "address" | "folder", Some(colon), Some(at)) if colon < at => {
            inside(colon + 1, at)
        }
        ("user", Some(colon), _) => inside(colon + 1, inner.len()),
        _ => None,
    }
}
