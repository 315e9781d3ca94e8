//! The lines of a `shop.toml` taken apart as far as masking needs it, whatever is wrong with them: headings, keys, values over
//! one line or several, remarks. What is not understood under `[post]` is cut out.

use super::MASK;
use super::words::{OF_POST, is_nameable, is_secret, is_surely_secret, means_post, user_in_address};
use crate::problem::Span;

/// More brackets in each other than this are no settings.
const DEEPEST: usize = 64;

/// What may be seen of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    /// All but what is called a secret.
    Open,
    /// The keys of `[post]`, each with a plain value.
    Post,
    /// Nothing.
    Closed,
}

/// Text on its way from what was written to what may be seen.
struct Masker<'a> {
    text: &'a str,
    at: usize,
    out: String,
    /// Where in `out` a secret was.
    found: Vec<Span>,
    /// What is below the last heading.
    part: Part,
    /// Whether names there are the owner's own, so that none is called like a secret.
    own_names: bool,
    /// Whether remarks go on with a `[post]` that was switched off.
    remarked_post: bool,
    /// Whether a line begins here although something is still open.
    anew: bool,
    /// Where the line ends that was looked at last.
    end: usize,
}

/// The text with every secret masked, and where in it they were.
pub(super) fn masked(text: &str) -> (String, Vec<Span>) {
    let mut masker = Masker {
        text,
        at: 0,
        out: String::with_capacity(text.len()),
        found: Vec::new(),
        part: Part::Open,
        own_names: false,
        remarked_post: false,
        anew: false,
        end: 0,
    };
    while masker.at < text.len() {
        masker.line();
    }
    (masker.out, masker.found)
}

