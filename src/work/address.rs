//! The private address of a job: what nobody can guess and nothing has to store.

use crate::base::crockford;
use crate::model::ShopKey;
use hmac::{Hmac, KeyInit, Mac};
use sha2::{Digest, Sha256};

/// Symbols of an address: five bits each, 130 bits in all.
const SYMBOLS: usize = 26;
/// The block of SHA-256 in bytes (FIPS 180-4).
const BLOCK: usize = 64;

/// The folder under `see/` for a job: 26 base32 symbols of a keyed hash of its number and link.
/// Numbers are the same without regard to case, as folders may be.
pub fn of(key: &ShopKey, number: &str, link: u32) -> String {
    let message = format!("see/{}/{link}", number.to_ascii_lowercase());
    let code = hmac_sha256(&key.0, message.as_bytes());
    crockford::encode(&code).chars().take(SYMBOLS).collect()
}

/// HMAC-SHA-256 (RFC 2104, FIPS 180-4) of a message under a key of any length.
pub fn hmac_sha256(key: &[u8], message: &[u8]) -> [u8; 32] {
    // RFC 2104, section 2: a key longer than a block is hashed, then filled up with zeros. Doing that
    // here leaves no error to handle, and so no way to an address made without the key.
    let mut block = [0u8; BLOCK];
    let hashed: [u8; 32];
    let short = if key.len() > BLOCK {
        hashed = Sha256::digest(key).into();
        &hashed[..]
    } else {
        key
    };
    block.iter_mut().zip(short).for_each(|(to, from)| *to = *from);
    let mut mac = Hmac::<Sha256>::new(&block.into());
    mac.update(message);
    mac.finalize().into_bytes().into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_26_symbols_and_depends_on_key_number_and_link() {
        let (key, other) = (ShopKey([7; 32]), ShopKey([8; 32]));
        let address = of(&key, "26-041", 1);
        assert_eq!(address.len(), 26);
        assert!(address.chars().all(|c| "0123456789abcdefghjkmnpqrstvwxyz".contains(c)));
        assert_eq!(address, of(&key, "26-041", 1));
        for unlike in [of(&other, "26-041", 1), of(&key, "26-042", 1), of(&key, "26-041", 2)] {
            assert_ne!(address, unlike);
        }
    }

    #[test]
    fn numbers_are_alike_without_regard_to_case() {
        let key = ShopKey([7; 32]);
        assert_eq!(of(&key, "T-9a", 1), of(&key, "t-9A", 1));
    }

    #[test]
    fn number_and_link_cannot_run_together() {
        let key = ShopKey([7; 32]);
        assert_ne!(of(&key, "2", 11), of(&key, "21", 1));
    }
}
