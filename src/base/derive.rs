//! HKDF with SHA-256 (RFC 5869): one secret grows into many, none of which tells anything of the others; and the keyed
//! hash that it is made of.
//!
//! What is derived from what is told where it is done: `work::address` for the pages of a shop, `seal` for the files
//! of a page.

use hkdf::Hkdf;
use hmac::{Hmac, KeyInit, Mac};
use sha2::{Digest, Sha256};
use zeroize::Zeroizing;

/// `N` bytes (at most 8160) from a secret, under a salt, for the purpose that `info` names; wiped when they are dropped.
pub fn derived<const N: usize>(salt: &[u8], secret: &[u8], info: &[u8]) -> Zeroizing<[u8; N]> {
    // RFC 5869, section 2.3: L <= 255 * HashLen. Known when this is compiled, so nothing is left to fail.
    const { assert!(N <= 255 * 32) };
    let mut out = Zeroizing::new([0u8; N]);
    let _ = Hkdf::<Sha256>::new(Some(salt), secret).expand(info, out.as_mut());
    out
}

/// The block of SHA-256 in bytes (FIPS 180-4).
const BLOCK: usize = 64;

/// HMAC-SHA-256 (RFC 2104, FIPS 180-4) of all parts in a row, under a key of any length.
pub fn keyed_hash(key: &[u8], parts: &[&[u8]]) -> [u8; 32] {
    // RFC 2104, section 2: a key longer than a block is hashed, then filled up with zeros. Doing that
    // here leaves no error to handle, and so no way to a hash made without the key.
    let mut block = Zeroizing::new([0u8; BLOCK]);
    let hashed: Zeroizing<[u8; 32]>;
    let short = if key.len() > BLOCK {
        hashed = Zeroizing::new(Sha256::digest(key).into());
        &hashed[..]
    } else {
        key
    };
    block.iter_mut().zip(short).for_each(|(to, from)| *to = *from);
    let mut mac = Hmac::<Sha256>::new((&*block).into());
    parts.iter().for_each(|part| mac.update(part));
    mac.finalize().into_bytes().into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bytes(hex: &str) -> Vec<u8> {
        data_encoding::HEXLOWER.decode(hex.as_bytes()).unwrap()
    }

    #[test]
    fn the_first_test_case_of_rfc_5869() {
        // RFC 5869, appendix A.1; all three of its cases with SHA-256 are in `tests/sealed/vectors.rs`.
        let (salt, info) = (bytes("000102030405060708090a0b0c"), bytes("f0f1f2f3f4f5f6f7f8f9"));
        let made = derived::<42>(&salt, &[0x0b; 22], &info);
        let wanted = "3cb25f25faacd57a90434f64d0362f2a2d2d0a90cf1a5a4c5db02d56ecc4c5bf34007208d5b887185865";
        assert_eq!(made.to_vec(), bytes(wanted));
    }

    #[test]
    fn a_keyed_hash_is_the_extract_step() {
        // RFC 5869, section 2.2: PRK = HMAC-Hash(salt, IKM). Its value for test case 3 is in appendix A.3.
        let wanted = "19ef24a32c717b167f33a91d6f648bdf96596776afdb6377ac434c1c293ccb04";
        assert_eq!(keyed_hash(&[0; 32], &[&[0x0b; 20], &[0x0b; 2]]).to_vec(), bytes(wanted));
    }
}
