//! The key of a sealed page, and how its files are known.

use std::fmt;

/// What every sealed file begins with. It tells nothing of what is in it.
pub const MARK: [u8; 8] = *b"bl-seal1";
/// The one ending of all sealed files.
pub const ENDING: &str = ".bin";

/// What stands behind the `#` of a sealed page's address. No `Serialize`, no `Display`, and a `Debug` that hides it: it goes
/// out by [`super::WorkedJob::way`] alone, to whoever is given the whole address.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct PageKey(String);

impl PageKey {
    pub fn new(symbols: String) -> PageKey {
        PageKey(symbols)
    }

    /// As it stands in the address.
    pub fn symbols(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for PageKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("(a page's key)")
    }
}
