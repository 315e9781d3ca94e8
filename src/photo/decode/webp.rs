//! WebP (RFC 9649), lossy and lossless, alpha over white. An animated one shows its first frame.

use super::{Header, damaged};
use crate::model::PhotoFault;
use crate::photo::exif;
use crate::photo::pixels::{Channels, Negative};
use image_webp::{DecodingError, WebPDecoder};
use std::io::Cursor;

/// What the decoder may allocate for profiles and metadata.
const MOST_BESIDE: usize = 16 << 20;
/// Bytes a pixel that are held at once: the output, and the planes or the copy behind it.
const HELD_LOSSY: u64 = 6;
const HELD_LOSSLESS: u64 = 8;

pub fn header(file: &[u8]) -> Result<Header, PhotoFault> {
    let mut decoder = open(file)?;
    let (width, height) = decoder.dimensions();
    let held = if decoder.is_lossy() { HELD_LOSSY } else { HELD_LOSSLESS };
    let exif = decoder.exif_metadata().ok().flatten();
    Ok(Header {
        width,
        height,
        exif: exif.as_deref().map(exif::read).unwrap_or_default(),
        needs: u64::from(width) * u64::from(height) * held,
    })
}

pub fn pixels(file: &[u8]) -> Result<Negative, PhotoFault> {
    let mut decoder = open(file)?;
    let (width, height) = decoder.dimensions();
    let profile = decoder.icc_profile().ok().flatten();
    let mut bytes = vec![0; decoder.output_buffer_size().ok_or_else(|| damaged("it is too large"))?];
    decoder.read_image(&mut bytes).map_err(fault)?;
    if decoder.has_alpha() {
        let blended = |value: u8, alpha: u8| {
            let sum = u32::from(value) * u32::from(alpha) + 255 * u32::from(255 - alpha);
            ((sum + 127) / 255) as u8
        };
        let mut to = 0;
        for from in (0..bytes.len()).step_by(4) {
            let Some(&[r, g, b, a]) = bytes.get(from..from + 4) else { break };
            let flat = [blended(r, a), blended(g, a), blended(b, a)];
            bytes.iter_mut().skip(to).zip(flat).for_each(|(spot, value)| *spot = value);
            to += 3;
        }
        bytes.truncate(to);
    }
    Ok(Negative { width, height, channels: Channels::Rgb, bytes, profile })
}

fn open(file: &[u8]) -> Result<WebPDecoder<Cursor<&[u8]>>, PhotoFault> {
    let mut decoder = WebPDecoder::new(Cursor::new(file)).map_err(fault)?;
    decoder.set_memory_limit(MOST_BESIDE);
    Ok(decoder)
}

fn fault(error: DecodingError) -> PhotoFault {
    match error {
        DecodingError::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => {
            PhotoFault::Damaged("it breaks off before its end".to_owned())
        }
        other => damaged(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image_webp::{ColorType, WebPEncoder};

    fn file(color: ColorType, data: &[u8]) -> Vec<u8> {
        let mut file = Vec::new();
        WebPEncoder::new(&mut file).encode(data, 2, 1, color).unwrap();
        file
    }

    #[test]
    fn alpha_goes_over_white() {
        let clear = pixels(&file(ColorType::Rgba8, &[10, 20, 30, 255, 0, 0, 0, 0])).unwrap();
        assert_eq!(clear.bytes, [10, 20, 30, 255, 255, 255]);
        let solid = pixels(&file(ColorType::Rgb8, &[1, 2, 3, 4, 5, 6])).unwrap();
        assert_eq!((solid.width, solid.height, solid.bytes), (2, 1, vec![1, 2, 3, 4, 5, 6]));
    }

    #[test]
    fn a_cut_file_is_damaged() {
        let whole = file(ColorType::Rgb8, &[1, 2, 3, 4, 5, 6]);
        for end in 0..whole.len() / 2 {
            assert!(pixels(&whole[..end]).is_err(), "{end}");
        }
    }
}
