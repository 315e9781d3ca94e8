//! One file a format: what its header tells, and its pixels.
//!
//! A decoder is told how long the longer side must be at least, and may give a smaller picture than the file
//! holds where that is quicker or takes less memory. It never gives a larger one.

mod gif;
mod heic;
mod jpeg;
mod png;
mod shrink;
mod webp;

use super::exif;
use super::pixels::Negative;
use crate::model::{Format, PhotoFault};

/// What a header tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Header {
    /// As stored, before it is turned upright.
    pub width: u32,
    pub height: u32,
    pub exif: exif::ExifFacts,
    /// An upper estimate of the memory that decoding takes at once, in bytes, the file itself left out.
    pub needs: u64,
}

/// The header of a picture file of which all bytes are at hand. Its size is not yet held to the bounds.
pub fn header(format: Format, file: &[u8], longest: u32) -> Result<Header, PhotoFault> {
    match format {
        Format::Jpeg => jpeg::header(file, longest),
        Format::Png => png::header(file, longest),
        Format::WebP => webp::header(file),
        Format::Gif => gif::header(file, longest),
        Format::Heic => heic::header(file, longest),
        Format::Avif => Err(avif()),
    }
}

/// The pixels of a picture file, its longer side no shorter than `longest` where the file has as many.
pub fn pixels(format: Format, file: &[u8], longest: u32) -> Result<Negative, PhotoFault> {
    match format {
        Format::Jpeg => jpeg::pixels(file, longest),
        Format::Png => png::pixels(file, longest),
        Format::WebP => webp::pixels(file),
        Format::Gif => gif::pixels(file, longest),
        Format::Heic => heic::pixels(file, longest),
        Format::Avif => Err(avif()),
    }
}

/// AVIF is known but not decoded. The one decoder in Rust alone that is free to use (re_rav1d) runs behind functions
/// that may not unwind: where it gives up on a damaged file, the whole program ends, and no guard can hold that. It
/// would also bring unsafe code, 27 crates and a quarter more to compile. No phone's camera is known to write AVIF.
pub fn avif() -> PhotoFault {
    PhotoFault::NotShowable("an AVIF picture; save it as JPEG".to_owned())
}

/// A decoder's complaint about a damaged file.
fn damaged(error: impl std::fmt::Display) -> PhotoFault {
    PhotoFault::Damaged(error.to_string())
}
