//! What goes over the pipes between the program and a helper: a question, an answer, and their bounds.
//!
//! Both ends are the same build of the program, so the form may change at will. What comes from a helper is
//! still read as anybody's: its decoder may have been led astray by the file. What it says is checked in `answer`.

use crate::model::{Format, PhotoFault};
use crate::photo::bounds;
use crate::photo::cache::Made;
use crate::photo::decode::Header;
use crate::photo::exif::ExifFacts;
use crate::photo::upright::Turn;
use serde::{Deserialize, Serialize};
use std::io::{self, Read, Write};

/// The head of an answer is a few numbers, the placeholder, or the reason of a fault.
const LONGEST_HEAD: u32 = 64 << 10;
/// A rendition is at most 1600 pixels on its longer side; even noise at that size is shorter than this, in bytes.
pub(super) const LONGEST_RENDITION: u64 = 16 << 20;

/// What a helper is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ask<'a> {
    /// What the header of this file tells; the file is kept for `Make`.
    Header(Format, &'a [u8]),
    /// Everything that is shown of the file that was handed over last.
    Make,
}

/// A question as it arrives.
pub(super) enum Asked {
    Header(Format, Vec<u8>),
    Make,
}

/// The head of an answer; behind that of `Made` follow the renditions, one after the other.
#[derive(Serialize, Deserialize)]
pub(super) enum Head {
    Header { width: u32, height: u32, turn: u8, taken: Option<(crate::base::day::Day, u32)>, needs: u64 },
    Made { sizes: Vec<(u32, u32, u64)>, placeholder: String },
    Fault(PhotoFault),
}

impl From<Header> for Head {
    fn from(header: Header) -> Head {
        let Header { width, height, exif: ExifFacts { turn, taken }, needs } = header;
        Head::Header { width, height, turn: turn.exif(), taken, needs }
    }
}

/// The header that an answer tells, if it is one.
pub(super) fn header(head: &Head) -> Option<Header> {
    let Head::Header { width, height, turn, taken, needs } = *head else { return None };
    Some(Header { width, height, exif: ExifFacts { turn: Turn::from_exif(turn.into()), taken }, needs })
}

const FORMATS: [Format; 6] =
    [Format::Jpeg, Format::Png, Format::WebP, Format::Gif, Format::Heic, Format::Avif];

pub(super) fn ask(to: &mut impl Write, ask: Ask<'_>) -> io::Result<()> {
    match ask {
        Ask::Header(format, file) => {
            let place = FORMATS.iter().position(|one| *one == format).unwrap_or_default();
            to.write_all(&[b'h', place as u8])?;
            to.write_all(&(file.len() as u64).to_le_bytes())?;
            to.write_all(file)?;
        }
        Ask::Make => to.write_all(b"m")?,
    }
    to.flush()
}

/// The next question; none when nobody will ask any more.
pub(super) fn asked(from: &mut (impl Read + ?Sized)) -> io::Result<Option<Asked>> {
    let mut kind = [0];
    if from.read(&mut kind)? == 0 {
        return Ok(None);
    }
    if kind == *b"m" {
        return Ok(Some(Asked::Make));
    }
    let mut rest = [0; 9];
    from.read_exact(&mut rest)?;
    let [place, length @ ..] = rest;
    let length = u64::from_le_bytes(length);
    let format = FORMATS.get(usize::from(place)).filter(|_| length <= bounds::MOST_BYTES);
    let format = *format.ok_or(io::ErrorKind::InvalidData)?;
    let mut file = Vec::with_capacity(length as usize);
    match from.take(length).read_to_end(&mut file)? as u64 == length {
        true => Ok(Some(Asked::Header(format, file))),
        false => Err(io::ErrorKind::UnexpectedEof.into()),
    }
}

/// Answers a question.
pub(super) fn answer(to: &mut impl Write, head: &Head, renditions: &[&[u8]]) -> io::Result<()> {
    let head = serde_json::to_vec(head)?;
    to.write_all(&(head.len() as u32).to_le_bytes())?;
    to.write_all(&head)?;
    for rendition in renditions {
        to.write_all(rendition)?;
    }
    to.flush()
}

/// The head of the next answer.
pub(super) fn head(from: &mut (impl Read + ?Sized)) -> io::Result<Head> {
    let mut length = [0; 4];
    from.read_exact(&mut length)?;
    let length = u32::from_le_bytes(length);
    if length > LONGEST_HEAD {
        return Err(io::ErrorKind::InvalidData.into());
    }
    let mut text = vec![0; length as usize];
    from.read_exact(&mut text)?;
    Ok(serde_json::from_slice(&text)?)
}

/// The renditions behind the head of `Made`.
pub(super) fn made(
    from: &mut (impl Read + ?Sized),
    sizes: Vec<(u32, u32, u64)>,
    placeholder: String,
) -> io::Result<Made> {
    let mut all = Vec::new();
    for (width, height, length) in sizes {
        if length > LONGEST_RENDITION {
            return Err(io::ErrorKind::InvalidData.into());
        }
        let mut file = vec![0; length as usize];
        from.read_exact(&mut file)?;
        all.push((width, height, file));
    }
    Ok(Made { sizes: all, placeholder })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn questions_and_answers_come_as_they_were_sent() {
        let mut pipe = Vec::new();
        ask(&mut pipe, Ask::Header(Format::Heic, b"file")).unwrap();
        ask(&mut pipe, Ask::Make).unwrap();
        let mut from = &pipe[..];
        assert!(matches!(asked(&mut from).unwrap(), Some(Asked::Header(Format::Heic, f)) if f == b"file"));
        assert!(matches!(asked(&mut from).unwrap(), Some(Asked::Make)));
        assert!(asked(&mut from).unwrap().is_none());

        let mut pipe = Vec::new();
        let head_of = |sizes| Head::Made { sizes, placeholder: "data:image/jpeg;base64,AAAA".to_owned() };
        answer(&mut pipe, &head_of(vec![(3, 2, 2), (1, 1, 1)]), &[b"ab", b"c"]).unwrap();
        let mut from = &pipe[..];
        let Head::Made { sizes, placeholder } = head(&mut from).unwrap() else { panic!("not made") };
        let all = made(&mut from, sizes, placeholder).unwrap();
        assert_eq!(all.sizes, [(3, 2, b"ab".to_vec()), (1, 1, b"c".to_vec())]);
    }

    #[test]
    fn what_is_too_long_or_cut_off_is_refused() {
        assert!(asked(&mut &[b'h', 0, 255, 255, 255, 255, 255, 255, 255, 255][..]).is_err());
        assert!(asked(&mut &[b'h', 9, 0, 0, 0, 0, 0, 0, 0, 0][..]).is_err());
        assert!(asked(&mut &[b'h', 0, 9, 0, 0, 0, 0, 0, 0, 0, 1][..]).is_err());
        assert!(head(&mut &[255, 255, 255, 255][..]).is_err());
        assert!(head(&mut &[2, 0, 0, 0, b'{', b'}'][..]).is_err());
        assert!(made(&mut &[][..], vec![(1, 1, LONGEST_RENDITION + 1)], String::new()).is_err());
    }
}
