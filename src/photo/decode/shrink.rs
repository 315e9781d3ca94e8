//! Making a picture smaller while its rows come in, so that a large one is never in memory whole.

use crate::photo::pixels::{Channels, Negative};

/// How much longer than asked for a picture is kept, so that the good filter has enough to work on: 5/4. A photo
/// of 12 megapixels is halved, as it is where JPEG is decoded at half its size.
const SPARE: (u32, u32) = (5, 4);

/// Takes rows and keeps the mean of every square of `by` pixels.
#[derive(Debug)]
pub struct Shrink {
    by: usize,
    width: usize,
    channels: Channels,
    sums: Vec<u32>,
    rows_in_sums: usize,
    kept: Vec<u8>,
}

/// By how much a picture of this size is made smaller.
pub fn factor((width, height): (u32, u32), longest: u32) -> u32 {
    let enough = longest.saturating_mul(SPARE.0) / SPARE.1;
    (width.max(height) / enough.max(1)).max(1)
}

/// The memory that is kept of a picture, in bytes.
pub fn kept_bytes(size: (u32, u32), longest: u32, channels: u64) -> u64 {
    let by = u64::from(factor(size, longest));
    u64::from(size.0).div_ceil(by) * u64::from(size.1).div_ceil(by) * channels
}

impl Shrink {
    pub fn new(size: (u32, u32), longest: u32, channels: Channels) -> Shrink {
        let by = factor(size, longest) as usize;
        let width = size.0 as usize;
        let sums = vec![0; width.div_ceil(by) * channels.count()];
        let kept = Vec::with_capacity(sums.len() * (size.1 as usize).div_ceil(by));
        Shrink { by, width, channels, sums, rows_in_sums: 0, kept }
    }

    /// Takes the next row, of as many pixels as the picture is wide.
    pub fn row(&mut self, row: &[u8]) {
        if self.by == 1 {
            self.kept.extend_from_slice(row);
            return;
        }
        let count = self.channels.count();
        for (square, sums) in row.chunks(self.by * count).zip(self.sums.chunks_mut(count)) {
            for pixel in square.chunks_exact(count) {
                sums.iter_mut().zip(pixel).for_each(|(sum, value)| *sum += u32::from(*value));
            }
        }
        self.rows_in_sums += 1;
        if self.rows_in_sums == self.by {
            self.keep();
        }
    }

    fn keep(&mut self) {
        let count = self.channels.count();
        for (square, sums) in self.sums.chunks_mut(count).enumerate() {
            let across = self.by.min(self.width - square * self.by);
            let pixels = (across * self.rows_in_sums) as u32;
            self.kept.extend(sums.iter().map(|sum| ((sum + pixels / 2) / pixels) as u8));
            sums.fill(0);
        }
        self.rows_in_sums = 0;
    }

    /// What was kept, with the profile that belongs to it.
    pub fn finish(mut self, profile: Option<Vec<u8>>) -> Negative {
        if self.rows_in_sums > 0 {
            self.keep();
        }
        let width = self.width.div_ceil(self.by);
        let height = self.kept.len() / (width * self.channels.count()).max(1);
        let (width, height) = (width as u32, height as u32);
        Negative { width, height, channels: self.channels, bytes: self.kept, profile }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn squares_are_averaged_and_the_edges_with_what_they_have() {
        assert_eq!(factor((4000, 100), 1600), 2);
        assert_eq!(factor((3999, 100), 1600), 1);
        let mut shrink = Shrink::new((5, 3), 1, Channels::Grey);
        assert_eq!(shrink.by, 5);
        shrink.by = 2;
        shrink.sums = vec![0; 3];
        for row in [[0, 10, 20, 30, 40], [0, 10, 20, 30, 50], [1, 3, 5, 7, 9]] {
            shrink.row(&row);
        }
        let kept = shrink.finish(None);
        assert_eq!((kept.width, kept.height), (3, 2));
        assert_eq!(kept.bytes, [5, 25, 45, 2, 6, 9]);
    }
}
