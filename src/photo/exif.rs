//! The two things that are asked of a photo's EXIF: which way is up, and when it was taken.
//! Nothing else in it is read, and nothing of it is ever written.

use super::upright::Turn;
use crate::base::day::Day;
use exif::{Exif, Field, In, Reader, Tag, Value};

/// What a photo's EXIF tells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ExifFacts {
    pub turn: Turn,
    /// `DateTimeOriginal`: the day and the second of that day as the camera's clock stood. Its
    /// offset from UTC is left aside, since what counts is the day where the photo was taken.
    pub taken: Option<(Day, u32)>,
}

/// Reads EXIF (CIPA DC-008), which is a small TIFF. Damaged EXIF tells what can be made out, at worst nothing.
pub fn read(tiff: &[u8]) -> ExifFacts {
    // Some writers keep the `Exif` signature of the JPEG segment in front, in other containers too.
    let tiff = tiff.strip_prefix(b"Exif\0\0").unwrap_or(tiff);
    let read = Reader::new().continue_on_error(true).read_raw(tiff.to_vec());
    match read.or_else(|error| error.distill_partial_result(|_| ())) {
        Ok(exif) => ExifFacts { turn: turn(&exif), taken: taken(&exif) },
        Err(_) => ExifFacts::default(),
    }
}

fn turn(exif: &Exif) -> Turn {
    let field = exif.get_field(Tag::Orientation, In::PRIMARY);
    field.and_then(|f| f.value.get_uint(0)).map_or(Turn::default(), Turn::from_exif)
}

fn taken(exif: &Exif) -> Option<(Day, u32)> {
    let Field { value: Value::Ascii(texts), .. } = exif.get_field(Tag::DateTimeOriginal, In::PRIMARY)? else {
        return None;
    };
    moment(texts.first()?)
}

/// `2026:05:02 16:04:09`, as EXIF writes it; phones that write other separators are understood too.
fn moment(text: &[u8]) -> Option<(Day, u32)> {
    let number = |range: std::ops::Range<usize>| {
        let digits = text.get(range)?;
        let all = digits.iter().all(u8::is_ascii_digit);
        all.then(|| digits.iter().fold(0u32, |n, d| n * 10 + u32::from(d - b'0')))
    };
    let day = Day::new(number(0..4)? as i32, number(5..7)?, number(8..10)?)?;
    let second = match (number(11..13), number(14..16), number(17..19)) {
        (Some(h), Some(m), Some(s)) if h < 24 && m < 60 && s < 61 => h * 3600 + m * 60 + s.min(59),
        _ => 0,
    };
    Some((day, second))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A TIFF with Orientation and, behind its EXIF pointer, DateTimeOriginal.
    pub fn sample(orientation: u16, date: &[u8; 20]) -> Vec<u8> {
        let mut tiff = b"II*\0\x08\0\0\0".to_vec();
        tiff.extend([2, 0]);
        tiff.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0]);
        tiff.extend(orientation.to_le_bytes());
        tiff.extend([0, 0]);
        tiff.extend([0x69, 0x87, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
        tiff.extend([0; 4]);
        tiff.extend([1, 0, 0x03, 0x90, 2, 0, 20, 0, 0, 0, 56, 0, 0, 0, 0, 0, 0, 0]);
        tiff.extend(date);
        tiff
    }

    #[test]
    fn orientation_and_date_are_read() {
        let told = read(&sample(6, b"2026:05:02 16:04:09\0"));
        assert_eq!(told.turn, Turn::from_exif(6));
        assert_eq!(told.taken, Some((Day::new(2026, 5, 2).unwrap(), 16 * 3600 + 4 * 60 + 9)));
        let signed = [b"Exif\0\0".to_vec(), sample(6, b"2026:05:02 16:04:09\0")].concat();
        assert_eq!(read(&signed), told);
    }

    #[test]
    fn what_cannot_be_is_no_date_and_upright() {
        for date in [b"0000:00:00 00:00:00\0", b"    :  :     :  :  \0", b"2026:02:30 10:00:00\0"] {
            assert_eq!(read(&sample(9, date)), ExifFacts::default(), "{}", String::from_utf8_lossy(date));
        }
        let odd = read(&sample(1, b"2026-05-02 25:61:00\0"));
        assert_eq!(odd.taken, Some((Day::new(2026, 5, 2).unwrap(), 0)));
    }

    #[test]
    fn no_cut_or_flipped_byte_breaks_it() {
        let whole = sample(8, b"2026:05:02 16:04:09\0");
        for end in 0..whole.len() {
            read(&whole[..end]);
        }
        for at in 0..whole.len() {
            for bit in 0..8 {
                let mut bent = whole.clone();
                bent[at] ^= 1 << bit;
                read(&bent);
            }
        }
    }
}
