//! Which way is up: the eight orientations of EXIF, and pixels turned to stand upright.

use super::pixels::Rgb;

/// An orientation by its EXIF number (CIPA DC-008, tag 0x0112), 1 to 8.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Turn(u8);

impl Default for Turn {
    fn default() -> Self {
        Turn(1)
    }
}

impl Turn {
    /// Numbers that EXIF does not know count as upright, as viewers take them.
    pub fn from_exif(number: u32) -> Turn {
        Turn(u8::try_from(number).ok().filter(|n| (1..=8).contains(n)).unwrap_or(1))
    }

    /// The number that EXIF has for it.
    pub fn exif(self) -> u8 {
        self.0
    }

    /// Whether width and height change places.
    pub fn lies(self) -> bool {
        self.0 >= 5
    }

    /// Width and height of an upright picture, from those that are stored.
    pub fn upright(self, (width, height): (u32, u32)) -> (u32, u32) {
        if self.lies() { (height, width) } else { (width, height) }
    }
}

/// Pixels are moved in squares of this many, so that a turn by a quarter stays in the processor's cache.
const SQUARE: usize = 32;

/// The picture turned upright.
pub fn upright(picture: Rgb, turn: Turn) -> Rgb {
    if turn == Turn::default() {
        return picture;
    }
    let (w, h) = (picture.width as usize, picture.height as usize);
    let (width, height) = turn.upright((picture.width, picture.height));
    let mut turned = vec![0u8; picture.bytes.len()];
    let (from, _) = picture.bytes.as_chunks::<3>();
    let (to, _) = turned.as_chunks_mut::<3>();
    // Where the first stored pixel belongs, and how far its neighbours to the right and below go from there.
    let (iw, ih) = (w as isize, h as isize);
    let (origin, right, down) = match turn.0 {
        2 => (iw - 1, -1, iw),
        3 => (iw * ih - 1, -1, -iw),
        4 => (iw * (ih - 1), 1, -iw),
        5 => (0, ih, 1),
        6 => (ih - 1, ih, -1),
        7 => (iw * ih - 1, -ih, -1),
        8 => (ih * (iw - 1), -ih, 1),
        _ => (0, 1, iw),
    };
    for top in (0..h).step_by(SQUARE) {
        for left in (0..w).step_by(SQUARE) {
            let end = (left + SQUARE).min(w);
            for y in top..(top + SQUARE).min(h) {
                let row = from.get(y * w + left..y * w + end).unwrap_or_default();
                let mut place = origin + left as isize * right + y as isize * down;
                for pixel in row {
                    if let Some(spot) = usize::try_from(place).ok().and_then(|place| to.get_mut(place)) {
                        *spot = *pixel;
                    }
                    place += right;
                }
            }
        }
    }
    Rgb { width, height, bytes: turned }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of one byte a pixel, written as rows of letters.
    fn drawn(rows: &[&str]) -> Rgb {
        let bytes = rows.concat().bytes().flat_map(|b| [b, b, b]).collect();
        Rgb { width: rows[0].len() as u32, height: rows.len() as u32, bytes }
    }

    #[test]
    fn all_eight_orientations_stand_upright() {
        // EXIF tells which side the stored row 0 and column 0 are; the letters follow from that.
        for (number, stored) in [
            (1, ["abc", "def"].as_slice()),
            (2, &["cba", "fed"]),
            (3, &["fed", "cba"]),
            (4, &["def", "abc"]),
            (5, &["ad", "be", "cf"]),
            (6, &["cf", "be", "ad"]),
            (7, &["fc", "eb", "da"]),
            (8, &["da", "eb", "fc"]),
        ] {
            let seen = upright(drawn(stored), Turn::from_exif(number));
            assert_eq!(seen, drawn(&["abc", "def"]), "orientation {number}");
        }
    }

    #[test]
    fn squares_cover_large_pictures() {
        let (width, height) = (71, 45);
        let bytes = (0..width * height).flat_map(|n: u32| [n as u8, (n >> 8) as u8, 7]).collect();
        let picture = Rgb { width, height, bytes };
        let once = upright(picture.clone(), Turn::from_exif(6));
        assert_eq!((once.width, once.height), (height, width));
        assert_eq!(upright(once, Turn::from_exif(8)), picture);
    }
}
