//! What a file is, by its first bytes. Its name is never asked: phones and chat programs rename freely.

use crate::model::Format;

/// How many bytes of a file's beginning are enough to tell.
pub const HEAD: usize = 64;

/// What a file's first bytes say it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    Picture(Format),
    Video,
    /// Something else, and what to do about it.
    Other(&'static str),
}

/// Tells the kind of a file by its first [`HEAD`] bytes (fewer, if it has no more).
pub fn of(head: &[u8]) -> FileKind {
    let starts = |magic: &[u8]| head.starts_with(magic);
    if starts(b"\xFF\xD8\xFF") {
        FileKind::Picture(Format::Jpeg)
    } else if starts(b"\x89PNG\r\n\x1A\n") {
        FileKind::Picture(Format::Png)
    } else if starts(b"GIF87a") || starts(b"GIF89a") {
        FileKind::Picture(Format::Gif)
    } else if starts(b"RIFF") {
        riff(head)
    } else if head.get(4..8) == Some(b"ftyp".as_slice()) {
        boxed(head)
    } else {
        other(head)
    }
}

/// RIFF (a container of Microsoft's): its form type stands at byte 8.
fn riff(head: &[u8]) -> FileKind {
    match head.get(8..12) {
        Some(b"WEBP") => FileKind::Picture(Format::WebP),
        Some(b"AVI ") => FileKind::Video,
        _ => FileKind::Other("a sound or other recording"),
    }
}

/// ISO/IEC 14496-12: the brands in `ftyp` say for which players and viewers a file is made.
/// Picture brands are those of ISO/IEC 23008-12 (HEIF) and of the AV1 image format.
fn boxed(head: &[u8]) -> FileKind {
    let length = head.first_chunk::<4>().map_or(0, |l| u32::from_be_bytes(*l)) as usize;
    let listed = head.get(16..length.min(head.len())).unwrap_or_default();
    let major = head.get(8..12).into_iter();
    let brands: Vec<&[u8]> = major.chain(listed.chunks_exact(4)).collect();
    let any = |names: &[&[u8; 4]]| brands.iter().any(|b| names.iter().any(|n| n.as_slice() == *b));
    if any(&[b"avif", b"avis"]) {
        FileKind::Picture(Format::Avif)
    } else if any(&[b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"]) {
        FileKind::Picture(Format::Heic)
    } else if any(&[b"crx "]) {
        FileKind::Other("a camera's raw picture; save it as JPEG")
    } else {
        FileKind::Video
    }
}

fn other(head: &[u8]) -> FileKind {
    let starts = |magic: &[u8]| head.starts_with(magic);
    let boxed_as = |name: &[u8]| head.get(4..8) == Some(name);
    if starts(b"\x1A\x45\xDF\xA3")
        || starts(b"\x00\x00\x01\xBA")
        || starts(b"\x00\x00\x01\xB3")
        || starts(b"FLV\x01")
        || [b"moov", b"mdat", b"wide", b"skip"].iter().any(|n| boxed_as(*n))
    {
        return FileKind::Video;
    }
    FileKind::Other(match () {
        () if starts(b"II*\0") || starts(b"MM\0*") || starts(b"IIRO") || starts(b"IIU\0") => {
            "a TIFF or a camera's raw picture; save it as JPEG"
        }
        () if starts(b"\xFF\x0A") || boxed_as(b"JXL ") => "a JPEG XL picture; save it as JPEG",
        () if boxed_as(b"jP  ") => "a JPEG 2000 picture; save it as JPEG",
        () if starts(b"BM") && head.get(6..10) == Some([0; 4].as_slice()) => {
            "a BMP picture; save it as JPEG or PNG"
        }
        () if starts(b"8BPS") => "a Photoshop file; save it as JPEG",
        () if starts(b"%PDF") => "a PDF",
        () if starts(b"PK\x03\x04") => "a ZIP archive; take the pictures out of it",
        () if starts(b"ID3") || starts(b"OggS") || starts(b"fLaC") => "a sound recording",
        () if is_text(head) => "text, not a picture",
        () => "no picture of a kind that is known here",
    })
}

fn is_text(head: &[u8]) -> bool {
    // The last letter may be cut through.
    let whole = std::str::from_utf8(head).map_or_else(|e| e.error_len().is_none(), |_| true);
    whole && head.iter().all(|b| matches!(b, b'\t' | b'\n' | b'\r' | 0x20..=0x7E | 0x80..))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_told_by_their_first_bytes() {
        // Magic numbers: ISO/IEC 10918-1, ISO/IEC 15948, GIF89a, RFC 9649, ISO/IEC 14496-12, RFC 9559.
        for (head, kind) in [
            (&b"\xFF\xD8\xFF\xE0\x00\x10JFIF"[..], FileKind::Picture(Format::Jpeg)),
            (b"\x89PNG\r\n\x1A\n\0\0\0\rIHDR", FileKind::Picture(Format::Png)),
            (b"GIF89a\x01\0\x01\0", FileKind::Picture(Format::Gif)),
            (b"RIFF\x24\0\0\0WEBPVP8 ", FileKind::Picture(Format::WebP)),
            (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", FileKind::Picture(Format::Heic)),
            (b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic", FileKind::Picture(Format::Heic)),
            (b"\0\0\0\x1Cftypmif1\0\0\0\0mif1avifmiaf", FileKind::Picture(Format::Avif)),
            (b"\0\0\0\x18ftypmp42\0\0\0\0isommp42", FileKind::Video),
            (b"\0\0\0\x14ftypqt  \0\0\0\0qt  ", FileKind::Video),
            (b"\x1A\x45\xDF\xA3\x9F\x42\x86", FileKind::Video),
            (b"RIFF\x24\0\0\0AVI LIST", FileKind::Video),
            (b"II*\0\x08\0\0\0", FileKind::Other("a TIFF or a camera's raw picture; save it as JPEG")),
            (b"<html><body>", FileKind::Other("text, not a picture")),
            (b"\xFF\xD8", FileKind::Other("no picture of a kind that is known here")),
            (b"\0\0\0\xFFftyp", FileKind::Video),
        ] {
            assert_eq!(of(head), kind, "{:?}", String::from_utf8_lossy(head));
        }
    }
}
