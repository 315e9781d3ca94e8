//! What a host is to tell browsers and search engines of each file, where it takes that down.

use super::ours::{COVER, Shape, is_private, shape};

/// What goes along with a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Headers {
    /// Media types of the registry (iana.org/assignments/media-types).
    pub kind: &'static str,
    /// RFC 9111, section 5.2.2; `immutable` is of RFC 8246.
    pub cache: &'static str,
    /// The word for search engines, if they are to stay away.
    pub robots: Option<&'static str>,
}

/// A year; only for what has another name as soon as it holds something else.
const FOR_LONG: &str = "public, max-age=31536000, immutable";
/// May be kept, and is asked for anew each time.
const ASK_FIRST: &str = "no-cache";
/// Kept by the customer's own browser alone: a store that others share must not outlive a retired address.
const BY_ONE: &str = "private, max-age=31536000, immutable";
/// Kept nowhere.
const NEVER: &str = "private, no-store";

/// The headers of the file at `path`.
pub fn of(path: &str) -> Headers {
    let private = is_private(path);
    let named = shape(path) == Shape::Named;
    Headers {
        kind: kind(path),
        cache: match (private, named) {
            (true, true) => BY_ONE,
            (true, false) => NEVER,
            (false, true) => FOR_LONG,
            (false, false) => ASK_FIRST,
        },
        robots: (private || path == COVER).then_some("noindex, nofollow, noarchive"),
    }
}

fn kind(path: &str) -> &'static str {
    let name = path.rsplit('/').next().unwrap_or(path);
    match name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase()).as_deref() {
        Some("html" | "htm") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js" | "mjs") => "text/javascript; charset=utf-8",
        Some("txt") => "text/plain; charset=utf-8",
        Some("md") => "text/markdown; charset=utf-8",
        Some("csv") => "text/csv; charset=utf-8",
        Some("ics") => "text/calendar; charset=utf-8",
        Some("atom") => "application/atom+xml; charset=utf-8",
        Some("xml") => "application/xml; charset=utf-8",
        Some("json") => "application/json",
        Some("webmanifest") => "application/manifest+json",
        Some("pdf") => "application/pdf",
        Some("jpg" | "jpeg") => "image/jpeg",
        Some("png") => "image/png",
        Some("gif") => "image/gif",
        Some("webp") => "image/webp",
        Some("avif") => "image/avif",
        Some("svg") => "image/svg+xml",
        Some("ico") => "image/vnd.microsoft.icon",
        Some("woff2") => "font/woff2",
        Some("woff") => "font/woff",
        Some("mp4") => "video/mp4",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_named_by_content_is_kept_for_long_and_private_pages_never() {
        assert_eq!(of("look-0123456789abcdef.css").cache, FOR_LONG);
        assert_eq!(of("index.html").cache, ASK_FIRST);
        assert_eq!(of("see/index.html").cache, ASK_FIRST);
        for page in ["see/abc/index.html", "see/abc/ready.ics", "see/abc/news.atom"] {
            assert_eq!(of(page).cache, NEVER);
            assert!(of(page).robots.is_some());
        }
        let photo = of("see/abc/0123456789abcdef.jpg");
        assert_eq!((photo.cache, photo.kind), (BY_ONE, "image/jpeg"));
        assert!(of("showroom/0123456789abcdef.jpg").robots.is_none());
        assert_eq!(of("LOGO.PNG").kind, "image/png");
        assert_eq!(of("no-ending").kind, "application/octet-stream");
    }
}
