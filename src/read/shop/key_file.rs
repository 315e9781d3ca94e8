//! `shop.key`: the 32 secret bytes that every private address derives from.
//!
//! A damaged key is told and never remade: another key would retire every address that was handed out.
//! No message shows the line itself, since whoever reads it can work out every private address. Whether a key is one that
//! somebody could guess is told here too. `shop.id` beside it keeps the identity of a shop whose key was changed.

use crate::base::crockford;
use crate::base::digest::Digest;
use crate::base::files;
use crate::base::identity::Identity;
use crate::model::ShopKey;
use crate::problem::{Code, Location, Problem};
use std::collections::BTreeSet;
use std::path::Path;
use zeroize::Zeroizing;

const FILE: &str = "content/shop.key";
const IDENTITY: &str = "content/shop.id";
/// SHA-256 of the 32 bytes of the demo's key, which lies in the open.
const DEMO_KEY: &str = "ab46750630154df891a45a9bb7fb06ddc134c7e1c3bff39d49b417cc05668419";
const HINT: &str = "bring it back from a backup, as a new key retires every private address";

/// 32 bytes are 52 symbols of five bits, the last one filled up with zeros.
const SYMBOLS: usize = 52;
/// More than any such file holds.
const LIMIT: u64 = 1 << 16;

/// The key, or the reason why the pass cannot go on.
pub(in crate::read) fn key(path: &Path) -> Result<ShopKey, Problem> {
    let text = text(path).ok_or("the shop's key cannot be read");
    let key = text.and_then(|text| match text.trim_ascii().is_empty() {
        true => Err("the shop's key is empty"),
        false => decoded(&text),
    });
    key.map(ShopKey::new).map_err(|why| bad(why).hint(HINT))
}

/// The text of a file with secret bytes, without a byte order mark; none if it is no such text.
fn text(path: &Path) -> Option<Zeroizing<String>> {
    let bytes = Zeroizing::new(files::read_up_to(path, LIMIT).ok()?);
    let text = std::str::from_utf8(&bytes).ok()?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    (!text.contains('\0')).then(|| Zeroizing::new(text.to_owned()))
}

/// There is no key at all.
pub(in crate::read) fn missing() -> Problem {
    bad("the shop's key is missing").hint(HINT)
}

/// What is wrong with a key that anybody could come by: the demo's, or one that was not drawn at random.
pub(in crate::read) fn guessable(key: &ShopKey) -> Option<Problem> {
    let (code, message) = if Digest::of(key.reveal()).hex() == DEMO_KEY {
        (
            Code::DemoKey,
            "this is the key of the demo shop: everybody can work out every private address of yours",
        )
    } else if is_regular(key.reveal()) {
        (Code::WeakKey, "the shop's key follows a pattern, so that every private address can be guessed")
    } else {
        return None;
    };
    let hint = "run `benchlight open --new-key`: it draws a new key and says what to do next";
    Some(Problem::new(code, message).at(Location::file(FILE)).hint(hint))
}

/// Whether 32 bytes follow a pattern that chance does not make. For bytes drawn at random each part is less likely than
/// the bound beside it, and the whole less likely than 2 in 10^22:
/// 12 different values or fewer: C(256, 12) * (12/256)^32 < 1.3e20 * 3.1e-43 < 5e-23;
/// 8 different steps or fewer from each byte to the next: C(256, 8) * (8/256)^31 < 4.2e14 * 2.2e-47 < 1e-32;
/// the same again after 16 bytes or fewer: the sum of 256^-(32 - p) for p from 1 to 16 < 2 * 256^-16 < 6e-39.
fn is_regular(key: &[u8; 32]) -> bool {
    let values: BTreeSet<u8> = key.iter().copied().collect();
    let steps: BTreeSet<u8> = key.iter().zip(key.iter().skip(1)).map(|(a, b)| b.wrapping_sub(*a)).collect();
    let again = |after: &usize| key.iter().zip(key.iter().skip(*after)).all(|(a, b)| a == b);
    values.len() <= 12 || steps.len() <= 8 || (1..=16).any(|after| again(&after))
}

/// The identity that a shop keeps although its key was changed; none as long as it has its first key.
pub(in crate::read) fn kept_identity(path: &Path) -> Result<Option<Identity>, Problem> {
    if std::fs::symlink_metadata(path).is_err() {
        return Ok(None);
    }
    // Opening a pipe could wait for ever.
    let is_file = path.metadata().is_ok_and(|facts| facts.is_file());
    let text = if is_file { text(path) } else { None };
    let bytes = text.and_then(|text| decoded(&text).ok());
    bytes.map(|bytes| Some(Identity::from_bytes(bytes))).ok_or_else(|| {
        Problem::new(Code::BadKey, "the file that keeps the shop's identity cannot be read")
            .at(Location::file(IDENTITY))
            .hint("bring it back from a backup; without one delete it, and `benchlight post` asks before it goes on")
    })
}

fn bad(message: &str) -> Problem {
    Problem::new(Code::BadKey, message).at(Location::file(FILE))
}

pub(in crate::read) fn decoded(text: &str) -> Result<[u8; 32], &'static str> {
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#'));
    let line = lines.next().ok_or("the shop's key is gone from its file")?;
    if lines.next().is_some() {
        return Err("the shop's key is on more than one line");
    }
    let symbols = Zeroizing::new(line.replace('-', ""));
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
    let bytes = crockford::decode(body).filter(|_| right).map(Zeroizing::new);
    bytes.and_then(|bytes| bytes.as_slice().try_into().ok()).ok_or("the shop's key is damaged")
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
        assert_eq!(decoded(&text).unwrap(), bytes);
    }

    #[test]
    fn patterns_are_found() {
        let patterns: [(&str, [u8; 32]); 9] = [
            ("all equal", [7; 32]),
            ("nothing", [0; 32]),
            ("counted", std::array::from_fn(|i| i as u8)),
            ("counted down by three", std::array::from_fn(|i| 250 - 3 * i as u8)),
            ("a run that wraps", std::array::from_fn(|i| (i * 37 + 5) as u8)),
            ("a word again and again", std::array::from_fn(|i| b"tamarack"[i % 8])),
            ("half of it twice", std::array::from_fn(|i| Digest::of(b"x").hex().as_bytes()[i % 16])),
            ("few values", std::array::from_fn(|i| [3, 9, 200, 41][(i * i + i / 3) % 4])),
            ("runs of four", std::array::from_fn(|i| (i / 4 * 50 + i % 4) as u8)),
        ];
        for (name, key) in patterns {
            assert!(is_regular(&key), "{name}");
            assert_eq!(guessable(&ShopKey::new(key)).unwrap().code, Code::WeakKey, "{name}");
        }
    }

    #[test]
    fn no_key_that_was_drawn_is_taken_for_a_pattern() {
        let drawn = |number: u32| -> [u8; 32] {
            let hex = Digest::of(&number.to_le_bytes()).hex();
            data_encoding::HEXLOWER.decode(hex.as_bytes()).unwrap().try_into().unwrap()
        };
        let fewest = (0..100_000).map(|number| {
            let key = drawn(number);
            assert!(!is_regular(&key), "{number}");
            key.iter().collect::<BTreeSet<_>>().len()
        });
        // Far from the bound: 30 different values is usual.
        assert!(fewest.min().unwrap() > 18);
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
            (format!("{good}\n{good}\n"), "the shop's key is on more than one line"),
            ("é".repeat(53), "the shop's key is damaged"),
        ] {
            assert_eq!(decoded(&text).unwrap_err(), why);
        }
    }
}
