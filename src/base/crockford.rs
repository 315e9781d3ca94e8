//! Base32 without look-alikes, as published by Douglas Crockford ("Base 32", crockford.com):
//! no `i`, `l`, `o`, `u`; read without regard to case, with `i l` as 1 and `o` as 0; hyphens
//! are skipped; an optional check symbol is the number's value modulo 37.

use data_encoding::{Encoding, Specification};
use std::sync::LazyLock;

const SYMBOLS: &str = "0123456789abcdefghjkmnpqrstvwxyz";
/// The five extra symbols that only a check symbol may be.
const CHECK_ONLY: &str = "*~$=u";

static ENCODING: LazyLock<Option<Encoding>> = LazyLock::new(|| {
    let mut spec = Specification::new();
    spec.symbols.push_str(SYMBOLS);
    spec.translate.from.push_str("ABCDEFGHJKMNPQRSTVWXYZiIlLoO");
    spec.translate.to.push_str("abcdefghjkmnpqrstvwxyz111100");
    spec.ignore.push('-');
    spec.encoding().ok()
});

/// Lower-case symbols, five bits each, first bit first, the last symbol filled up with zeros.
pub fn encode(bytes: &[u8]) -> String {
    // The specification above is a constant; a test shows that it is accepted.
    ENCODING.as_ref().map(|e| e.encode(bytes)).unwrap_or_default()
}

/// The bytes that [`encode`] made `text` of, or nothing if it is not of that alphabet.
pub fn decode(text: &str) -> Option<Vec<u8>> {
    ENCODING.as_ref()?.decode(text.as_bytes()).ok()
}

/// The check symbol of a text of base32 symbols: its value as a number, modulo 37.
pub fn check_symbol(text: &str) -> Option<char> {
    let mut rest = 0u32;
    for symbol in text.chars().filter(|c| *c != '-') {
        rest = (rest * 32 + value(symbol)?) % 37;
    }
    SYMBOLS.chars().chain(CHECK_ONLY.chars()).nth(rest as usize)
}

fn value(symbol: char) -> Option<u32> {
    let plain = match symbol.to_ascii_lowercase() {
        'i' | 'l' => '1',
        'o' => '0',
        other => other,
    };
    SYMBOLS.chars().position(|s| s == plain).map(|at| at as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_are_the_published_ones() {
        // Crockford, "Base 32", symbol table: 0-9 A-H J K M N P-T V-Z.
        assert_eq!(SYMBOLS.to_uppercase(), "0123456789ABCDEFGHJKMNPQRSTVWXYZ");
        assert_eq!(CHECK_ONLY.to_uppercase(), "*~$=U");
        assert!(ENCODING.is_some());
    }

    #[test]
    fn look_alikes_case_and_hyphens_are_read() {
        let text = encode(b"\x00\x44\x32\x14\xc7");
        assert_eq!(decode(&text.to_uppercase()), Some(b"\x00\x44\x32\x14\xc7".to_vec()));
        assert_eq!(decode("O1-iL-0000"), decode("01110000"));
        assert!(decode("01110000").is_some());
        assert_eq!(decode("u000"), None);
    }

    #[test]
    fn check_symbols_of_the_reference_library() {
        // 1234 is 16J, with its check symbol 16JD: example in the documentation of base32-crockford (PyPI).
        assert_eq!(check_symbol("16J"), Some('d'));
        assert_eq!(check_symbol("1-6j"), Some('d'));
        assert_eq!(check_symbol("U"), None);
    }
}
