//! Values: kept, cut down to what a setting of `[post]` may be, or skipped, over as many lines as they go.

use super::MASK;
use super::lines::{Masker, Part};
use super::tokens::{begins_anew, key_and_sign, path, quoted, second_secret, secret_in_setting};
use super::words::is_secret;

/// More brackets in each other than this are no settings.
const DEEPEST: usize = 64;

impl Masker<'_> {
    /// A value whose words may be seen: only addresses in it lose their user, and keys inside may be secrets.
    pub fn open_value(&mut self, open: &mut Vec<char>) {
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
                    let end =
                        rest.find(['\n', '#', '"', '\'', '[', ']', '{', '}', ',']).unwrap_or(rest.len());
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
    pub fn post_value(&mut self, key: &str, open: &mut Vec<char>) {
        let line = self.rest_of_line();
        let length = match line.chars().next() {
            Some('"' | '\'') => match quoted(line) {
                (length, true) => length,
                _ => 0,
            },
            _ => line
                .find(|c: char| !c.is_ascii_alphanumeric() && !"_+.:/~-".contains(c))
                .unwrap_or(line.len()),
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
            Some(span) => self.keep_but(span, length),
            None => self.keep(length),
        }
        if open.is_empty() {
            self.behind_value();
        }
    }

    /// Goes on behind a value that is not shown: to the end of its line, or of what it opened.
    pub fn skip_value(&mut self, open: &mut Vec<char>) {
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
    pub fn braces(&mut self, part: Part, open: &mut Vec<char>) {
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
}
