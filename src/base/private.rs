//! A wrapper for what must never be published.
//!
//! `Private<T>` has no `Serialize`, no `Display`, and its `Debug` hides the value, so it cannot get into a view or a log by accident: the
//! compiler refuses to serialize or print it. Whoever needs the value says so with [`Private::reveal`], which is easy to search for.
//!
//! # What keeps what is private off the pages
//!
//! | what | kept by |
//! |---|---|
//! | name, phone, e-mail, address, bench note, tag (`PrivateFacts`); the folder's name (`Job::label`); the drawn word (`Job::draw`); the host's secrets | `Private<T>`: no view can serialize it, no message can print it |
//! | opening it with `reveal` anywhere in `render` but `board/who.rs` and `printed/` | `tests/house.rs`, which searches the source |
//! | the site knowing the board, printed pages or a sealed page's key | `tests/house.rs`, the same way |
//! | everything, whatever way it takes | `tests/privacy.rs`: canaries in every private field, searched for in every byte of the output |
//!
//! What the compiler does **not** keep: `reveal` compiles anywhere. `Job::folder` (a path that holds the folder's name) and `Job::source`
//! (the whole text of `job.toml`) are plain, as messages point into them; a view that took one of them would compile, and only the canaries
//! would find it. `ShopKey` has a `Debug` that hides it but plain bytes. Nothing is wiped from memory.

use std::fmt;

/// A value that no template, log or error text may show.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
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
