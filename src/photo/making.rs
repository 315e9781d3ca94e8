//! What is made of one photo whose bytes are at hand: decoded once, turned upright, three sizes and a stand-in.
//!
//! Where the bytes come from, how much memory they may take and where the result is kept is for others.

use super::cache::Made;
use super::decode::{self, Header};
use super::pixels::{Reducer, Rgb, fitted};
use super::{bounds, colour, encode, guard, upright};
use crate::model::{Format, PhotoFault};

/// The longer side of the renditions, in pixels: a large screen, a tablet or a sharp phone, a phone.
///
/// It is the longer side and not the width, because a portrait of 1600 pixels across would be twice the bytes of
/// a landscape for no more to see.
const SIZES: [u32; 3] = [LONGEST, 960, 480];
/// The longer side of the largest rendition.
pub const LONGEST: u32 = 1600;

/// Opens one photo after the other, and keeps its working memory from one to the next.
#[derive(Default)]
pub struct Hand(Reducer);

impl Hand {
    /// What the header tells, held to the bounds.
    pub fn header(&self, format: Format, file: &[u8]) -> Result<Header, PhotoFault> {
        guard::guarded(|| {
            let header = decode::header(format, file, LONGEST)?;
            bounds::check(header.width, header.height)?;
            Ok(header)
        })
    }

    /// Everything that is shown of the photo whose header this is.
    pub fn made(&mut self, format: Format, file: &[u8], header: &Header) -> Result<Made, PhotoFault> {
        guard::guarded(|| {
            let negative = decode::pixels(format, file, LONGEST)?;
            let size = fitted((header.width, header.height), LONGEST);
            let size = (size.0.min(negative.width), size.1.min(negative.height));
            let reduced = self.0.negative(negative, size)?;
            renditions(upright::upright(colour::to_srgb(reduced), header.exif.turn), &mut self.0)
        })
    }
}

/// The largest rendition, and each smaller one out of the one before.
fn renditions(largest: Rgb, reducer: &mut Reducer) -> Result<Made, PhotoFault> {
    let mut sizes = vec![(largest.width, largest.height, encode::jpeg(&largest)?)];
    let mut current = largest;
    for longest in SIZES {
        let long = current.width.max(current.height);
        // One hardly smaller than the one before would be bytes for nothing.
        if u64::from(longest) * 10 > u64::from(long) * 9 {
            continue;
        }
        current = reducer.rgb(&current, fitted((current.width, current.height), longest))?;
        sizes.push((current.width, current.height, encode::jpeg(&current)?));
    }
    let placeholder = encode::placeholder(&current, reducer)?;
    Ok(Made { sizes, placeholder })
}

/// Whether an answer could have come from `made` for a photo: so many sizes of plain JPEG, none larger than asked for.
pub fn is_plausible(made: &Made) -> bool {
    let sound = |(width, height, file): &(u32, u32, Vec<u8>)| {
        (1..=LONGEST).contains(width)
            && (1..=LONGEST).contains(height)
            && encode::is_plain(file, (*width, *height))
    };
    (1..=SIZES.len() + 1).contains(&made.sizes.len())
        && made.sizes.iter().all(sound)
        && encode::is_placeholder(&made.placeholder)
}
