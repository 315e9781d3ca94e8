//! The drawn word of a job: 80 random bits, which the address of its page hangs on beside its number and `link`.
//!
//! A number can come to another piece, once every trace of the first one is gone; 80 bits that were drawn do not come again. Nobody types it from
//! memory, so a check symbol finds the letter that went wrong. It is no secret by itself: without the shop's key nothing follows from it.
//! Where it comes into the address is `work::address`'s.

use super::crockford;

/// Ten bytes, written as sixteen symbols and a check symbol.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Drawn([u8; 10]);

impl Drawn {
    pub fn new(bytes: [u8; 10]) -> Drawn {
        Drawn(bytes)
    }

    /// The word as a file has it; none if a symbol is wrong, missing or too many.
    pub fn read(text: &str) -> Option<Drawn> {
        let plain: String = text.trim().chars().filter(|c| *c != '-').collect();
        let (at, check) = plain.char_indices().next_back()?;
        let symbols = plain.get(..at)?;
        let right = crockford::check_symbol(symbols)?;
        let bytes: [u8; 10] = crockford::decode(symbols)?.try_into().ok()?;
        let word = Drawn(bytes);
        (check.to_ascii_lowercase() == right).then_some(word)
    }

    /// Sixteen symbols in small letters, always the same for the same word.
    pub fn symbols(&self) -> String {
        crockford::encode(&self.0)
    }

    /// As it is written into a file: in groups, with the check symbol.
    pub fn written(&self) -> String {
        let symbols = self.symbols();
        let groups = symbols.as_bytes().chunks(4).map(|group| String::from_utf8_lossy(group).into_owned());
        let mut text = groups.collect::<Vec<String>>().join("-");
        text.push('-');
        text.extend(crockford::check_symbol(&symbols));
        text
    }
}

impl std::fmt::Debug for Drawn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("(a drawn word)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_again_and_a_wrong_symbol_is_found() {
        for n in 0..=255u8 {
            let word = Drawn::new([n, 1, n ^ 0x5a, 3, 4, n, 6, 255, 8, n.wrapping_mul(7)]);
            let text = word.written();
            assert_eq!(Drawn::read(&text), Some(word), "{text}");
            assert_eq!(Drawn::read(&text.to_uppercase()), Some(word));
            assert_eq!(Drawn::read(&text.replace('-', "")), Some(word));
            let first = if text.starts_with('7') { "8" } else { "7" };
            assert_eq!(Drawn::read(&format!("{first}{}", &text[1..])), None, "{text}");
            assert_eq!(Drawn::read(&text[..text.len() - 1]), None);
            assert_eq!(Drawn::read(&format!("{text}0")), None);
        }
        assert!(["", "-", "half-strut", "ü", "k\u{0}"].iter().all(|bad| Drawn::read(bad).is_none()));
        assert_eq!(format!("{:?}", Drawn::new([7; 10])), "(a drawn word)");
    }
}
