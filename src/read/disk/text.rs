//! A text file's bytes become a [`Source`]: UTF-8, no byte order mark, not empty, not huge.
//!
//! What stands in the text is read by the other files of this room.

use crate::base::files;
use crate::problem::{Code, Problem, Source};
use std::io::ErrorKind;
use std::path::Path;

/// The largest text that is read: far more than a person writes, little enough to hold twice.
const LIMIT: u64 = 1 << 20;

/// The text at `path`, which messages call `file`.
pub(in crate::read) fn read(path: &Path, file: &str) -> Result<Source, Problem> {
    match files::read_up_to(path, LIMIT) {
        Ok(bytes) => source_of(bytes, file),
        Err(error) if error.cause.kind() == ErrorKind::FileTooLarge => {
            let problem =
                Problem::new(Code::FileTooLarge, "the file is larger than any text that a person writes")
                    .hint("is it a photo or another program's file? move it out of this folder");
            Err(super::folder::at(problem, file))
        }
        Err(error) => {
            let problem =
                Problem::new(Code::Unreadable, format!("the file could not be read ({})", error.cause))
                    .hint("look whether it opens on this computer, and whether the sync has finished");
            Err(super::folder::at(problem, file))
        }
    }
}

pub(in crate::read) fn source_of(mut bytes: Vec<u8>, file: &str) -> Result<Source, Problem> {
    if bytes.starts_with(b"\xef\xbb\xbf") {
        bytes.drain(..3);
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        let problem = Problem::new(Code::EmptyFile, "the file has nothing in it")
            .hint("fill it in, bring it back from a backup, or remove it");
        return Err(super::folder::at(problem, file));
    }
    if bytes.starts_with(b"{\\rtf") {
        let problem = Problem::new(Code::NotText, "the file is saved as rich text (RTF), not as plain text")
            .hint("in your editor choose plain text, and save the file again under the same name");
        return Err(problem.at(Source::new(file, "").place(&(0..0))));
    }
    if let Some(text) = from_utf16(&bytes) {
        return Ok(Source::new(file, text));
    }
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let problem = Problem::new(Code::NotText, "the file is not saved as plain text but as UTF-16")
            .hint("save the file again as plain text (UTF-8)");
        return Err(problem.at(Source::new(file, "").place(&(0..0))));
    }
    if let Some(at) = bytes.iter().position(|b| *b == 0) {
        let shown = Source::new(file, String::from_utf8_lossy(&bytes[..at]));
        let problem = Problem::new(Code::NotText, "the file holds something else than text").hint(
            "is it a photo or another program's file under this name? text is saved as plain text (UTF-8)",
        );
        // Bytes before the zero may be no text either; then the earlier place is the right one.
        let end = std::str::from_utf8(&bytes[..at]).map_or_else(|e| e.valid_up_to(), str::len);
        return Err(problem.at(shown.place(&(end..end))));
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok(Source::new(file, text)),
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            // Up to the first bad byte the two texts are the same, so its place is the same as well.
            let shown = Source::new(file, String::from_utf8_lossy(error.as_bytes()));
            let problem = Problem::new(Code::NotText, "a letter here is not saved as plain text")
                .hint("save the file again as plain text (UTF-8), then type this letter again");
            Err(problem.at(shown.place(&(at..at + '\u{fffd}'.len_utf8()))))
        }
    }
}

/// Text as some editors on Windows save it: UTF-16 with its byte order mark (Unicode Standard, 23.8).
fn from_utf16(bytes: &[u8]) -> Option<String> {
    let (order, rest) = bytes.split_at_checked(2)?;
    let unit: fn([u8; 2]) -> u16 = match order {
        b"\xff\xfe" => u16::from_le_bytes,
        b"\xfe\xff" => u16::from_be_bytes,
        _ => return None,
    };
    let (pairs, odd) = rest.as_chunks::<2>();
    let text = String::from_utf16(&pairs.iter().map(|pair| unit(*pair)).collect::<Vec<_>>()).ok()?;
    (odd.is_empty() && !text.contains('\0') && !text.trim().is_empty()).then_some(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(bytes: &[u8]) -> Result<String, (Code, String)> {
        let told = |p: Problem| (p.code, p.place.unwrap().short());
        source_of(bytes.to_vec(), "a.toml").map(|s| s.text.to_string()).map_err(told)
    }

    #[test]
    fn a_byte_order_mark_is_dropped_and_line_ends_stay() {
        assert_eq!(code(b"\xef\xbb\xbfa = 1\r\n"), Ok("a = 1\r\n".to_owned()));
    }

    #[test]
    fn what_is_no_text_is_pointed_at() {
        assert_eq!(code(b"a = 1\nb = \"\xe9\"\n"), Err((Code::NotText, "a.toml:2:6".into())));
        assert_eq!(code(b"ok\nab\0c"), Err((Code::NotText, "a.toml:2:3".into())));
        assert_eq!(code(b"\xff\xfea\0=\0"), Ok("a=".into()));
        assert_eq!(code(b"\xfe\xff\0a\0="), Ok("a=".into()));
        // Half a letter, and half of a pair.
        assert_eq!(code(b"\xff\xfea\0="), Err((Code::NotText, "a.toml:1:1".into())));
        assert_eq!(code(b"\xff\xfe\0\xd8"), Err((Code::NotText, "a.toml:1:1".into())));
        assert_eq!(code(b"{\\rtf1 a}"), Err((Code::NotText, "a.toml:1:1".into())));
        assert_eq!(code(b"a\xe2\x82"), Err((Code::NotText, "a.toml:1:2".into())));
    }

    #[test]
    fn nothing_is_nothing() {
        for empty in [&b""[..], b"\xef\xbb\xbf", b" \r\n\t\n"] {
            assert_eq!(code(empty), Err((Code::EmptyFile, "a.toml".into())));
        }
    }
}
