//! The last guard around decoders: what a damaged file makes them do must not end the program.
//!
//! The decoders are made to return errors, and the bounds are checked before they start. But they are
//! large, they read files that anybody may have made, and one photo must never cost the whole site.

use crate::base::panics;
use crate::model::PhotoFault;

/// Runs a decoder; its panic becomes a fault of the photo and is not printed.
pub fn guarded<T>(decode: impl FnOnce() -> Result<T, PhotoFault>) -> Result<T, PhotoFault> {
    panics::guarded_here(decode).unwrap_or_else(|| Err(gave_up()))
}

/// What is told of a photo that its decoder, or the helper that ran it, did not come back from.
pub fn gave_up() -> PhotoFault {
    PhotoFault::Damaged("it made its decoder give up".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_a_fault() {
        let fault = guarded::<()>(|| panic!("as a decoder would")).unwrap_err();
        assert_eq!(fault, gave_up());
        assert_eq!(guarded(|| Ok(7)), Ok(7));
    }
}
