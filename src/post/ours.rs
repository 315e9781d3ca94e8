//! Which files at a host are ours although no record says so, for a place that is read from afar. What a path tells is
//! `model::role`'s; the marks are those of the output folder (`base::ours`).
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
use crate::base::files;
use crate::base::site_path::{folder_of, name_of};
use crate::model::role::content_name;

/// Whether a file is named by the content that has this digest.
pub fn is_named_by(path: &str, digest: &Digest) -> bool {
    content_name(path).is_some_and(|name| name == digest.short())
}

/// Whether a path is that of a file on its way to its place.
pub fn is_draft(path: &str) -> bool {
    files::is_draft_name(name_of(path))
}

/// The path under which a file lies until it is whole.
pub fn draft(path: &str) -> String {
    format!("{}{}", folder_of(path), files::draft_name(name_of(path)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_drafts_are_told() {
        let digest = Digest::of(b"x");
        assert!(is_named_by(&format!("a/{}.jpg", digest.short()), &digest));
        assert!(!is_named_by("a/0123456789abcdef.jpg", &digest));
        assert_eq!(draft("see/a/index.html"), "see/a/.index.html.benchlight-draft");
        assert_eq!(draft("index.html"), ".index.html.benchlight-draft");
        assert!(is_draft("see/a/.index.html.benchlight-draft") && !is_draft("see/a/index.html"));
    }
}
