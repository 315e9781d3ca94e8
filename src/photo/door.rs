//! The door through which the room `fuzz` hands bytes to the decoders, as if they lay in a photo's file.
//!
//! There for tests and fuzzers alone.

use super::making::LONGEST;
use super::pixels::{Reducer, fitted};
use super::{bounds, colour, decode, encode, exif, guard, kind, upright};
use crate::base::day::Day;
use crate::model::{Format, PhotoFault};

/// Larger pictures are judged by their headers alone, as a fuzzer waits for each.
const MOST_PIXELS: u32 = 1 << 20;

/// Width and height by a photo's header, then the finished JPEG.
type Shown = ((u32, u32), Option<Vec<u8>>);

/// A photo all the way to what a page shows of it.
///
/// # Errors
/// What the owner would be told of it.
pub fn photo(format: Format, file: &[u8]) -> Result<Shown, PhotoFault> {
    let head = file.get(..kind::HEAD).unwrap_or(file);
    if kind::of(head) != kind::FileKind::Picture(format) {
        return Err(PhotoFault::Empty);
    }
    guard::guarded(|| {
        let header = decode::header(format, file, LONGEST)?;
        bounds::check(header.width, header.height)?;
        let size = (header.width, header.height);
        if header.needs + file.len() as u64 > bounds::ALLOWANCE || size.0.saturating_mul(size.1) > MOST_PIXELS
        {
            return Ok((size, None));
        }
        let negative = decode::pixels(format, file, LONGEST)?;
        let mut reducer = Reducer::default();
        let fits = fitted(size, 480);
        let fits = (fits.0.min(negative.width), fits.1.min(negative.height));
        let reduced = reducer.negative(negative, fits)?;
        let shown = upright::upright(colour::to_srgb(reduced), header.exif.turn);
        Ok((size, Some(encode::jpeg(&shown)?)))
    })
}

/// When a photo was taken, by its EXIF.
pub fn taken(tiff: &[u8]) -> Option<(Day, u32)> {
    exif::read(tiff).taken
}
