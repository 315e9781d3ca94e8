//! What a file is sent as, by its name: the same for the preview and for a host.

use super::site_path::stem_and_ending;

/// The media type of a file by its ending, in capitals or not (registry: iana.org/assignments/media-types).
pub fn media_type(path: &str) -> &'static str {
    match stem_and_ending(path).map(|(_, ending)| ending.to_ascii_lowercase()).as_deref() {
        Some("html" | "htm") => HTML,
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

/// That of a page.
pub const HTML: &str = "text/html; charset=utf-8";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_file_that_is_made_has_a_media_type() {
        assert_eq!(media_type("see/a/0123456789abcdef.jpg"), "image/jpeg");
        assert_eq!(media_type("see/a/ready.ics"), "text/calendar; charset=utf-8");
        assert_eq!(media_type("see/a/news.atom"), "application/atom+xml; charset=utf-8");
        assert_eq!((media_type("LOGO.PNG"), media_type("index.html")), ("image/png", HTML));
        assert_eq!(
            (media_type("no-ending"), media_type("x.bin")),
            ("application/octet-stream", "application/octet-stream")
        );
    }
}
