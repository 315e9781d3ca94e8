//! No address is inherited: whose an address was before, as far as any trace is left.
//!
//! # The rules
//!
//! 1. An address hangs on the shop's key, the job's number, its `link` and, since words are drawn, the word in its file. `intake` draws a word for
//!    each piece, so what it takes in has an address that no piece before it had, whatever traces are left.
//! 2. A job without a word (an old one, one typed by hand, one copied on the phone from a blank folder) has its address by number and `link` alone. Then
//!    only traces can tell that somebody else was given that address. They stand in `content/numbers.txt`, as `.benchlight/` may be deleted
//!    at any time, and what a pass gives must not hang on it. `make` writes nothing into `content`; those write there who hand out an address:
//!    `intake`, which writes there anyway, `tag` and `open --new-key`. Each notes every piece that the shop has then, not its own alone.
//! 3. A number that stands there is not given again by `intake`, whether its folder is still there or not.
//! 4. A job whose page was given to another customer is held back, before its page is made there: the first customer's tag would open it.
//!
//! # Who is the same customer
//!
//! A name is corrected in place, a day that was wrong, a phone that is new; nothing tells that from a file that was written anew but
//! what stayed. So two records are of one customer if the name is the same (whatever the order of its words, capitals and signs), or if the day
//! it came in is the same and the phone is, too; where one of them has no phone, a word of the name must be the same instead.
//! Records that are linked by others are of one customer, so a name may be corrected more than once. Whoever is in doubt is told, with both
//! ways on. What cannot be known: two customers of one name; two of one day with a name word in common of whom one left no phone; whatever
//! was deleted before anything was noted, or together with the notes.

use crate::base::crockford;
use crate::base::day::Day;
use crate::base::derive::derived;
use crate::base::drawn::Drawn;
use crate::base::issued::{Issued, Line, SYMBOLS};
use crate::model::{Job, ShopKey};
use crate::problem::{Code, Problem};
use std::collections::BTreeSet;

/// Keeps these digests apart from whatever else is derived from the shop's key.
const PURPOSE: &[u8] = b"benchlight numbers given 1";
/// The largest link that a job can have.
const MOST: u32 = 9999;

/// What is known of a piece and its customer.
#[derive(Clone, Copy, Debug)]
pub struct Piece<'a> {
    pub number: &'a str,
    pub link: u32,
    pub word: Option<Drawn>,
    pub customer: &'a str,
    pub taken_in: Day,
    pub phone: Option<&'a str>,
}

impl<'a> Piece<'a> {
    pub fn of(job: &'a Job) -> Piece<'a> {
        let private = job.private.reveal();
        Piece {
            number: &job.number,
            link: job.link,
            word: job.draw.map(|word| *word.reveal()),
            customer: &private.customer,
            taken_in: job.taken_in,
            phone: private.phone.as_deref(),
        }
    }

    /// Its line in `numbers.txt`.
    pub fn line(&self, key: &ShopKey) -> Line {
        let words = name_words(self.customer);
        let phone: String = self.phone.unwrap_or_default().chars().filter(char::is_ascii_digit).collect();
        // With or without the code of a country of ten-digit numbers.
        let phone = phone.strip_prefix('1').filter(|rest| rest.len() == 10).unwrap_or(&phone);
        let long = words.iter().filter(|word| word.chars().count() > 1);
        Line {
            number: self.number.to_ascii_lowercase(),
            page: self.page(key, self.link),
            name: digest(key, "name", &words.iter().map(String::as_str).collect::<Vec<_>>().join(" ")),
            day: digest(key, "day", &self.taken_in.iso()),
            phone: (!phone.is_empty()).then(|| digest(key, "phone", phone)),
            words: long.map(|word| digest(key, "word", word)).collect(),
        }
    }

    /// What its address hangs on, sealed or not.
    fn page(&self, key: &ShopKey, link: u32) -> String {
        let word = self.word.map(|word| word.symbols()).unwrap_or_default();
        digest(key, "page", &format!("{}/{link}/{word}", self.number.to_ascii_lowercase()))
    }

    /// The next link under which its page was given to nobody.
    fn free_link(&self, key: &ShopKey, issued: &Issued) -> u32 {
        let lines = issued.lines_of(&self.number.to_ascii_lowercase());
        let taken: BTreeSet<&str> = lines.iter().map(|line| line.page.as_str()).collect();
        let mut links = self.link.saturating_add(1)..=MOST;
        links.find(|link| !taken.contains(self.page(key, *link).as_str())).unwrap_or(MOST)
    }
}

/// Whether the address of a piece was given to another customer.
pub fn is_anothers(issued: &Issued, line: &Line) -> bool {
    let mut others: Vec<&Line> =
        issued.lines_of(&line.number).iter().filter(|l| l.page == line.page).collect();
    let mut known = vec![line];
    while let Some(one) = known.pop() {
        let (same, rest): (Vec<&Line>, Vec<&Line>) =
            others.into_iter().partition(|other| same_customer(one, other));
        known.extend(same);
        others = rest;
    }
    !others.is_empty()
}

/// What is told of a job whose address was given to another customer.
pub fn problem(job: &Job, key: &ShopKey, issued: &Issued) -> Option<Problem> {
    // Most jobs are in a shop where nothing was noted of their number.
    if issued.lines_of(&job.number.to_ascii_lowercase()).is_empty() {
        return None;
    }
    let piece = Piece::of(job);
    if !is_anothers(issued, &piece.line(key)) {
        return None;
    }
    let message = "the address of this page was given to another customer, whose tag would open it";
    let hint = format!(
        "write `link = {}` and print its tag; if it is the same customer, take the lines that begin with {} out of content/numbers.txt",
        piece.free_link(key, issued),
        job.number.to_ascii_lowercase(),
    );
    let place = job.file();
    Some(Problem::new(Code::AddressGiven, message).hint(hint).at(place).of_job(&job.number))
}

fn same_customer(one: &Line, other: &Line) -> bool {
    if one.name == other.name {
        return true;
    }
    let same_phone = match (&one.phone, &other.phone) {
        (Some(one), Some(other)) => one == other,
        _ => one.words.iter().any(|word| other.words.contains(word)),
    };
    one.day == other.day && same_phone
}

/// The words of a name without signs, in small letters and in the order of their letters: `Fenn, Ada` is `Ada Fenn`.
fn name_words(name: &str) -> BTreeSet<String> {
    let words = name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect()
}

fn digest(key: &ShopKey, what: &str, value: &str) -> String {
    let bytes = derived::<10>(PURPOSE, key.reveal(), format!("{what}/{value}").as_bytes());
    let symbols = crockford::encode(&*bytes);
    symbols.chars().take(SYMBOLS).collect()
}
