//! What a photo's header tells. Nothing is decoded here.

use super::{apart, bounds, decode, kind};
use crate::base::digest::Digest;
use crate::base::files;
use crate::model::{Format, Look, PhotoFault};
use std::io::{self, Read};
use std::path::Path;

/// So much of a JPEG, in bytes, holds all that its header tells: EXIF and the like take 64 kB each at most, and the frame follows
/// (ISO/IEC 10918-1, B.2.1). What need not go to a helper is time saved.
const ENOUGH: usize = 256 << 10;

/// Looks at a file: what it is, how large upright, when it was taken, and the digest of its bytes.
/// It is read once, and a file that is no picture is not read beyond its beginning.
pub fn look(path: &Path) -> Result<Look, PhotoFault> {
    let (format, file) = picture_file(path)?;
    let mut opener = apart::opener();
    let beginning = file.get(..ENOUGH).filter(|_| format == Format::Jpeg);
    let header = match beginning.map(|beginning| opener.header(format, beginning)) {
        Some(Ok(header)) => header,
        // One whose scans are looked through, or with more than usual before its frame.
        _ => opener.header(format, &file)?,
    };
    if header.needs.saturating_add(file.len() as u64) > bounds::ALLOWANCE {
        return Err(PhotoFault::TooLarge(header.width, header.height));
    }
    let (width, height) = header.exif.turn.upright((header.width, header.height));
    let exif_taken = header.exif.taken;
    Ok(Look { digest: Digest::of(&file), format, width, height, exif_taken })
}

/// The bytes of a picture file, and what it is by its first ones.
pub fn picture_file(path: &Path) -> Result<(Format, Vec<u8>), PhotoFault> {
    let unreadable = |error: io::Error| PhotoFault::Unreadable(error.to_string());
    let mut file = files::open(path).map_err(unreadable)?;
    let length = file.metadata().map_err(unreadable)?.len();
    let mut bytes = Vec::new();
    file.by_ref().take(kind::HEAD as u64).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.is_empty() {
        return Err(PhotoFault::Empty);
    }
    let format = match kind::of(&bytes) {
        kind::FileKind::Picture(Format::Avif) => return Err(decode::avif()),
        kind::FileKind::Picture(format) => format,
        kind::FileKind::Video => return Err(PhotoFault::Video),
        kind::FileKind::Other(what) => return Err(PhotoFault::NotShowable(what.to_owned())),
    };
    if length > bounds::MOST_BYTES {
        let megabytes = length / 1_000_000;
        return Err(PhotoFault::NotShowable(format!("{megabytes} MB long, more than a photo has")));
    }
    bytes.reserve_exact((length as usize).saturating_sub(bytes.len()));
    file.take(bounds::MOST_BYTES).read_to_end(&mut bytes).map_err(unreadable)?;
    Ok((format, bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_that_are_no_pictures_say_what_they_are() {
        let folder = tempfile::tempdir().unwrap();
        for (name, bytes, fault) in [
            ("empty.jpg", &b""[..], PhotoFault::Empty),
            ("text.jpg", b"see you on Friday", PhotoFault::NotShowable("text, not a picture".to_owned())),
            ("clip.jpg", b"\0\0\0\x18ftypmp42\0\0\0\0isommp42", PhotoFault::Video),
        ] {
            let path = folder.path().join(name);
            files::replace(&path, bytes).unwrap();
            assert_eq!(look(&path), Err(fault), "{name}");
        }
        assert!(matches!(look(&folder.path().join("none.jpg")), Err(PhotoFault::Unreadable(_))));
        assert!(matches!(look(folder.path()), Err(PhotoFault::Unreadable(_))));
    }
}
