//! The key of a sealed page, and how its files are known.

use crate::base::secret::Secret;

/// What every sealed file begins with. It tells nothing of what is in it.
pub const MARK: [u8; 8] = *b"bl-seal1";
/// The one ending of all sealed files.
pub const ENDING: &str = ".bin";

/// What stands behind the `#` of a sealed page's address. It goes out with the whole address alone, to whoever is given that.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageKey(Secret<String>);

impl PageKey {
    pub fn new(symbols: String) -> PageKey {
        PageKey(Secret::new(symbols))
    }

    /// As it stands in the address.
    pub fn reveal(&self) -> &str {
        self.0.reveal()
    }
}
