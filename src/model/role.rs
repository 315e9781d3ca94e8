//! What a file of the site is, said once: everything that is done with a file because of what it is follows from its role.
//! In which order files come and go, how a host and the preview send them, how long they may be kept, what is told to search
//! engines, and how one of ours is known where no record says so.
//!
//! The role is told by the path; which sealed file holds a page, only the site knows. Who puts and removes files is `write`'s
//! and `post`'s.

use crate::base::ours;
use crate::base::site_path::{COVER, FRONT, SEALED_ADDRESS, address_in, is_private, stem_and_ending};
use std::collections::BTreeSet;

/// Whether everybody is led to a file, or only who was given its address.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Public,
    Private,
}

/// What a sealed file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sealed {
    /// A page, which leads to the others beside it.
    Page,
    /// What such a page shows.
    Part,
    /// One of the two: the path alone does not tell.
    Untold,
}

/// What a file of the site is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// The page that stands in the folder of the private pages and shows none of them.
    Cover,
    FrontPage,
    Page(Side),
    /// The page that stands in the place of a sealed one and opens it.
    Shell,
    Sealed(Sealed),
    /// A size of a photo, named by its bytes.
    Photo(Side),
    /// A style sheet, named by its bytes.
    Style,
    Calendar(Side),
    Feed(Side),
    /// `robots.txt`.
    Robots,
    /// `sitemap.xml`.
    Sitemap,
    /// What Benchlight makes nothing like: laid there by the owner.
    Other(Side),
}

/// The order in which files come, so that nobody is led to what is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Landing {
    /// Before the first private address.
    Cover,
    /// What pages show. New names, so nothing that stands changes.
    Shown,
    /// New public pages; and new sealed pages, to which a shell leads.
    NewPage,
    /// The front page leads to those.
    NewFrontPage,
    /// Nothing of the site leads to these.
    NewPrivatePage,
    /// What keeps its name and leads to what came.
    Changed,
}

/// The order in which files go, so that nobody is led to what has gone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Going {
    PrivatePage,
    PrivateRest,
    PublicPage,
    PublicRest,
    /// After the last private address.
    Cover,
}

/// How one of ours is known where no record says so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KnownBy {
    /// By a mark near its beginning (`base::ours`).
    Mark,
    /// By its name, which is made of its bytes.
    Name,
    /// By the bytes that every sealed file begins with.
    Seal,
    /// By nothing.
    Nothing,
}

impl Role {
    /// The role of the file at `path`, as far as the path tells it.
    pub fn of(path: &str) -> Role {
        let side = if is_private(path) { Side::Private } else { Side::Public };
        let ending = stem_and_ending(path).map(|(_, ending)| ending);
        match (ending, side) {
            _ if path == COVER => Role::Cover,
            _ if path == FRONT => Role::FrontPage,
            (Some("html"), _) if is_sealed_address(path) => Role::Shell,
            (Some("html"), _) => Role::Page(side),
            (Some("bin"), Side::Private) => Role::Sealed(Sealed::Untold),
            (Some("css"), Side::Public) if content_name(path).is_some() => Role::Style,
            (Some("jpg" | "png" | "webp" | "avif"), _) if content_name(path).is_some() => Role::Photo(side),
            (Some("ics"), _) => Role::Calendar(side),
            (Some("atom"), _) => Role::Feed(side),
            (Some("txt"), Side::Public) => Role::Robots,
            (Some("xml"), Side::Public) => Role::Sitemap,
            _ => Role::Other(side),
        }
    }

    /// The role of a file of a site that knows which of its sealed files hold pages.
    pub fn known(path: &str, sealed_pages: &BTreeSet<String>) -> Role {
        match Role::of(path) {
            Role::Sealed(_) if sealed_pages.contains(path) => Role::Sealed(Sealed::Page),
            Role::Sealed(_) => Role::Sealed(Sealed::Part),
            role => role,
        }
    }

    /// Whether it is read as a page by a browser.
    pub fn is_page(self) -> bool {
        matches!(self, Role::Cover | Role::FrontPage | Role::Page(_) | Role::Shell)
    }

