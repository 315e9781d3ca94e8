//! `numbers.txt`: which numbers and addresses were issued to whom, so that none is given to somebody else; how its lines are written and read.
//!
//! One line a number, address and customer: the number in clear, all else as digests under the shop's key, so that the file holds no
//! name, phone or address. What the digests are made of and what follows from them is `work::issued`'s, the file itself `read::shop::numbers`'s
//! and `command::issued`'s.

use std::collections::BTreeMap;

/// The file's name in `content/`.
pub const FILE: &str = "numbers.txt";

/// What the file begins with. Under another key old lines fit no page any more, as no address is the same then; their numbers still count.
pub const HEAD: &str = "\
# Every job number that was given, so that no number and no private address is given to somebody else.
# Benchlight adds to it when it takes a piece in or prints a tag. Keep this file; it holds no names and is never published.
# number, then digests under the shop's key of: its page, the name, the day it came in, the phone, each word of the name
";

/// Symbols of a digest: 80 bits.
pub const SYMBOLS: usize = 16;

/// One address and the customer it was given to.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line {
    /// In small letters.
    pub number: String,
    pub page: String,
    pub name: String,
    pub day: String,
    pub phone: Option<String>,
    /// Of each word of the name by itself.
    pub words: Vec<String>,
}

/// All that is known to have been given, by number in small letters. A number may stand without any line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Issued(BTreeMap<String, Vec<Line>>);

impl Issued {
    /// Takes in the text of one file; gives the numbers of the lines that cannot be read, from 1. Of those the
    /// first word counts as a number that was given.
    pub fn take_in(&mut self, text: &str) -> Vec<usize> {
        let mut unread = Vec::new();
        for (at, line) in text.lines().enumerate() {
            let line = line.trim().trim_start_matches('\u{feff}');
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            let number = line.split_whitespace().next().unwrap_or_default().to_ascii_lowercase();
            match Line::read(line) {
                Some(line) => self.add(line),
                None => {
                    let alone = number == line.to_ascii_lowercase() && is_number(&number);
                    unread.extend((!alone).then_some(at + 1));
                    if is_number(&number) {
                        self.0.entry(number).or_default();
                    }
                }
            }
        }
        unread
    }

    pub fn add(&mut self, line: Line) {
        let lines = self.0.entry(line.number.clone()).or_default();
        if !lines.contains(&line) {
            lines.push(line);
        }
    }

    pub fn holds(&self, line: &Line) -> bool {
        self.lines_of(&line.number).contains(line)
    }

    /// The lines of a number, in small letters.
    pub fn lines_of(&self, number: &str) -> &[Line] {
        self.0.get(number).map_or(&[], Vec::as_slice)
    }

    /// Every number, in small letters.
    pub fn numbers(&self) -> impl Iterator<Item = &String> {
        self.0.keys()
    }
}

impl Line {
    /// The line as it is written, with its end.
    pub fn text(&self) -> String {
        let phone = self.phone.as_deref().unwrap_or("-");
        let words = if self.words.is_empty() { "-".to_owned() } else { self.words.join(".") };
        format!("{} {} {} {} {phone} {words}\n", self.number, self.page, self.name, self.day)
    }

    fn read(line: &str) -> Option<Line> {
        let parts: Vec<&str> = line.split_whitespace().collect();
        let [number, page, name, day, phone, words] = *parts.as_slice() else { return None };
        let number = number.to_ascii_lowercase();
        let words: Vec<&str> = if words == "-" { Vec::new() } else { words.split('.').collect() };
        let phone = (phone != "-").then_some(phone);
        let digests = [page, name, day].into_iter().chain(phone).chain(words.iter().copied());
        let sound = is_number(&number) && digests.into_iter().all(is_digest);
        sound.then(|| Line {
            number,
            page: page.to_owned(),
            name: name.to_owned(),
            day: day.to_owned(),
            phone: phone.map(str::to_owned),
            words: words.into_iter().map(str::to_owned).collect(),
        })
    }
}

fn is_digest(text: &str) -> bool {
    text.len() == SYMBOLS && text.bytes().all(|b| b.is_ascii_digit() || b.is_ascii_lowercase())
}

/// As `read::job` takes a number.
fn is_number(word: &str) -> bool {
    (1..=20).contains(&word.len()) && word.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(number: &str, phone: Option<&str>, words: &[&str]) -> Line {
        let digest = |c: &str| c.repeat(SYMBOLS);
        Line {
            number: number.into(),
            page: digest("p"),
            name: digest("n"),
            day: digest("d"),
            phone: phone.map(digest),
            words: words.iter().map(|c| digest(c)).collect(),
        }
    }

    #[test]
    fn lines_are_read_as_they_were_written_and_several_files_add_up() {
        let all = [line("26-041", Some("f"), &["a", "b"]), line("t-9", None, &[])];
        let mut issued = Issued::default();
        let text = format!("\u{feff}{HEAD}{}\r\n\n{}26-050\n", all[0].text(), all[1].text());
        assert_eq!(issued.take_in(&text), Vec::<usize>::new());
        assert_eq!(issued.take_in(&line("26-041", None, &["c"]).text()), Vec::<usize>::new());
        assert_eq!(issued.take_in(&all[0].text()), Vec::<usize>::new(), "what is known is not taken twice");
        assert_eq!(issued.lines_of("26-041").len(), 2);
        assert!(issued.holds(&all[1]) && !issued.holds(&line("t-9", None, &["a"])));
        assert_eq!(issued.numbers().collect::<Vec<_>>(), ["26-041", "26-050", "t-9"]);
    }

    #[test]
    fn of_a_broken_line_the_number_still_counts() {
        let whole = line("26-041", Some("f"), &["a"]).text();
        for end in 8..whole.trim_end().len() {
            let mut issued = Issued::default();
            assert_eq!(issued.take_in(&whole[..end]), [1], "{}", &whole[..end]);
            assert_eq!((issued.numbers().count(), issued.lines_of("26-041").len()), (1, 0));
        }
        let mut issued = Issued::default();
        assert_eq!(issued.take_in("<<<<<<< mine\n=======\n>>>>>>> theirs\n"), [1, 2, 3]);
        assert_eq!(issued.numbers().count(), 0);
    }
}
