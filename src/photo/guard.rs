//! The last guard around decoders: what a damaged file makes them do must not end the program.
//!
//! The decoders are made to return errors, and the bounds are checked before they start. But they are
//! large, they read files that anybody may have made, and one photo must never cost the whole site.

use crate::model::PhotoFault;
use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

thread_local! {
    static GUARDED: Cell<bool> = const { Cell::new(false) };
}

/// Runs a decoder; its panic becomes a fault of the photo and is not printed.
pub fn guarded<T>(decode: impl FnOnce() -> Result<T, PhotoFault>) -> Result<T, PhotoFault> {
    static QUIET: Once = Once::new();
    QUIET.call_once(|| {
        let usual = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if !GUARDED.get() {
                usual(info);
            }
        }));
    });
    let before = GUARDED.replace(true);
    let result = panic::catch_unwind(AssertUnwindSafe(decode));
    GUARDED.set(before);
    result.unwrap_or_else(|_| Err(PhotoFault::Damaged("it made its decoder give up".to_owned())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_a_fault() {
        let fault = guarded::<()>(|| panic!("as a decoder would")).unwrap_err();
        assert!(matches!(fault, PhotoFault::Damaged(_)));
        assert_eq!(guarded(|| Ok(7)), Ok(7));
    }
}
