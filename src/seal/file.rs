//! One sealed file: `bl-seal1`, a salt of 32 bytes, then AES-256-GCM (NIST SP 800-38D) over length, content and padding.
//!
//! **Why no nonce ever repeats for a key.** The same content must give the same bytes in every pass, so nothing may be random. The
//! salt is HMAC-SHA-256, under a key that only the page's key gives, of the file's role and content. Key and nonce of the file are
//! both drawn from the page's key by HKDF (RFC 5869) with that salt, and the role in the info. So another content or role means
//! another salt, unless HMAC-SHA-256 collides, and with it another key *and* another nonce. SP 800-38D, section 8, asks that the
//! probability of one key meeting one nonce "on two (or more) distinct sets of input data" be at most 2^-32: here it is that of
//! a collision of 256 bits, about 2^-177 over 2^40 files. Each key has one set of input data in its life, so the bounds on
//! its use (section 8.3) are never near. The salt stands in the clear and is a keyed hash: it tells whether two files of one page and role are
//! the same, which their bytes tell anyhow, and nothing else.
//!
//! What is cut, changed, or put under another role or page does not open: the tag of 128 bits covers the mark at the head as
//! well, and salt and role are in the key.

use super::size::padded;
use crate::base::crockford;
use crate::base::derive::{derived, keyed_hash};
use crate::base::secret::Secret;
use crate::model::PageKey;
use crate::model::seal::{ENDING, MARK};
use aes_gcm::aead::{AeadInOut, KeyInit};
use aes_gcm::{Aes256Gcm, Nonce};
use zeroize::Zeroizing;

const SALT: usize = 32;
const HEAD: usize = MARK.len() + SALT;
/// The content's length, before it.
const LENGTH: usize = 8;
const TAG: usize = 16;
/// Symbols of a file's name: 130 bits, as many as an address has.
const SYMBOLS: usize = 26;

/// Key and nonce of one file.
#[derive(Clone, Debug)]
pub struct FileCipher {
    key: Secret<[u8; 32]>,
    nonce: Secret<[u8; 12]>,
}

impl FileCipher {
    pub fn new(key: [u8; 32], nonce: [u8; 12]) -> FileCipher {
        FileCipher { key: Secret::new(key), nonce: Secret::new(nonce) }
    }

    fn of(key: &PageKey, role: &str, salt: &[u8]) -> FileCipher {
        let info = format!("file/{role}");
        let drawn = derived::<44>(salt, key.reveal().as_bytes(), info.as_bytes());
        let (mut key, mut nonce) = (Zeroizing::new([0; 32]), [0; 12]);
        key.iter_mut().chain(&mut nonce).zip(&*drawn).for_each(|(to, from)| *to = *from);
        FileCipher::new(*key, nonce)
    }

    /// Encrypts in place; the tag over it and over what stands beside it in the clear. None for more than 64 GiB.
    pub fn shut(&self, in_the_clear: &[u8], text: &mut [u8]) -> Option<[u8; TAG]> {
        let cipher = Aes256Gcm::new(self.key.reveal().into());
        let tag =
            cipher.encrypt_inout_detached(&Nonce::from(*self.nonce.reveal()), in_the_clear, text.into());
        tag.ok().map(Into::into)
    }

    /// Decrypts in place, if the tag fits.
    pub fn open(&self, in_the_clear: &[u8], text: &mut [u8], tag: [u8; TAG]) -> Option<()> {
        let cipher = Aes256Gcm::new(self.key.reveal().into());
        cipher
            .decrypt_inout_detached(
                &Nonce::from(*self.nonce.reveal()),
                in_the_clear,
                text.into(),
                &tag.into(),
            )
            .ok()
    }
}

/// The name at the host of the file that has this role in its page.
pub fn name(key: &PageKey, role: &str) -> String {
    let bytes = derived::<32>(b"", key.reveal().as_bytes(), format!("name/{role}").as_bytes());
    let symbols: String = crockford::encode(&*bytes).chars().take(SYMBOLS).collect();
    format!("{symbols}{ENDING}")
}

