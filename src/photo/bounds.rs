//! How much a photo may ask for: of pixels, of bytes, of memory.
//!
//! Everything is reckoned from the header, before the decoder makes a first allocation. The photos that are
//! being made at the same time share one allowance, so that two cores, or sixteen, stay within it.

use crate::model::PhotoFault;
use std::sync::{Condvar, Mutex, PoisonError};

/// No side may be longer.
pub const LONGEST_SIDE: u32 = 30_000;
/// No picture may have more pixels: more than the largest phone's 108 million.
pub const MOST_PIXELS: u64 = 120_000_000;
/// No picture file may be longer; files of more are something else, or a mistake.
pub const MOST_BYTES: u64 = 64 << 20;
/// What all photos under way may take together. What the system's allocator holds back and the rest of the program
/// make up the 200 MB that are allowed.
pub const ALLOWANCE: u64 = 140 << 20;

/// Refuses a header that asks for too much.
pub fn check(width: u32, height: u32) -> Result<(), PhotoFault> {
    if width == 0 || height == 0 {
        return Err(PhotoFault::Damaged(format!("its header says {width} x {height} pixels")));
    }
    let pixels = u64::from(width) * u64::from(height);
    if width.max(height) > LONGEST_SIDE || pixels > MOST_PIXELS {
        return Err(PhotoFault::TooLarge(width, height));
    }
    Ok(())
}

/// The memory that photos under way share.
#[derive(Debug)]
pub struct Allowance {
    free: Mutex<u64>,
    given_back: Condvar,
}

impl Default for Allowance {
    fn default() -> Self {
        Allowance { free: Mutex::new(ALLOWANCE), given_back: Condvar::new() }
    }
}

impl Allowance {
    /// Waits until `bytes` are free and holds them until the share is dropped.
    /// More than there is at all is given as all there is: such a photo is made alone.
    pub fn take(&self, bytes: u64) -> Share<'_> {
        let bytes = bytes.min(ALLOWANCE);
        let mut free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        while *free < bytes {
            free = self.given_back.wait(free).unwrap_or_else(PoisonError::into_inner);
        }
        *free -= bytes;
        Share { of: self, bytes }
    }
}

impl Share<'_> {
    /// Makes this share `bytes` large without waiting, if that much is free.
    pub fn grow_to(&mut self, bytes: u64) -> bool {
        let bytes = bytes.min(ALLOWANCE);
        let mut free = self.of.free.lock().unwrap_or_else(PoisonError::into_inner);
        let more = bytes.saturating_sub(self.bytes);
        let enough = more <= *free;
        if enough {
            *free -= more;
            self.bytes += more;
        }
        enough
    }
}

/// A part of the allowance, given back when it is dropped.
#[derive(Debug)]
pub struct Share<'a> {
    of: &'a Allowance,
    bytes: u64,
}

impl Drop for Share<'_> {
    fn drop(&mut self) {
        *self.of.free.lock().unwrap_or_else(PoisonError::into_inner) += self.bytes;
        self.of.given_back.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_are_held_to_the_bounds() {
        assert_eq!(check(12_000, 9_000), Ok(()));
        assert_eq!(check(65_500, 65_500), Err(PhotoFault::TooLarge(65_500, 65_500)));
        assert_eq!(check(30_001, 1), Err(PhotoFault::TooLarge(30_001, 1)));
        assert!(matches!(check(0, 5), Err(PhotoFault::Damaged(_))));
    }

    #[test]
    fn shares_are_given_back() {
        let all = Allowance::default();
        let half = all.take(ALLOWANCE / 2);
        drop(all.take(ALLOWANCE / 2));
        drop(half);
        let mut small = all.take(10);
        assert!(small.grow_to(ALLOWANCE) && small.grow_to(20));
        drop(small);
        drop(all.take(ALLOWANCE * 9));
        assert_eq!(*all.free.lock().unwrap(), ALLOWANCE);
    }
}
