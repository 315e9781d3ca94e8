//! Thousands of damaged files through the reader: it may tell what it likes, but it never panics.

use crate::bad::{healthy, look, put};
use benchlight::door::problem::print;
use benchlight::door::read;
use std::fs;
use std::panic::catch_unwind;

/// What a damaged line may become: pieces that mean something to the reader, and pieces that mean harm.
const PIECES: [&str; 40] = [
    "=",
    "[",
    "]",
    "[[",
    "]]",
    "\"",
    "'",
    "\"\"\"",
    "\n",
    "\r\n",
    ".",
    ",",
    "-",
    "#",
    "{",
    "}",
    "\\",
    "\\u{0}",
    "true",
    "0",
    "-1",
    "1e9",
    "0x1F",
    "2026-02-30",
    "2026-05-02T10:00",
    "9999-12-31",
    "nan",
    "inf",
    "99999999999999999999",
    "reached",
    "step",
    "after",
    "skinned",
    "[reached]",
    "[[step]]",
    "\u{1F983}",
    "é",
    "\u{202e}",
    "  ",
    "\t",
];

/// The files that are damaged, one at a time.
const FILES: [&str; 9] = [
    "content/shop.toml",
    "content/shop.key",
    "content/partners.toml",
    "content/routes/turkey-full.toml",
    "content/routes/turkey-fan.toml",
    "content/jobs/26-041 Fenn gobbler/job.toml",
    "content/jobs/26-042 Quill fan/job.toml",
    "content/showroom/turkey/half-strut/pose.toml",
    "content/pages/find-us.md",
];

/// How many damaged texts of each file are read.
const TRIES: usize = 400;

/// A small generator that gives the same row of numbers each time (xorshift64, Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % sides.max(1) as u64) as usize
    }
}

#[test]
fn no_damaged_file_makes_the_reader_panic() {
    let shop = healthy();
    let mut dice = Dice(0x5eed_0bad_f00d_cafe);
    let mut read_well = 0;
    for file in FILES {
        let path = shop.path().join(file);
        let good = fs::read(&path).unwrap();
        for _ in 0..TRIES {
            let bad = damaged(&good, &mut dice);
            put(&path, &bad);
            let result = catch_unwind(|| match read::shop(shop.path(), &look) {
                Ok((_, problems)) | Err(problems) => {
                    // What is told is also printed, whatever it quotes.
                    (
                        print::text(&problems).len() + print::json(&problems).to_string().len(),
                        problems.is_empty(),
                    )
                }
            });
            match result {
                Ok((_, clean)) => read_well += usize::from(clean),
                Err(_) => panic!("{file} made the reader panic:\n{}", String::from_utf8_lossy(&bad)),
            }
        }
        put(&path, &good);
    }
    // If nearly all were fine or none, the damage would be too small or too great to find anything.
    let all = FILES.len() * TRIES;
    assert!((all / 50..all / 2).contains(&read_well), "{read_well} of {all} were read without a problem");
}

/// A megabyte of one thing: what a slip of a sync or of a hand can leave behind, and what a parser fears.
#[test]
fn no_megabyte_of_nonsense_makes_the_reader_panic_or_dawdle() {
    const MEGABYTE: usize = 1 << 20;
    let shop = healthy();
    let job = shop.path().join("content/jobs/26-042 Quill fan/job.toml");
    let pieces =
        ["[", "{a=", "\"", "=", "abc ", "abc\n", "a = 1\n", "[[paid]]\n", "a=1\r", "\\", "x,", "\u{1F983}"];
    for piece in pieces {
        for start in ["", "a = ", "a = [", "a = \""] {
            let text = format!("{start}{}", piece.repeat((MEGABYTE - start.len()) / piece.len()));
            put(&job, text.as_bytes());
            let (shop, problems) = read::shop(shop.path(), &look).unwrap();
            assert_eq!(shop.jobs.len(), 2, "{start}{piece}");
            // A person can read what is told of it.
            assert!((1..=21).contains(&problems.iter().count()), "{start}{piece}");
        }
    }
}

/// The bytes with one to five small wounds.
fn damaged(good: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = good.to_vec();
    for _ in 0..=dice.roll(5) {
        let at = dice.roll(bytes.len() + 1);
        match dice.roll(7) {
            0 => bytes.truncate(at),
            1 => drop(bytes.drain(at..(at + dice.roll(12)).min(bytes.len()))),
            2 => drop(bytes.get_mut(at).map(|byte| *byte = dice.roll(256) as u8)),
            3 => {
                // A line of the file once more, somewhere else.
                let lines: Vec<&[u8]> = good.split_inclusive(|byte| *byte == b'\n').collect();
                let line = lines[dice.roll(lines.len())].to_vec();
                bytes.splice(at..at, line);
            }
            _ => drop(bytes.splice(at..at, PIECES[dice.roll(PIECES.len())].bytes())),
        }
    }
    bytes
}