/// The salt of a file: what its key and nonce hang on.
pub fn salt(key: &PageKey, role: &str, content: &[u8]) -> [u8; SALT] {
    let salt_key = derived::<32>(b"", key.reveal().as_bytes(), b"salt");
    // A role is a file's name, which holds no zero byte: role and content cannot run together.
    keyed_hash(&salt_key[..], &[role.as_bytes(), &[0], content])
}

/// Key and nonce that a file of that role and content is sealed with.
pub fn cipher(key: &PageKey, role: &str, content: &[u8]) -> FileCipher {
    FileCipher::of(key, role, &salt(key, role, content))
}

/// The sealed file.
pub fn sealed(key: &PageKey, role: &str, content: &[u8]) -> Vec<u8> {
    let salt = salt(key, role, content);
    let length = padded(HEAD + LENGTH + content.len() + TAG);
    let mut out = Vec::with_capacity(length);
    out.extend(MARK);
    out.extend(salt);
    out.extend((content.len() as u64).to_be_bytes());
    out.extend_from_slice(content);
    out.resize(length - TAG, 0);
    let (head, text) = out.split_at_mut(HEAD);
    match FileCipher::of(key, role, &salt).shut(head.get(..MARK.len()).unwrap_or_default(), text) {
        Some(tag) => out.extend(tag),
        // No file of 64 GiB was ever read into memory; but what cannot be sealed must not stand there.
        None => out.clear(),
    }
    out
}

/// What is in a sealed file; none if it is not whole, or not of that page and role.
pub fn opened(key: &PageKey, role: &str, file: &[u8]) -> Option<Vec<u8>> {
    let (head, rest) = file.split_at_checked(HEAD)?;
    let (mark, salt) = head.split_at_checked(MARK.len())?;
    let (text, tag) = rest.split_last_chunk::<TAG>()?;
    let mut text = text.to_vec();
    FileCipher::of(key, role, salt).open(mark, &mut text, *tag).filter(|()| mark == MARK)?;
    let (length, padded) = text.split_first_chunk::<LENGTH>()?;
    padded.get(..usize::try_from(u64::from_be_bytes(*length)).ok()?).map(<[u8]>::to_vec)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key() -> PageKey {
        PageKey::new("0123456789abcdefghjkmnpqrs".to_owned())
    }

    #[test]
    fn what_is_sealed_opens_and_is_the_same_each_time() {
        for content in [&b""[..], b"<p>", &[7; 40_000], &[0; 100]] {
            let made = sealed(&key(), "index.html", content);
            assert_eq!(made.len(), padded(HEAD + LENGTH + content.len() + TAG));
            assert_eq!(made, sealed(&key(), "index.html", content));
            assert_eq!(opened(&key(), "index.html", &made).as_deref(), Some(content));
        }
    }

    #[test]
    fn what_was_changed_cut_or_moved_does_not_open() {
        let made = sealed(&key(), "index.html", b"<p>");
        for at in [0, MARK.len(), HEAD, HEAD + LENGTH, made.len() / 2, made.len() - 1] {
            let mut other = made.clone();
            other[at] ^= 1;
            assert_eq!(opened(&key(), "index.html", &other), None, "at {at}");
        }
        for length in [0, 1, HEAD - 1, HEAD, HEAD + TAG, made.len() - 1] {
            assert_eq!(opened(&key(), "index.html", &made[..length]), None, "cut at {length}");
        }
        assert_eq!(opened(&key(), "ready.ics", &made), None);
        assert_eq!(opened(&PageKey::new("z".repeat(26)), "index.html", &made), None);
    }

    #[test]
    fn names_tell_nothing_and_differ() {
        let (page, other) = (name(&key(), "index.html"), name(&key(), "ready.ics"));
        assert!(page.len() == 30 && page.ends_with(".bin") && page != other, "{page}");
        assert_ne!(page, name(&PageKey::new("z".repeat(26)), "index.html"));
    }
}
