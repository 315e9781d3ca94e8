//! SHA-256 of content: the name of everything that is named by what it holds.

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest as _, Sha256};
use std::fmt;
use std::hash::{Hash, Hasher};
use std::io::{self, Read};
use std::path::Path;

/// A SHA-256 (FIPS 180-4) of some bytes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    pub fn of(bytes: &[u8]) -> Digest {
        Digest(Sha256::digest(bytes).into())
    }

    /// The digest of a file's bytes, read in pieces.
    pub fn of_file(path: &Path) -> io::Result<Digest> {
        let mut file = super::files::open(path)?;
        let mut hasher = Sha256::new();
        let mut buffer = vec![0u8; 1 << 16];
        loop {
            match file.read(&mut buffer)? {
                0 => return Ok(Digest(hasher.finalize().into())),
                n => hasher.update(&buffer[..n]),
            }
        }
    }

    /// The digest of a value's parts, as its `Hash` tells them: the same on one computer and program only.
    pub fn of_value(value: &impl Hash) -> Digest {
        let mut parts = Parts(Sha256::new());
        value.hash(&mut parts);
        Digest(parts.0.finalize().into())
    }

    /// 64 lower-case hexadecimal digits.
    pub fn hex(&self) -> String {
        data_encoding::HEXLOWER.encode(&self.0)
    }

    /// Reads what [`Digest::hex`] writes, and nothing else.
    pub fn from_hex(text: &str) -> Option<Digest> {
        let bytes = data_encoding::HEXLOWER.decode(text.as_bytes()).ok()?;
        bytes.try_into().ok().map(Digest)
    }

    /// The first 16 bytes.
    pub fn half(&self) -> [u8; 16] {
        std::array::from_fn(|place| self.0[place])
    }

    /// How a content security policy lets in exactly the bytes of style or script that have this digest (CSP level 3, 6.7.3).
    pub fn in_policy(&self) -> String {
        format!("'sha256-{}'", data_encoding::BASE64.encode(&self.0))
    }

    /// The first 16 hexadecimal digits: enough to name a file by (64 bits).
    pub fn short(&self) -> String {
        self.hex()[..16].to_owned()
    }
}

/// As [`Digest::hex`] writes it.
impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.hex())
    }
}

impl<'de> Deserialize<'de> for Digest {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Digest, D::Error> {
        let text = String::deserialize(deserializer)?;
        Digest::from_hex(&text).ok_or_else(|| D::Error::custom("no SHA-256 in hexadecimal digits"))
    }
}

/// A digest that may be missing, as records have it: an empty text then.
pub mod or_empty {
    use super::Digest;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub fn serialize<S: Serializer>(digest: &Option<Digest>, to: S) -> Result<S::Ok, S::Error> {
        match digest {
            Some(digest) => digest.serialize(to),
            None => to.serialize_str(""),
        }
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Digest>, D::Error> {
        Ok(Digest::from_hex(&String::deserialize(from)?))
    }
}

/// Takes in what `Hash` writes, whole.
struct Parts(Sha256);

impl Hasher for Parts {
    fn write(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// Not asked for: the digest is taken instead.
    fn finish(&self) -> u64 {
        0
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.short())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_example_holds() {
        // FIPS 180-4 example, "abc" (NIST, Cryptographic Standards and Guidelines, SHA-256 example).
        let want = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Digest::of(b"abc").hex(), want);
        assert_eq!(Digest::of(b"abc").short(), &want[..16]);
        assert_eq!(Digest::from_hex(want), Some(Digest::of(b"abc")));
        // The same bytes in base64 (`xxd -r -p | base64`).
        assert_eq!(Digest::of(b"abc").in_policy(), "'sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0='");
        assert_eq!(Digest::from_hex(&want[1..]), None);
        assert_eq!(Digest::from_hex(&want.to_uppercase()), None);
        let text = format!("\"{want}\"");
        assert_eq!(serde_json::to_string(&Digest::of(b"abc")).unwrap(), text);
        assert_eq!(serde_json::from_str::<Digest>(&text).unwrap(), Digest::of(b"abc"));
        assert!(serde_json::from_str::<Digest>(&text.to_uppercase()).is_err());
    }
}
