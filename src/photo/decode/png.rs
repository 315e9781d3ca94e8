//! PNG (W3C PNG, third edition): every depth and colour type, alpha over white. An animated one shows its still.
//!
//! Rows are taken one at a time and made smaller at once, so that a huge picture of little content (a
//! decompression bomb) costs no more memory than a photo. Only interlaced files must be held whole.

use super::{Header, damaged, shrink};
use crate::model::PhotoFault;
use crate::photo::pixels::{Channels, Negative};
use crate::photo::{bounds, exif};
use png::{BitDepth, ColorType, Decoder, DecodingError, Limits, Reader, Transformations};
use shrink::Shrink;
use std::io::Cursor;

/// What the decoder may allocate besides rows: profiles and text.
const MOST_BESIDE: usize = 16 << 20;

pub fn header(file: &[u8], longest: u32) -> Result<Header, PhotoFault> {
    let reader = open(file)?;
    let (width, height) = reader.info().size();
    let row = reader.output_line_size(width).unwrap_or(usize::MAX) as u64;
    let held = if reader.info().interlaced { row.saturating_mul(u64::from(height)) } else { row * 4 };
    Ok(Header {
        width,
        height,
        exif: exif_chunk(file).map(exif::read).unwrap_or_default(),
        needs: held + shrink::kept_bytes((width, height), longest, 3) + (1 << 20),
    })
}

pub fn pixels(file: &[u8], longest: u32) -> Result<Negative, PhotoFault> {
    let mut reader = open(file)?;
    let size = reader.info().size();
    let profile = reader.info().icc_profile.as_deref().map(<[u8]>::to_vec);
    let (color, depth) = reader.output_color_type();
    if depth != BitDepth::Eight || color == ColorType::Indexed {
        return Err(PhotoFault::Damaged(format!("its pixels came as {color:?} of {depth:?} bits")));
    }
    let channels = match color {
        ColorType::Grayscale | ColorType::GrayscaleAlpha => Channels::Grey,
        _ => Channels::Rgb,
    };
    let mut shrink = Shrink::new(size, longest, channels);
    if reader.info().interlaced {
        let mut whole = vec![0; reader.output_buffer_size().ok_or_else(|| damaged("it is too large"))?];
        let row = reader.next_frame(&mut whole).map_err(fault)?.line_size;
        whole.chunks_exact(row.max(1)).for_each(|row| shrink.row(&over_white(row, color)));
    } else {
        while let Some(row) = reader.next_row().map_err(fault)? {
            shrink.row(&over_white(row.data(), color));
        }
    }
    Ok(shrink.finish(profile))
}

fn open(file: &[u8]) -> Result<Reader<Cursor<&[u8]>>, PhotoFault> {
    let mut decoder = Decoder::new_with_limits(Cursor::new(file), Limits { bytes: MOST_BESIDE });
    decoder.set_transformations(Transformations::EXPAND | Transformations::STRIP_16);
    decoder.set_ignore_text_chunk(true);
    // Before the decoder sets up its rows: a header that asks for too much is told as such.
    let (width, height) = decoder.read_header_info().map_err(fault)?.size();
    bounds::check(width, height)?;
    decoder.read_info().map_err(fault)
}

/// A row without alpha: what shows through is white, like the page.
fn over_white(row: &[u8], color: ColorType) -> std::borrow::Cow<'_, [u8]> {
    let blended = |value: u8, alpha: u8| {
        let sum = u32::from(value) * u32::from(alpha) + 255 * u32::from(255 - alpha);
        ((sum + 127) / 255) as u8
    };
    match color {
        ColorType::GrayscaleAlpha => row.as_chunks::<2>().0.iter().map(|[v, a]| blended(*v, *a)).collect(),
        ColorType::Rgba => {
            let pixels = row.as_chunks::<4>().0.iter();
            pixels.flat_map(|[r, g, b, a]| [blended(*r, *a), blended(*g, *a), blended(*b, *a)]).collect()
        }
        _ => row.into(),
    }
}

/// The data of the `eXIf` chunk, which may stand before or after the pixels.
fn exif_chunk(file: &[u8]) -> Option<&[u8]> {
    let mut rest = file.get(8..)?;
    loop {
        let length = u32::from_be_bytes(*rest.first_chunk::<4>()?) as usize;
        if rest.get(4..8)? == b"eXIf" {
            return rest.get(8..8 + length);
        }
        rest = rest.get(length.checked_add(12)?..)?;
    }
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

    fn file(color: ColorType, depth: BitDepth, palette: Option<&[u8]>, data: &[u8]) -> Vec<u8> {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, 2, 1);
        encoder.set_color(color);
        encoder.set_depth(depth);
        if let Some(palette) = palette {
            encoder.set_palette(palette);
            encoder.set_trns(&[255, 0][..]);
        }
        encoder.write_header().unwrap().write_image_data(data).unwrap();
        file
    }

    #[test]
    fn depths_palettes_and_alpha_become_plain_channels() {
        let deep = file(ColorType::Rgb, BitDepth::Sixteen, None, &[255, 0, 128, 9, 0, 0, 1, 1, 2, 2, 3, 3]);
        assert_eq!(pixels(&deep, 9).unwrap().bytes, [255, 128, 0, 1, 2, 3]);
        let clear = file(ColorType::Rgba, BitDepth::Eight, None, &[10, 20, 30, 255, 10, 20, 30, 0]);
        assert_eq!(pixels(&clear, 9).unwrap().bytes, [10, 20, 30, 255, 255, 255]);
        let few = file(ColorType::Indexed, BitDepth::One, Some(&[1, 2, 3, 4, 5, 6]), &[0b0100_0000]);
        assert_eq!(pixels(&few, 9).unwrap().bytes, [1, 2, 3, 255, 255, 255]);
        let grey = pixels(&file(ColorType::Grayscale, BitDepth::Four, None, &[0x0F]), 9).unwrap();
        assert_eq!((grey.channels, grey.bytes), (Channels::Grey, vec![0, 255]));
    }

    #[test]
    fn a_cut_file_is_damaged() {
        let whole = file(ColorType::Rgb, BitDepth::Eight, None, &[1, 2, 3, 4, 5, 6]);
        for end in 8..whole.len() - 16 {
            assert!(pixels(&whole[..end], 9).is_err(), "{end}");
            exif_chunk(&whole[..end]);
        }
    }
}
