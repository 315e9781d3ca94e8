//! JPEG (ISO/IEC 10918-1), as phones write it and as others do: baseline and progressive, grey, CMYK, odd
//! subsampling, restart markers, and whatever a phone appends after the picture.
//!
//! The decoder leaves out the high frequencies of each block when a half, a quarter or an eighth of the size
//! will do: that is most of the speed of the whole room.

use super::{Header, damaged};
use crate::model::PhotoFault;
use crate::photo::exif;
use crate::photo::pixels::{Channels, Negative};
use libjpeg_turbo_rs::{
    ColorSpace, ComponentInfo, DecodeLimits, Decoder, JpegError, MarkerSaveConfig, PixelFormat, ScalingFactor,
};

/// A progressive file may have this many passes. Cameras and programs write about ten; each costs time.
const MOST_SCANS: usize = 100;

pub fn header(file: &[u8], longest: u32) -> Result<Header, PhotoFault> {
    let decoder = open(file)?;
    let frame = decoder.header();
    let (width, height) = (side(frame.width())?, side(frame.height())?);
    Ok(Header {
        width,
        height,
        exif: decoder.exif_data().map(exif::read).unwrap_or_default(),
        needs: needs(&decoder, width, height, longest),
    })
}

pub fn pixels(file: &[u8], longest: u32) -> Result<Negative, PhotoFault> {
    let mut decoder = open(file)?;
    let frame = decoder.header();
    let (width, height) = (side(frame.width())?, side(frame.height())?);
    let divisor = divisor(width.max(height), longest);
    let space = decoder.jpeg_color_space();
    let (channels, format) = match space {
        ColorSpace::Grayscale => (Channels::Grey, PixelFormat::Grayscale),
        ColorSpace::Cmyk | ColorSpace::Ycck => (Channels::Cmyk, PixelFormat::Cmyk),
        _ => (Channels::Rgb, PixelFormat::Rgb),
    };
    decoder.set_output_format(format);
    decoder.set_scale(ScalingFactor::try_new(1, divisor).map_err(damaged)?);
    let image = decoder.decode_image().map_err(fault)?;
    let (width, height) = (side(image.width)?, side(image.height)?);
    let mut bytes = image.data;
    if channels == Channels::Cmyk && adobe_marker(file) {
        bytes.iter_mut().for_each(|ink| *ink = 255 - *ink);
    }
    if bytes.len() != width as usize * height as usize * channels.count() {
        return Err(PhotoFault::Damaged("its pixels do not fit its size".to_owned()));
    }
    Ok(Negative { width, height, channels, bytes, profile: image.icc_profile })
}

fn open(file: &[u8]) -> Result<Decoder<'_>, PhotoFault> {
    let limits = DecodeLimits { max_scans: MOST_SCANS, ..DecodeLimits::default() };
    let decoder = Decoder::new_with_limits(file, limits).map_err(fault)?;
    let frame = decoder.header();
    if frame.precision != 8 || frame.is_lossless {
        let what = "a JPEG of a rare kind (not of 8 bits, or lossless); save it as a usual JPEG";
        return Err(PhotoFault::NotShowable(what.to_owned()));
    }
    if let [c, m, y, k] = frame.components.as_slice() {
        // The decoder expects the first and the last of four to be whole, and fails in the middle otherwise.
        let sampling = |part: &ComponentInfo| (part.horizontal_sampling, part.vertical_sampling);
        let whole = [c, m, y, k].into_iter().map(sampling).reduce(|a, b| (a.0.max(b.0), a.1.max(b.1)));
        if [c, k].into_iter().any(|part| Some(sampling(part)) != whole) {
            return Err(PhotoFault::Damaged("its inks are of odd sizes".to_owned()));
        }
    }
    Ok(decoder)
}

/// The largest of 8, 4 and 2 by which the longer side can be divided and is still long enough; else 1.
fn divisor(longer: u32, longest: u32) -> u32 {
    [8, 4, 2].into_iter().find(|divisor| longer.div_ceil(*divisor) >= longest).unwrap_or(1)
}

/// Planes and pixels at the decoded size; a progressive file holds all its coefficients besides.
fn needs(decoder: &Decoder<'_>, width: u32, height: u32, longest: u32) -> u64 {
    let frame = decoder.header();
    let parts = frame.components.len() as u64;
    let stored = u64::from(width.next_multiple_of(16)) * u64::from(height.next_multiple_of(16));
    let divisor = u64::from(divisor(width.max(height), longest));
    let decoded = stored / (divisor * divisor);
    let sampled =
        |c: &ComponentInfo| u64::from(c.horizontal_sampling).max(1) * u64::from(c.vertical_sampling).max(1);
    let fullest = frame.components.iter().map(sampled).max().unwrap_or(1);
    let coefficients: u64 = frame.components.iter().map(|c| stored * 2 * sampled(c) / fullest).sum();
    let several = decoder.has_multiple_scans();
    decoded * parts * 5 / 2 + if several { coefficients + coefficients / 64 } else { 0 }
}

fn side(side: usize) -> Result<u32, PhotoFault> {
    u32::try_from(side).map_err(damaged)
}

/// Whether Adobe's marker (APP14) is there: programs that write it store inks the other way round.
fn adobe_marker(file: &[u8]) -> bool {
    let Ok(decoder) = open(file) else { return false };
    let decoder = decoder.with_save_markers(MarkerSaveConfig::Specific(vec![0xEE]));
    decoder.saved_markers().iter().any(|m| m.data.starts_with(b"Adobe"))
}

fn fault(error: JpegError) -> PhotoFault {
    match error {
        JpegError::UnexpectedEof => PhotoFault::Damaged("it breaks off before its end".to_owned()),
        JpegError::Unsupported(what) => PhotoFault::NotShowable(format!("a JPEG of a rare kind ({what})")),
        other => damaged(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use libjpeg_turbo_rs::{Encoder, Subsampling};

    fn file(width: usize, height: usize) -> Vec<u8> {
        let bytes: Vec<u8> = (0..width * height * 3).map(|n| (n / 3 % width) as u8).collect();
        let encoder = Encoder::new(&bytes, width, height, PixelFormat::Rgb);
        encoder.quality(90).subsampling(Subsampling::S420).encode().unwrap()
    }

    #[test]
    fn only_as_much_as_is_needed_is_decoded() {
        for (longer, by) in [(4032, 2), (3199, 2), (3198, 1), (8064, 4), (12_800, 8), (100, 1)] {
            assert_eq!(divisor(longer, 1600), by, "{longer}");
        }
        let half = pixels(&file(200, 120), 100).unwrap();
        assert_eq!((half.width, half.height, half.bytes.len()), (100, 60, 100 * 60 * 3));
    }

    #[test]
    fn what_a_phone_appends_is_no_part_of_the_picture() {
        let mut motion = file(40, 30);
        let still = pixels(&motion, 40).unwrap();
        motion.extend(b"\0\0\0\x18ftypmp42\0\0\0\0isommp42");
        motion.extend(vec![0xFF; 5000]);
        assert_eq!(pixels(&motion, 40).unwrap(), still);
        assert_eq!(header(&motion, 40).unwrap().width, 40);
    }

    #[test]
    fn a_file_that_breaks_off_is_damaged() {
        let whole = file(320, 240);
        for part in [3, 20, whole.len() / 3, whole.len() * 9 / 10] {
            let fault = pixels(&whole[..part], 320).unwrap_err();
            assert!(matches!(fault, PhotoFault::Damaged(_)), "{part}: {fault:?}");
        }
    }
}
