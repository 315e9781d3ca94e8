//! What tells one shop from every other where its files lie in the open: 32 bytes that never change, and the keyed hashes
//! that are made of them.
//!
//! It comes from the first key that the shop had, through a keyed hash, so it tells nothing of that key; a new key keeps it
//! (`open --new-key` writes it down). Where it is read and kept is `read`'s and `command`'s business.

use super::crockford;
use super::derive::keyed_hash;
use super::secret::Secret;
use super::site_path::{PRIVATE, is_private};

/// The identity of a shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity(Secret<[u8; 32]>);

/// Names of what is derived: none can be taken for another.
const OF_KEY: &[u8] = b"benchlight shop identity";
const MARK: &[u8] = b"benchlight mark\0";
const BOND: &[u8] = b"benchlight posted\0";

impl Identity {
    /// That of a shop which never had another key than this one.
    pub fn of_key(key: &[u8; 32]) -> Identity {
        Identity(Secret::new(keyed_hash(key, &[OF_KEY])))
    }

    /// One that was written down.
    pub fn from_bytes(bytes: [u8; 32]) -> Identity {
        Identity(Secret::new(bytes))
    }

    /// What is to be written down.
    pub fn reveal(&self) -> &[u8; 32] {
        self.0.reveal()
    }

    /// The mark of the page at `path`, 16 symbols (80 bits). It is of that path alone, so that a copy of a page that lies
    /// elsewhere is nobody's.
    pub fn mark(&self, path: &str) -> String {
        // What is sealed is the same page everywhere, so private pages share one mark.
        let label = if is_private(path) { PRIVATE } else { path };
        let hash = keyed_hash(self.reveal(), &[MARK, label.as_bytes()]);
        crockford::encode(hash.get(..10).unwrap_or_default())
    }

    /// What binds a record of a place to this shop.
    pub fn bond(&self, place: &str) -> String {
        let hash = keyed_hash(self.reveal(), &[BOND, place.as_bytes()]);
        crockford::encode(hash.get(..20).unwrap_or_default())
    }
}

#[cfg(test)]
mod tests {
    use super::super::site_path::COVER;
    use super::*;

    #[test]
    fn a_mark_is_of_one_shop_and_one_path() {
        let (one, other) = (Identity::of_key(&[1; 32]), Identity::of_key(&[2; 32]));
        let mark = one.mark("index.html");
        assert_eq!(mark.len(), 16);
        assert_eq!(mark, one.mark("index.html"));
        for different in [other.mark("index.html"), one.mark("b/index.html"), one.mark(COVER)] {
            assert_ne!(mark, different);
        }
        assert_eq!(one.mark("see/a/index.html"), one.mark("see/b/index.html"));
        assert_ne!(one.mark("see/a/index.html"), one.mark(COVER));
        assert_ne!(one.bond("x"), one.bond("y"));
    }

    #[test]
    fn it_is_the_hash_that_other_programs_reckon() {
        // `hmac` of Python's standard library: HMAC-SHA-256 of "benchlight shop identity" under 32 bytes of 1, and of
        // "benchlight mark\0index.html" under that.
        let identity = Identity::of_key(&[1; 32]);
        let hex = data_encoding::HEXLOWER.encode(identity.reveal());
        assert_eq!(hex, "9dae359ad540906fcf593a560acfae289453decd617c5593c07133248d9fa2b5");
        assert_eq!(identity.mark("index.html"), "neen15tzgfz4b0d2");
        assert!(!format!("{identity:?}").contains(&hex[..8]));
    }
}
