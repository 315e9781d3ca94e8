//! QR codes (ISO/IEC 18004) of short texts: as a path for SVG, and as signs for a terminal.
//!
//! How large one is printed and what stands beside it is the theme's.

use qrcodegen::{QrCode, QrCodeEcc};
use std::fmt::Write;

/// Light modules that have to stand around a code (ISO/IEC 18004, "quiet zone": four).
const QUIET: i32 = 4;

/// A code with its quiet zone.
pub struct Qr(QrCode);

impl std::fmt::Debug for Qr {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "a code of version {}", self.version())
    }
}

impl Qr {
    /// The code of a text, with error correction of level M or, where that costs no room, better; none for a text
    /// that is too long for any code.
    pub fn of(text: &str) -> Option<Qr> {
        QrCode::encode_text(text, QrCodeEcc::Medium).ok().map(Qr)
    }

    /// Modules along a side, the quiet zone included.
    pub fn side(&self) -> u32 {
        u32::try_from(self.0.size() + 2 * QUIET).unwrap_or(0)
    }

    /// The version, 1 to 40.
    pub fn version(&self) -> u8 {
        self.0.version().value()
    }

    fn is_dark(&self, x: i32, y: i32) -> bool {
        self.0.get_module(x - QUIET, y - QUIET)
    }

    /// The dark modules as the `d` of an SVG path in a square of [`Self::side`] units: one run of modules after
    /// the other, so that no hairline parts two of them when it is printed.
    pub fn path(&self) -> String {
        let side = self.0.size() + 2 * QUIET;
        let mut path = String::new();
        for y in 0..side {
            let mut x = 0;
            while x < side {
                let run = (x..side).take_while(|x| self.is_dark(*x, y)).count();
                if run > 0 {
                    let _ = write!(path, "M{x} {y}h{run}v1h-{run}z");
                }
                x += i32::try_from(run).unwrap_or(0) + 1;
            }
        }
        path
    }

    /// The code for a terminal, line by line, two rows of modules in each: the dark ones drawn, for black on white, or the
    /// light ones, as most terminals are dark.
    pub fn in_terminal(&self, draws_dark: bool) -> Vec<String> {
        let side = self.0.size() + 2 * QUIET;
        let line = |y: i32| {
            let sign = |x: i32| {
                // Below the last row of an odd number of rows there is quiet zone.
                let (upper, lower) = (self.is_dark(x, y), y + 1 < side && self.is_dark(x, y + 1));
                match (upper == draws_dark, lower == draws_dark) {
                    (true, true) => '█',
                    (true, false) => '▀',
                    (false, true) => '▄',
                    (false, false) => ' ',
                }
            };
            (0..side).map(sign).collect()
        };
        (0..side).step_by(2).map(line).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_fits_into_a_small_code_with_its_quiet_zone() {
        let qr = Qr::of("https://hollow-ash.example/see/abcdefghjkmnpqrstvwxyz0123/").unwrap();
        // ISO/IEC 18004, table 7: 62 bytes at level M fit into version 4, which has 33 modules a side.
        assert_eq!((qr.version(), qr.side()), (4, 33 + 8));
        assert!(qr.path().starts_with("M4 4h7v1h-7z"), "the finder pattern begins behind four light modules");
        assert_eq!(qr.in_terminal(false).len(), 21);
        assert!(Qr::of(&"x".repeat(3000)).is_none());
    }
}
