//! Which files at a host are ours although no record says so, for a place that is read from afar; and what their paths
//! tell of them. The marks are those of the output folder (`base::ours`).
//!
//! # Three sides
//!
//! `plan` compares what is here, what the host lists, and what we noted that we put there (`record`, in `.benchlight/posted/`, one a place). The host's list comes
//! first and always: so that a file of somebody else's is seen before anything is written over it, what somebody else took away comes
//! back, and a lost record heals. A list of ours *at the host* was weighed and left: it would name every private address in a place that
//! is public by its nature.
//!
//! | at the host | here | what follows |
//! |---|---|---|
//! | the record knows it, the host's mark (entity tag, else time) and length are those noted, the digest is that of here | there | nothing |
//! | its entity tag is the MD5 of what is here; or no record knows it, its name is made of the digest of what is here, and the length fits | there | nothing, and it is noted |
//! | the record knows it and nobody laid theirs over it, or it carries this shop's own mark, or it lies at a private address of `public/` | there | put |
//! | anything else | there | somebody else's is in the way: nothing is touched, exit 2, until the owner says `--even-so` |
//! | the record knows it and the mark is the same; or its bytes are ours, by digest or mark, or by a name made of them where a page of this shop vouches (`whose`) | not there | taken away |
//! | it lies at a private address that this shop ever put anything at, and is shaped like ours | not there | taken away |
//! | a draft of ours (`.NAME.benchlight-draft`) | | taken away |
//! | anything else | not there | left; what had to be read to be told is noted, and not read again |

use crate::base::digest::Digest;
use crate::base::ours::{is_content_name, is_marked_kind};

/// How a file could be known as ours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// By a mark near its beginning.
    Marked,
    /// By its name, which is made of its bytes.
    Named,
    /// By nothing.
    Foreign,
}

/// How the file at `path` could be known as ours.
pub fn shape(path: &str) -> Shape {
    let name = path.rsplit('/').next().unwrap_or(path);
    match name.rsplit_once('.') {
        Some((_, ending)) if is_marked_kind(ending) => Shape::Marked,
        Some((stem, _)) if mark_in(stem).is_some() => Shape::Named,
        _ => Shape::Foreign,
    }
}

/// Whether a file is named by the content that has this digest.
pub fn is_named_by(path: &str, digest: &Digest) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    let stem = name.rsplit_once('.').map(|(stem, _)| stem);
    stem.and_then(mark_in).is_some_and(|mark| mark == digest.short())
}

/// The sixteen digits in `look-0123456789abcdef` or `0123456789abcdef`.
fn mark_in(stem: &str) -> Option<&str> {
    let mark = stem.rsplit_once('-').map_or(stem, |(_, mark)| mark);
    is_content_name(mark).then_some(mark)
}

/// Whether a name is that of a file on its way to its place: `.index.html.benchlight-draft`.
pub fn is_draft(name: &str) -> bool {
    name.starts_with('.') && name.ends_with(".benchlight-draft")
}

/// The name under which a file lies until it is whole.
pub fn draft(path: &str) -> String {
    match path.rsplit_once('/') {
        Some((folder, name)) => format!("{folder}/.{name}.benchlight-draft"),
        None => format!(".{path}.benchlight-draft"),
    }
}

/// Whether the path lies under the private addresses.
pub fn is_private(path: &str) -> bool {
    path.starts_with("see/") && path != COVER
}

/// The page that keeps a server from listing the private addresses: it is there before the first of them, and
/// goes after the last.
pub const COVER: &str = "see/index.html";

/// The private address that a path lies under: a name under `see/` as only a shop's key gives them, 16 symbols of base32 (a
/// sealed page) or 26.
pub fn address_in(path: &str) -> Option<&str> {
    let (address, _) = path.strip_prefix("see/")?.split_once('/')?;
    let symbol = |b: u8| b"0123456789abcdefghjkmnpqrstvwxyz".contains(&b);
    ([16, 26].contains(&address.len()) && address.bytes().all(symbol)).then_some(address)
}

/// Whether it is a page, in the sense of the order: something that leads to other files.
pub fn is_page(path: &str) -> bool {
    path.ends_with(".html") || path.ends_with(".xml") || path.ends_with(".txt")
}

/// The folder of a path, with its slash; the root is nothing.
pub fn folder_of(path: &str) -> &str {
    path.trim_end_matches('/').rfind('/').map_or("", |at| &path[..=at])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ours_is_known_by_mark_or_name() {
        assert_eq!(shape("see/abc/index.html"), Shape::Marked);
        assert_eq!(shape("look-0123456789abcdef.css"), Shape::Named);
        assert_eq!(shape("a/0123456789abcdef.jpg"), Shape::Named);
        assert_eq!(shape("a/holiday.jpg"), Shape::Foreign);
        let digest = Digest::of(b"x");
        assert!(is_named_by(&format!("a/{}.jpg", digest.short()), &digest));
        assert!(!is_named_by("a/0123456789abcdef.jpg", &digest));
    }

    #[test]
    fn drafts_and_folders_are_told() {
        assert_eq!(draft("see/a/index.html"), "see/a/.index.html.benchlight-draft");
        assert!(is_draft(".index.html.benchlight-draft") && !is_draft("index.html"));
        assert_eq!((folder_of("a/b/c"), folder_of("a/b/"), folder_of("c")), ("a/b/", "a/", ""));
        assert!(is_private("see/a/index.html") && !is_private(COVER));
        assert_eq!(address_in("see/0123456789abcdefghjkmnpqrs/x"), Some("0123456789abcdefghjkmnpqrs"));
        let sealed = "see/0123456789abcdef/0123456789abcdefghjkmnpqrs.bin";
        assert_eq!(address_in(sealed), Some("0123456789abcdef"));
        assert_eq!(address_in("see/short/x").or(address_in("see/0123456789abcdefghjkmnpqrs")), None);
    }
}
