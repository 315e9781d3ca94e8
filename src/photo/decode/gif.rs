//! GIF (GIF89a): the first frame, on white.

use super::{Header, damaged, shrink};
use crate::model::PhotoFault;
use crate::photo::exif::ExifFacts;
use crate::photo::pixels::{Channels, Negative};
use gif::{ColorOutput, DecodeOptions, Decoder, DecodingError, MemoryLimit};
use shrink::Shrink;
use std::num::NonZeroU64;

pub fn header(file: &[u8], longest: u32) -> Result<Header, PhotoFault> {
    let decoder = open(file)?;
    let size = (u32::from(decoder.width()), u32::from(decoder.height()));
    Ok(Header {
        width: size.0,
        height: size.1,
        exif: ExifFacts::default(),
        needs: u64::from(size.0) * u64::from(size.1) * 2 + shrink::kept_bytes(size, longest, 3) + (1 << 20),
    })
}

pub fn pixels(file: &[u8], longest: u32) -> Result<Negative, PhotoFault> {
    let mut decoder = open(file)?;
    let (width, height) = (usize::from(decoder.width()), usize::from(decoder.height()));
    let shared = decoder.global_palette().map(<[u8]>::to_vec);
    let Some(frame) = decoder.read_next_frame().map_err(fault)? else {
        return Err(PhotoFault::Damaged("it holds no picture".to_owned()));
    };
    let palette = frame.palette.clone().or(shared).unwrap_or_default();
    let (colours, _) = palette.as_chunks::<3>();
    let (left, top) = (usize::from(frame.left), usize::from(frame.top));
    let mut shrink = Shrink::new((width as u32, height as u32), longest, Channels::Rgb);
    let mut row = Vec::with_capacity(width * 3);
    for y in 0..height {
        row.clear();
        row.resize(width * 3, 255);
        let frame_row = y.checked_sub(top).and_then(|y| {
            let wide = usize::from(frame.width);
            frame.buffer.get(y * wide..(y + 1) * wide)
        });
        let spots = row.as_chunks_mut::<3>().0.iter_mut().skip(left);
        for (spot, index) in spots.zip(frame_row.unwrap_or_default()) {
            if frame.transparent != Some(*index) {
                *spot = colours.get(usize::from(*index)).copied().unwrap_or([0; 3]);
            }
        }
        shrink.row(&row);
    }
    Ok(shrink.finish(None))
}

fn open(file: &[u8]) -> Result<Decoder<&[u8]>, PhotoFault> {
    let mut options = DecodeOptions::new();
    options.set_color_output(ColorOutput::Indexed);
    if let Some(most) = NonZeroU64::new(crate::photo::bounds::MOST_PIXELS) {
        options.set_memory_limit(MemoryLimit::Bytes(most));
    }
    options.read_info(file).map_err(fault)
}

fn fault(error: DecodingError) -> PhotoFault {
    match error {
        DecodingError::Io(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => {
            PhotoFault::Damaged("it breaks off before its end".to_owned())
        }
        other => damaged(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gif::{Encoder, Frame};

    #[test]
    fn the_first_frame_is_shown_on_white() {
        let mut file = Vec::new();
        let mut encoder = Encoder::new(&mut file, 3, 2, &[9, 8, 7, 1, 2, 3]).unwrap();
        let frame = |left, indices: &'static [u8]| Frame {
            width: 2,
            height: 1,
            left,
            transparent: Some(0),
            buffer: indices.into(),
            ..Frame::default()
        };
        encoder.write_frame(&frame(1, &[1, 0])).unwrap();
        encoder.write_frame(&frame(0, &[1, 1])).unwrap();
        drop(encoder);
        let seen = pixels(&file, 9).unwrap();
        assert_eq!((seen.width, seen.height), (3, 2));
        assert_eq!(seen.bytes[..9], [255, 255, 255, 1, 2, 3, 255, 255, 255]);
        for end in 0..file.len() - 30 {
            assert!(pixels(&file[..end], 9).is_err(), "{end}");
        }
    }
}
