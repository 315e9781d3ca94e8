//! `shop.key`: the 32 secret bytes that every private address derives from.
//!
//! A damaged key is told and never remade: another key would retire every address that was handed out.
//! No message shows the line itself, since whoever reads it can work out every private address.

use super::text;
use crate::base::crockford;
use crate::model::ShopKey;
use crate::problem::{Code, Place, Problem};
use std::path::Path;

const FILE: &str = "content/shop.key";
const HINT: &str = "bring it back from a backup, as a new key retires every private address";

/// 32 bytes are 52 symbols of five bits, the last one filled up with zeros.
const SYMBOLS: usize = 52;

/// The key, or the reason why the pass cannot go on.
pub(super) fn key(path: &Path) -> Result<ShopKey, Problem> {
    match text::read(path, FILE) {
        Ok(source) => decoded(&source.text).map_err(|why| bad(why).hint(HINT)),
        Err(problem) if problem.code == Code::EmptyFile => Err(bad("the shop's key is empty").hint(HINT)),
        Err(_) => Err(bad("the shop's key cannot be read").hint(HINT)),
    }
}

/// There is no key at all.
pub(super) fn missing() -> Problem {
    bad("the shop's key is missing").hint(HINT)
}

fn bad(message: &str) -> Problem {
    Problem::new(Code::BadKey, message).at(Place::file(FILE))
}

pub(super) fn decoded(text: &str) -> Result<ShopKey, &'static str> {
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#'));
    let line = lines.next().ok_or("the shop's key is gone from its file")?;
    if lines.next().is_some() {
        return Err("the shop's key stands on more than one line");
    }
    let symbols: String = line.chars().filter(|c| *c != '-').collect();
    let letters = symbols.chars().count();
    if letters != SYMBOLS + 1 {
        return Err(if letters < SYMBOLS + 1 {
            "the shop's key is too short"
        } else {
            "the shop's key is too long"
        });
    }
    let (body, check) = symbols.split_at_checked(SYMBOLS).ok_or("the shop's key is damaged")?;
    let right =
        crockford::check_symbol(body).is_some_and(|c| check.eq_ignore_ascii_case(c.encode_utf8(&mut [0; 4])));
    let bytes = crockford::decode(body).filter(|_| right);
    bytes.and_then(|b| b.try_into().ok()).map(ShopKey).ok_or("the shop's key is damaged")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(bytes: [u8; 32]) -> String {
        let body = crockford::encode(&bytes);
        let check = crockford::check_symbol(&body).unwrap();
        let groups: Vec<String> = format!("{body}{check}")
            .as_bytes()
            .chunks(5)
            .map(|c| String::from_utf8_lossy(c).into())
            .collect();
        groups.join("-")
    }

    #[test]
    fn a_key_is_read_as_it_is_written() {
        let bytes: [u8; 32] = std::array::from_fn(|i| (i * 37 + 5) as u8);
        let text = format!("# the shop's key\r\n\r\n{}\r\n", written(bytes).to_uppercase());
        assert_eq!(decoded(&text).unwrap().0, bytes);
    }

    #[test]
    fn any_single_wrong_letter_is_found() {
        let good = written(std::array::from_fn(|i| (i * 91) as u8));
        for (at, was) in good.char_indices().filter(|(_, c)| *c != '-') {
            for wrong in "0159azkx".chars().filter(|c| *c != was) {
                let mut text = good.clone();
                text.replace_range(at..at + 1, &wrong.to_string());
                assert!(decoded(&text).is_err(), "{text}");
            }
        }
    }

    #[test]
    fn what_is_wrong_is_said_without_the_key() {
        let good = written([7; 32]);
        for (text, why) in [
            ("# nothing\n".to_owned(), "the shop's key is gone from its file"),
            (good[..50].to_owned(), "the shop's key is too short"),
            (format!("{good}00"), "the shop's key is too long"),
            (format!("{good}\n{good}\n"), "the shop's key stands on more than one line"),
            ("é".repeat(53), "the shop's key is damaged"),
        ] {
            assert_eq!(decoded(&text).unwrap_err(), why);
        }
    }
}
