//! A wrapper for what must never be published.
//!
//! `Private<T>` has no `Serialize`, no `Display`, and its `Debug` hides the value, so it cannot get into a view or a log by accident: the
//! compiler refuses to serialize or print it. Whoever needs the value says so with [`Private::reveal`], the one way to it; `secret` has
//! the same for what opens something. `tests/kept_types.rs` shows that the types let nothing else through, and `tests/house.rs` knows
//! each file that says `reveal`.
//!
//! # What keeps what is private off the pages
//!
//! | what | kept by |
//! |---|---|
//! | name, phone, e-mail, address, bench note, tag (`PrivateFacts`); the folder (`Job::folder`, `Job::label`, `Photo::file`, `Photo::path`, `Mark::photo`, `MadeOf::file`); the text of `job.toml` (`Job::source`); the drawn word (`Job::draw`) | `Private<T>`: no view can serialize it, no message can print it |
//! | the shop's key, keys of pages and files, the host's secrets | `Secret<T>`, the same way, and wiped when dropped |
//! | the whole address of a page (`WorkedJob::way`, `Studio::web_address`), which holds the key of a sealed one | it comes as `Private<String>` |
//! | opening any of it with `reveal` in a file that has no reason for it | `tests/house.rs`, which searches the source |
//! | the site knowing the board or printed pages; a view reading what a place for messages says | `tests/house.rs`, the same way |
//! | everything, whatever way it takes | `tests/privacy.rs`: canaries in every private field, searched for in every byte of the output |
//!
//! What the compiler does **not** keep: `reveal` compiles anywhere, so a test lists the files that say it. A `Location` for messages
//! (`Job::place`, `Job::file`) tells path and line in plain fields, as messages are made of them. So does a `Picture`,
//! which is for the photo room (`Photo::picture`). A view that took one would compile, and only the canaries would find it.
//! `Private` is not wiped from memory.

use std::fmt;

/// A value that no template, log or error text may show.
#[derive(Clone, Copy, PartialEq, Eq)]
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
