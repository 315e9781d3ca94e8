//! Pixels to JPEG files that hold the picture and nothing else.

use super::pixels::{Reducer, Rgb, fitted};
use crate::model::PhotoFault;
use data_encoding::BASE64;
use libjpeg_turbo_rs::{Encoder, PixelFormat, Subsampling};

/// Quality of the renditions: steps are this part of [`STEPS`], on the scale of the Independent JPEG Group. Four up or
/// down is 2 of SSIMULACRA2 and 14 % of the bytes (`cargo bench --bench photos -- quality`).
const QUALITY: u16 = 81;
/// Steps of quantisation, row by row, for light and colour alike: N. Robidoux's table, which spends less on the finest
/// detail than the standard's (ISO/IEC 10918-1, annex K). Written down from memory. At the same bytes it is ahead of
/// the standard's by 1.1 of SSIMULACRA2 at 1600 pixels, 0.6 at 960 and 0.9 at 480.
#[rustfmt::skip]
const STEPS: [u16; 64] = [
    16, 16, 16, 18, 25, 37, 56, 85,
    16, 17, 20, 27, 34, 40, 53, 75,
    16, 20, 24, 31, 43, 62, 91, 135,
    18, 27, 31, 40, 53, 74, 106, 156,
    25, 34, 43, 53, 69, 94, 131, 189,
    37, 40, 62, 74, 94, 124, 169, 238,
    56, 53, 91, 106, 131, 169, 226, 311,
    85, 75, 135, 156, 189, 238, 311, 418,
];
/// The longer side of the placeholder. It is shown blurred, so more would be wasted.
const PLACEHOLDER: u32 = 24;
/// Quality of the placeholder, tried in turn until it is short enough.
const PLACEHOLDER_QUALITIES: [u16; 4] = [40, 25, 15, 5];
/// The placeholder's JPEG is shorter than this, in bytes: it stands in the page itself, once for each photo.
const PLACEHOLDER_BYTES: usize = 600;
const PLACEHOLDER_KIND: &str = "data:image/jpeg;base64,";

/// The picture as a JPEG.
pub fn jpeg(picture: &Rgb) -> Result<Vec<u8>, PhotoFault> {
    encoded(picture, QUALITY)
}

/// A tiny version of the picture as a `data:` address.
pub fn placeholder(picture: &Rgb, reducer: &mut Reducer) -> Result<String, PhotoFault> {
    let size = fitted((picture.width, picture.height), PLACEHOLDER);
    let tiny = reducer.rgb(picture, size)?;
    let mut file = Vec::new();
    for quality in PLACEHOLDER_QUALITIES {
        file = encoded(&tiny, quality)?;
        if file.len() < PLACEHOLDER_BYTES {
            break;
        }
    }
    Ok(format!("{PLACEHOLDER_KIND}{}", BASE64.encode(&file)))
}

/// Chroma at half size (4:2:0), and Huffman tables made for the picture: 1 % of a large one's bytes for 3 ms, more of
/// a small one's. Progressive coding would save another 3 to 4 % for three times the time.
fn encoded(picture: &Rgb, quality: u16) -> Result<Vec<u8>, PhotoFault> {
    let (width, height) = (picture.width as usize, picture.height as usize);
    Encoder::new(&picture.bytes, width, height, PixelFormat::Rgb)
        .quant_table(0, steps(quality))
        .quant_table(1, steps(quality))
        .subsampling(Subsampling::S420)
        .optimize_huffman(true)
        .encode()
        .map_err(|error| PhotoFault::Damaged(format!("could not be saved as JPEG: {error}")))
}

/// The steps at a quality, as the Independent JPEG Group's library scales them; baseline files have steps of 1 to 255.
fn steps(quality: u16) -> [u16; 64] {
    let percent = if quality < 50 { 5000 / quality.max(1) } else { 200 - 2 * quality.min(100) };
    STEPS.map(|step| ((u32::from(step) * u32::from(percent) + 50) / 100).clamp(1, 255) as u16)
}

/// Whether a file is such a JPEG: of this size, with tables, a frame and one scan, and nothing else that could carry
/// anything (ISO/IEC 10918-1, table B.1).
pub fn is_plain(file: &[u8], (width, height): (u32, u32)) -> bool {
    is_plain_up_to_scan(file, (width, height)).is_some() && file.ends_with(&[0xFF, 0xD9])
}

fn is_plain_up_to_scan(file: &[u8], (width, height): (u32, u32)) -> Option<()> {
    let mut rest = file.strip_prefix(&[0xFF, 0xD8])?;
    let mut framed = false;
    loop {
        let &[0xFF, kind, long, short] = rest.first_chunk::<4>()? else { return None };
        let length = 2 + usize::from(u16::from_be_bytes([long, short]));
        let (segment, behind) = rest.split_at_checked(length)?;
        match kind {
            // JFIF: version, density, and no thumbnail.
            0xE0 if segment.len() == 18 && segment.get(4..9) == Some(b"JFIF\0".as_slice()) => {}
            0xDB | 0xC4 => {}
            0xC0 => {
                let &[_, h0, h1, w0, w1] = segment.get(4..)?.first_chunk::<5>()?;
                let side = |high, low| u32::from(u16::from_be_bytes([high, low]));
                framed = (side(w0, w1), side(h0, h1)) == (width, height);
            }
            0xDA => return framed.then_some(()),
            _ => return None,
        }
        rest = behind;
    }
}

/// Whether an address is one that `placeholder` could have made.
pub fn is_placeholder(address: &str) -> bool {
    let file = address.strip_prefix(PLACEHOLDER_KIND).and_then(|text| BASE64.decode(text.as_bytes()).ok());
    file.is_some_and(|file| file.len() < 2 * PLACEHOLDER_BYTES)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The kinds of the segments of a JPEG up to its first scan.
    fn segments(file: &[u8]) -> Vec<u8> {
        let mut kinds = Vec::new();
        let mut at = 2;
        while file[at] == 0xFF && file[at + 1] != 0xDA {
            kinds.push(file[at + 1]);
            at += 2 + usize::from(u16::from_be_bytes([file[at + 2], file[at + 3]]));
        }
        kinds
    }

    fn shaded(width: u32, height: u32) -> Rgb {
        let bytes = (0..width * height)
            .flat_map(|n| [(n % width) as u8, (n / width) as u8, (n.wrapping_mul(2_654_435) >> 12) as u8])
            .collect();
        Rgb { width, height, bytes }
    }

    #[test]
    fn a_rendition_has_tables_a_frame_and_nothing_else() {
        // ISO/IEC 10918-1, table B.1: E0 = APP0 (JFIF), DB = tables, C0 = baseline frame, C4 = Huffman tables.
        let file = jpeg(&shaded(64, 48)).unwrap();
        assert!(segments(&file).iter().all(|kind| [0xE0, 0xDB, 0xC0, 0xC4].contains(kind)));
        assert!(file.ends_with(&[0xFF, 0xD9]));
        assert_eq!(jpeg(&shaded(64, 48)).unwrap(), file, "the same picture gives the same bytes");
        assert!(is_plain(&file, (64, 48)) && !is_plain(&file, (48, 64)));
    }

    #[test]
    fn placeholders_are_small() {
        for (width, height) in [(480, 360), (360, 480), (480, 3), (2, 2)] {
            let address = placeholder(&shaded(width, height), &mut Reducer::default()).unwrap();
            let file =
                BASE64.decode(address.trim_start_matches("data:image/jpeg;base64,").as_bytes()).unwrap();
            assert!(file.len() < PLACEHOLDER_BYTES && is_placeholder(&address), "{} bytes", file.len());
        }
    }
}
