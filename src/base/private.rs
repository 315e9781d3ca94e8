//! A wrapper for what must never be published.
//!
//! `Private<T>` has no `Serialize`, no `Display`, and its `Debug` hides the value, so it cannot get
//! into a view or a log by accident: the compiler refuses. Whoever needs the value says so with
//! [`Private::reveal`], which is easy to search for.

use std::fmt;

/// A value that no template, log or error text may show.
#[derive(Clone, PartialEq, Eq)]
pub struct Private<T>(T);

impl<T> Private<T> {
    pub fn new(value: T) -> Self {
        Private(value)
    }

    /// The value itself, for the owner's eyes or for a derivation that does not give it away.
    pub fn reveal(&self) -> &T {
        &self.0
    }
}

impl<T> fmt::Debug for Private<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("(private)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn debug_output_hides_the_value() {
        assert_eq!(format!("{:?}", Private::new("555-0117")), "(private)");
    }
}
