//! One wrapper for what opens something: the shop's key, the keys of pages and of their files, the host's secrets.
//!
//! `Secret<T>` is not shown (`Debug` hides it; there is no `Serialize`, no `Display`, nothing that lends or hands out the value
//! but [`Secret::reveal`]), is compared in the same time wherever two differ, and is wiped when it is dropped. The bytes lie on
//! the heap, so that moving a secret about leaves no copies on the stack.
//!
//! What is *not* wiped: what a library makes of it in its own memory (the cipher's schedules, what posting hands to its
//! library), an environment variable, what the system swapped out, and whole addresses with their keys, which are made to be
//! printed. What is private but opens nothing is `private`'s.

use std::fmt;
use subtle::ConstantTimeEq;
use zeroize::{Zeroize, Zeroizing};

/// A value that opens something.
#[derive(Clone)]
pub struct Secret<T: Zeroize>(Box<Zeroizing<T>>);

impl<T: Zeroize> Secret<T> {
    pub fn new(value: T) -> Secret<T> {
        Secret(Box::new(Zeroizing::new(value)))
    }

    /// The value itself: for a derivation that does not give it away, or for whom it was made.
    pub fn reveal(&self) -> &T {
        &self.0
    }
}

impl<T: Zeroize> fmt::Debug for Secret<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("(secret)")
    }
}

/// Takes as long for any two values of one length.
impl<T: Zeroize + AsRef<[u8]>> PartialEq for Secret<T> {
    fn eq(&self, other: &Secret<T>) -> bool {
        self.reveal().as_ref().ct_eq(other.reveal().as_ref()).into()
    }
}

impl<T: Zeroize + AsRef<[u8]>> Eq for Secret<T> {}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn debug_output_hides_the_value() {
        assert_eq!(format!("{:?}", Secret::new([7u8; 32])), "(secret)");
        assert_eq!(format!("{:?}", Secret::new("hush-555".to_owned())), "(secret)");
    }

    #[test]
    fn equality_is_that_of_the_values() {
        let one = Secret::new("0123".to_owned());
        assert_eq!(one, one.clone());
        for other in ["0124", "1123", "012", "01234", ""] {
            assert_ne!(one, Secret::new(other.to_owned()), "{other}");
        }
    }

    /// Counts how often it was wiped.
    #[derive(Clone)]
    struct Counted(&'static AtomicUsize);

    impl Zeroize for Counted {
        fn zeroize(&mut self) {
            self.0.fetch_add(1, Ordering::SeqCst);
        }
    }

    #[test]
    fn each_copy_is_wiped_when_it_is_dropped() {
        static WIPED: AtomicUsize = AtomicUsize::new(0);
        let secret = Secret::new(Counted(&WIPED));
        let copy = secret.clone();
        let moved = secret;
        assert_eq!(WIPED.load(Ordering::SeqCst), 0);
        drop(moved);
        assert_eq!(WIPED.load(Ordering::SeqCst), 1);
        drop(copy);
        assert_eq!(WIPED.load(Ordering::SeqCst), 2);
    }
}