impl<'a> Masker<'a> {
    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    /// The rest of the line, without its end.
    fn rest_of_line(&mut self) -> &'a str {
        if self.at > self.end || self.end == 0 {
            self.end = self.rest().find('\n').map_or(self.text.len(), |end| self.at + end);
        }
        let line = self.text.get(self.at..self.end).unwrap_or_default();
        line.strip_suffix('\r').unwrap_or(line)
    }

    fn keep(&mut self, bytes: usize) {
        self.out.push_str(self.rest().get(..bytes).unwrap_or_default());
        self.at += bytes;
    }

    fn drop(&mut self, bytes: usize) {
        self.at += bytes;
    }

    fn keep_blanks(&mut self) {
        let line = self.rest_of_line();
        self.keep(line.len() - line.trim_start().len());
    }

    /// The end of a line, if it is here.
    fn keep_end(&mut self) {
        let rest = self.rest();
        let end = rest.find('\n').map_or(rest.len(), |end| end + 1);
        self.keep(end);
    }

    fn line(&mut self) {
        self.keep_blanks();
        loop {
            self.anew = false;
            let line = self.rest_of_line();
            match line.chars().next() {
                None => {}
                Some('#') => self.remark_alone(),
                Some('[') => self.heading(line),
                Some(_) => self.statement(line),
            }
            if !self.anew {
                break;
            }
        }
        self.keep_end();
    }

    /// A heading, which says what the lines below are.
    fn heading(&mut self, line: &str) {
        let bare = line.split('#').next().unwrap_or_default();
        let end = bare.rfind(']').map_or(bare.len(), |end| end + 1);
        let name = bare[..end].trim_matches(['[', ']', ' ', '\t']);
        let path = path(name);
        let first = path.first().map(String::as_str).unwrap_or_default();
        (self.part, self.own_names, self.remarked_post) = match path.len() {
            1 if means_post(first) => (Part::Post, false, false),
            _ if means_post(first) => (Part::Closed, false, false),
            _ if path.iter().any(|name| is_secret(name)) && first != "gate" => (Part::Closed, false, false),
            _ => (Part::Open, path == ["gate"], false),
        };
        match self.part {
            Part::Open => self.plain(line.len(), false),
            // What stands behind the brackets, and a name that is none.
            _ if path.iter().all(|name| is_nameable(name)) => {
                self.keep(end);
                self.cut(line.len() - end);
            }
            _ => self.cut(line.len()),
        }
    }

    /// A key with its value, or what stands there instead.
    fn statement(&mut self, line: &str) {
        let Some((key, sign)) = key_and_sign(line) else {
            return self.stray(line);
        };
        let path = path(key);
        let first = path.first().map(String::as_str).unwrap_or_default();
        let last = path.last().map(String::as_str).unwrap_or_default();
        let part = match (self.part, path.len()) {
            (Part::Open, 1) if means_post(first) => return self.whole_post(key, sign),
            (Part::Open, 2) if means_post(first) => Part::Post,
            (Part::Open, _) if means_post(first) => Part::Closed,
            (Part::Post, 2..) => Part::Closed,
            (part, _) => part,
        };
        let own = self.own_names || first == "gate";
        let secret = path.iter().any(|name| is_secret(name)) && !(own && part == Part::Open);
        let before = std::mem::replace(&mut self.own_names, own);
        self.pair(key, last, sign, (part, secret), &mut Vec::new());
        if !self.anew {
            self.own_names = before;
        }
    }

    /// A key and its value, at the beginning of a line or inside braces.
    fn pair(
        &mut self,
        key: &str,
        last: &str,
        sign: usize,
        (part, secret): (Part, bool),
        open: &mut Vec<char>,
    ) {
        let from = self.out.len();
        match part == Part::Open || path(key).iter().all(|name| is_nameable(name)) {
            true => self.keep(key.len()),
            false => {
                self.out.push_str(&format!("\"{MASK}\""));
                self.drop(key.len());
            }
        }
        let named = self.out.len();
        if secret {
            self.found.push(from..named);
            self.out.push_str(&format!(" = \"{MASK}\""));
            self.drop(sign + 1 - key.len());
            return self.skip_value(open);
        }
        self.keep(sign + 1 - key.len());
        self.keep_blanks();
        match part {
            Part::Open => self.open_value(open),
            Part::Post if OF_POST.contains(&last) => self.post_value(last, open),
            Part::Post | Part::Closed => {
                self.out.push_str(&format!("\"{MASK}\""));
                self.skip_value(open);
            }
        }
    }

    /// `post = { … }`, or whatever else stands there.
    fn whole_post(&mut self, key: &str, sign: usize) {
        self.keep(key.len());
        self.keep(sign + 1 - key.len());
        self.keep_blanks();
        if self.rest().starts_with('{') {
            self.braces(Part::Post, &mut Vec::new());
            return self.behind_value();
        }
        self.out.push_str(&format!("\"{MASK}\""));
        self.skip_value(&mut Vec::new());
    }

    /// What has no key: nothing of it is seen under `[post]`, nor behind a word that is called like a secret.
    fn stray(&mut self, line: &str) {
        let word = line.split([' ', '\t']).next().unwrap_or_default();
        match self.part {
            Part::Open if is_secret(word) && !self.own_names && word.len() < line.trim_end().len() => {
                let from = self.out.len();
                self.keep(word.len());
                self.found.push(from..self.out.len());
                self.cut(line.len() - word.len());
            }
            Part::Open => self.plain(line.len(), false),
            // A heading that lost a bracket.
            _ if means_post(line.trim_matches([']', ' ', '\t'])) => self.keep(line.len()),
            _ => self.cut(line.len()),
        }
        if self.part == Part::Open && line.trim_end().ends_with(']') && means_post(line) {
            self.part = Part::Post;
        }
    }

    /// A value whose words may be seen: only addresses in it lose their user, and keys inside may be secrets.
    fn open_value(&mut self, open: &mut Vec<char>) {
        while !self.anew {
            let rest = self.rest();
            let Some(c) = rest.chars().next() else { return };
            match c {
                '\n' if open.is_empty() => return,
                '\n' => {
                    self.keep(1);
                    self.keep_blanks();
                    if begins_anew(self.rest_of_line(), open) {
                        self.anew = true;
                    } else if open.last() == Some(&'{') {
                        self.pair_inside(open);
                    }
                }
                '#' => self.remark(),
                '"' | '\'' => {
                    let (words, _) = quoted(rest);
                    self.plain(words, !rest[..words].contains(char::is_whitespace));
                }
                '[' | '{' if open.len() < DEEPEST => {
                    open.push(c);
                    self.keep(1);
                    if c == '{' {
                        self.keep_blanks();
                        self.pair_inside(open);
                    }
                }
                '[' | '{' => {
                    let line = self.rest_of_line().len();
                    return self.cut(line);
                }
                ']' | '}' => {
                    open.pop();
                    self.keep(1);
                }
                ',' => {
                    self.keep(1);
                    self.keep_blanks();
                    if open.last() == Some(&'{') {
                        self.pair_inside(open);
                    }
                }
                _ => {
                    let end = rest.find(['\n', '#', '"', '\'', '[', ']', '{', '}', ',']).unwrap_or(rest.len());
                    match second_secret(&rest[..end]).filter(|_| !self.own_names) {
                        Some((from, to)) => {
                            self.keep(from);
                            let at = self.out.len();
                            self.keep(to - from);
                            self.found.push(at..self.out.len());
                            self.out.push_str(&format!(" = \"{MASK}\""));
                            self.skip_value(open);
                        }
                        None => self.plain(end, true),
                    }
                }
            }
        }
    }

    /// A key inside braces that may be seen: its value goes if it is called like a secret.
    fn pair_inside(&mut self, open: &mut Vec<char>) {
        let Some((key, sign)) = key_and_sign(self.rest_of_line()) else { return };
        if self.own_names || !path(key).iter().any(|name| is_secret(name)) {
            return;
        }
        let from = self.out.len();
        self.keep(key.len());
        self.found.push(from..self.out.len());
        self.out.push_str(&format!(" = \"{MASK}\""));
        self.drop(sign + 1 - key.len());
        self.skip_value(open);
    }

    /// The value of a key of `[post]`: one of a kind that such keys have, on its line, or nothing.
    fn post_value(&mut self, key: &str, open: &mut Vec<char>) {
        let line = self.rest_of_line();
        let length = match line.chars().next() {
            Some('"' | '\'') => match quoted(line) {
                (length, true) => length,
                _ => 0,
            },
            _ => line.find(|c: char| !c.is_ascii_alphanumeric() && !"_+.:/~-".contains(c)).unwrap_or(line.len()),
        };
        let behind = line[length..].trim_start();
        let ends = behind.is_empty()
            || behind.starts_with('#')
            || open.last() == Some(&'{') && behind.starts_with([',', '}']);
        if length == 0 || !ends {
            self.out.push_str(MASK);
            return self.skip_value(open);
        }
        match secret_in_setting(key, &line[..length]) {
            Some((from, to)) => {
                self.keep(from);
                let at = self.out.len();
                self.out.push_str(MASK);
                self.found.push(at..self.out.len());
                self.drop(to - from);
                self.keep(length - to);
            }
            None => self.keep(length),
        }
        if open.is_empty() {
            self.behind_value();
        }
    }

    /// Goes on behind a value that is not shown: to the end of its line, or of what it opened.
    fn skip_value(&mut self, open: &mut Vec<char>) {
        let outer = open.len();
        loop {
            let rest = self.rest();
            let Some(c) = rest.chars().next() else { return };
            match c {
                '\n' if open.is_empty() => return,
                '\n' => {
                    self.keep(1);
                    let line = self.rest_of_line();
                    let blank = line.len() - line.trim_start().len();
                    if begins_anew(line.trim_start(), open) {
                        self.keep(blank);
                        self.anew = true;
                        return;
                    }
                    self.drop(blank);
                }
                '#' => {
                    let line = self.rest_of_line().len();
                    self.drop(line);
                }
                '"' | '\'' => {
                    let (words, _) = quoted(rest);
                    self.lines_of(words);
                }
                ',' | '}' if outer > 0 && open.len() == outer => return,
                '[' | '{' => {
                    open.push(c);
                    self.drop(1);
                }
                ']' | '}' => {
                    open.pop();
                    self.drop(1);
                }
                _ => self.drop(c.len_utf8()),
            }
        }
    }

    /// Braces whose keys are those of `[post]`.
    fn braces(&mut self, part: Part, open: &mut Vec<char>) {
        open.push('{');
        self.keep(1);
        while !self.anew {
            self.keep_blanks();
            let line = self.rest_of_line();
            match line.chars().next() {
                Some('}') => {
                    open.pop();
                    return self.keep(1);
                }
                Some(',') => self.keep(1),
                Some('#') => self.cut(line.len()),
                None => {
                    if self.rest().is_empty() {
                        return;
                    }
                    self.keep_end();
                    self.keep_blanks();
                    self.anew = begins_anew(self.rest_of_line(), open);
                }
                Some(_) => match key_and_sign(line) {
                    Some((key, sign)) => {
                        let path = path(key);
                        let part = if path.len() == 1 { part } else { Part::Closed };
                        let secret = path.iter().any(|name| is_secret(name));
                        let last = path.last().cloned().unwrap_or_default();
                        self.pair(key, &last, sign, (part, secret), open);
                        if open.is_empty() {
                            return;
                        }
                    }
                    None => {
                        self.out.push_str(MASK);
                        self.skip_value(open);
                        if open.is_empty() {
                            return;
                        }
                    }
                },
            }
        }
    }

    /// What stands behind a value under `[post]`.
    fn behind_value(&mut self) {
        if !self.anew {
            self.keep_blanks();
            let line = self.rest_of_line().len();
            self.cut(line);
        }
    }

    /// So many bytes are not shown; their place is, where there was something.
    fn cut(&mut self, bytes: usize) {
        let gone = self.rest().get(..bytes).unwrap_or_default().trim();
        if let Some(first) = gone.chars().next() {
            self.out.push_str(if first == '#' { "# " } else { " " });
            self.out.push_str(MASK);
        }
        self.drop(bytes);
    }

    /// Nothing of so many bytes but the ends of their lines.
    fn lines_of(&mut self, bytes: usize) {
        let lines = self.rest().get(..bytes).unwrap_or_default().matches('\n').count();
        self.out.push_str(&"\n".repeat(lines));
        self.drop(bytes);
    }

    /// So many bytes as they are, but for the users of addresses in them: those with a password, and any where the address is
    /// all that stands there.
    fn plain(&mut self, bytes: usize, whole: bool) {
        let end = self.at + bytes;
        while self.at < end {
            let rest = self.text.get(self.at..end).unwrap_or_default();
            let blank = rest.find(|c: char| !c.is_whitespace()).unwrap_or(rest.len());
            self.keep(blank);
            let rest = &rest[blank..];
            let word = rest.find(char::is_whitespace).map_or(rest, |end| &rest[..end]);
            let is_secret = |span: &(usize, usize)| {
                let user = word[span.0..span.1].to_ascii_lowercase();
                whole || user.contains(':') || user.contains("%3a")
            };
            match user_in_address(word).filter(is_secret) {
                Some((from, to)) => {
                    self.keep(from);
                    let at = self.out.len();
                    self.out.push_str(MASK);
                    self.found.push(at..self.out.len());
                    self.drop(to - from);
                    self.keep(word.len() - to);
                }
                None => self.keep(word.len()),
            }
        }
    }

    /// A remark behind a value.
    fn remark(&mut self) {
        let length = self.rest_of_line().len();
        match self.part {
            Part::Open => self.plain(length, false),
            _ => self.cut(length),
        }
    }

    /// A remark on a line of its own: a secret that was only switched off is a secret as well.
    fn remark_alone(&mut self) {
        let line = self.rest_of_line();
        let words = line.trim_start_matches(['#', ' ', '\t']);
        if words.starts_with('[') {
            self.remarked_post = means_post(words.trim_matches(['[', ']', ' ']));
        }
        let pair = key_and_sign(words).filter(|(key, _)| is_secret(key) && !key.trim_end().contains(' '));
        let given = |value: &str| value.len() > 2 && value.starts_with(['"', '\'']) && !value.contains(MASK);
        match pair {
            Some((key, sign)) if given(words[sign + 1..].trim()) => {
                self.keep(line.len() - words.len());
                let from = self.out.len();
                self.keep(key.len());
                // Words that may mean something else are not worth ending a pass for when they are switched off.
                if is_surely_secret(key) {
                    self.found.push(from..self.out.len());
                }
                self.out.push_str(&format!(" = \"{MASK}\""));
                self.drop(words.len() - key.len());
            }
            _ if self.part != Part::Open || self.remarked_post && !words.starts_with('[') => self.cut(line.len()),
            _ => self.plain(line.len(), false),
        }
    }
}

