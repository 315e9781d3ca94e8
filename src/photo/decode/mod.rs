//! One file a format: what its header tells, and its pixels.
//!
//! A decoder is told how long the longer side must be at least, and may give a smaller picture than the file
//! holds where that is quicker or takes less memory. It never gives a larger one.

mod gif;
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
    pub told: exif::Told,
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
        Format::Heic | Format::Avif => Err(not_showable(format)),
    }
}

/// The pixels of a picture file, its longer side no shorter than `longest` where the file has as many.
pub fn pixels(format: Format, file: &[u8], longest: u32) -> Result<Negative, PhotoFault> {
    match format {
        Format::Jpeg => jpeg::pixels(file, longest),
        Format::Png => png::pixels(file, longest),
        Format::WebP => webp::pixels(file),
        Format::Gif => gif::pixels(file, longest),
        Format::Heic | Format::Avif => Err(not_showable(format)),
    }
}

/// Formats that are known but not decoded.
pub fn not_showable(format: Format) -> PhotoFault {
    let what = match format {
        Format::Avif => "an AVIF picture; save it as JPEG",
        _ => {
            "a HEIC picture; save it as JPEG, and set the phone's camera to save JPEG from now on \
             (on an iPhone: Settings, Camera, Formats, Most Compatible)"
        }
    };
    PhotoFault::NotShowable(what.to_owned())
}

/// A decoder's complaint about a damaged file.
fn damaged(error: impl std::fmt::Display) -> PhotoFault {
    PhotoFault::Damaged(error.to_string())
}