    /// Whether it is the page itself of a private address.
    pub fn is_private_page(self) -> bool {
        matches!(self, Role::Page(Side::Private) | Role::Shell)
    }

    /// Whether it lies under a private address.
    pub fn is_private(self) -> bool {
        use Role::{Calendar, Feed, Other, Page, Photo, Sealed, Shell};
        match self {
            Page(side) | Photo(side) | Calendar(side) | Feed(side) | Other(side) => side == Side::Private,
            Shell | Sealed(_) => true,
            Role::Cover | Role::FrontPage | Role::Style | Role::Robots | Role::Sitemap => false,
        }
    }

    /// When it comes; `new` if nothing of that name stands there.
    pub fn landing(self, new: bool) -> Landing {
        match self {
            Role::Cover => Landing::Cover,
            Role::Photo(_) | Role::Style | Role::Sealed(Sealed::Part) => Landing::Shown,
            Role::Calendar(Side::Public) | Role::Feed(Side::Public) | Role::Other(Side::Public) => {
                Landing::Shown
            }
            // They lead to pages, and nothing leads to them.
            Role::Robots | Role::Sitemap => Landing::Changed,
            _ if !new => Landing::Changed,
            Role::FrontPage => Landing::NewFrontPage,
            Role::Page(Side::Public) | Role::Sealed(Sealed::Page) => Landing::NewPage,
            Role::Page(Side::Private) | Role::Shell => Landing::NewPrivatePage,
            Role::Sealed(Sealed::Untold) | Role::Calendar(_) | Role::Feed(_) | Role::Other(_) => {
                Landing::Shown
            }
        }
    }

    /// When it goes.
    pub fn going(self) -> Going {
        let leads = self.is_page() || matches!(self, Role::Robots | Role::Sitemap);
        match (self, self.is_private()) {
            (Role::Cover, _) => Going::Cover,
            (_, true) if leads => Going::PrivatePage,
            (_, true) => Going::PrivateRest,
            (_, false) if leads => Going::PublicPage,
            (_, false) => Going::PublicRest,
        }
    }

    /// How one of ours is known.
    pub fn known_by(self) -> KnownBy {
        match self {
            Role::Cover | Role::FrontPage | Role::Page(_) | Role::Shell => KnownBy::Mark,
            Role::Calendar(_) | Role::Feed(_) | Role::Robots | Role::Sitemap => KnownBy::Mark,
            Role::Photo(_) | Role::Style => KnownBy::Name,
            Role::Sealed(_) => KnownBy::Seal,
            Role::Other(_) => KnownBy::Nothing,
        }
    }

    /// How long it may be kept on its way to a reader: RFC 9111, section 5.2.2; `immutable` is of RFC 8246.
    pub fn caching(self) -> &'static str {
        match (self.is_private(), self.known_by()) {
            // A year; only for what has another name as soon as it holds something else.
            (false, KnownBy::Name) => "public, max-age=31536000, immutable",
            // By the customer's own browser alone: a store that others share must not outlive a retired address.
            (true, KnownBy::Name) => "private, max-age=31536000, immutable",
            // May be kept, and is asked for anew each time.
            (false, _) => "no-cache",
            // Nowhere.
            (true, _) => "private, no-store",
        }
    }

    /// The word for search engines, if they are to stay away.
    pub fn robots(self) -> Option<&'static str> {
        (self.is_private() || self == Role::Cover).then_some("noindex, nofollow, noarchive")
    }
}

/// Whether a path lies at the address of a sealed page.
fn is_sealed_address(path: &str) -> bool {
    address_in(path).is_some_and(|address| address.len() == SEALED_ADDRESS)
}

/// The digits of what a file holds, in a name that is made of them: `look-0123456789abcdef.css`, `0123456789abcdef.jpg`.
pub fn content_name(path: &str) -> Option<&str> {
    let (stem, ending) = stem_and_ending(path)?;
    let digits = if ending == "css" { stem.strip_prefix("look-")? } else { stem };
    ours::is_content_name(digits).then_some(digits)
}

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
mod tests;