/// A key that is called like a secret in the middle of a line, with the sign behind it.
fn second_secret(text: &str) -> Option<(usize, usize)> {
    let signs = text.match_indices(['=', ':']).map(|(at, _)| at);
    signs.take(DEEPEST).find_map(|sign| {
        let before = text[..sign].trim_end();
        let is_part = |c: char| c.is_alphanumeric() || "_-.".contains(c);
        let from = before.rfind(|c: char| !is_part(c)).map_or(0, |at| at + 1);
        let from = (from..before.len()).find(|at| before.is_char_boundary(*at))?;
        is_secret(&before[from..]).then_some((from, before.len()))
    })
}

/// The key at the beginning of a line, and where the sign behind it is: `=`, or the `:` of another format.
fn key_and_sign(line: &str) -> Option<(&str, usize)> {
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
fn path(key: &str) -> Vec<String> {
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
        let number = if rest.starts_with("\\u") || rest.starts_with("\\U") { rest.get(2..2 + digits) } else { None };
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
fn quoted(text: &str) -> (usize, bool) {
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
fn begins_anew(line: &str, open: &[char]) -> bool {
    let bare = line.split('#').next().unwrap_or_default().trim_end();
    let heading = bare.starts_with('[') && bare.ends_with(']') && {
        let name = bare.trim_matches(['[', ']', ' ', '\t']);
        !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c))
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
fn secret_in_setting(key: &str, value: &str) -> Option<(usize, usize)> {
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
        ("host" | "endpoint" | "address" | "folder", Some(colon), Some(at)) if colon < at => inside(colon + 1, at),
        ("user", Some(colon), _) => inside(colon + 1, inner.len()),
        _ => None,
    }
}
