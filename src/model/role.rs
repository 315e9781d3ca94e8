//! What a file of the site is, said once: everything that is done with a file because of what it is follows from its role.
//! How long it may be kept, what is told to search engines, how one of ours is known where no record says so, and
//! (`write_order`) in which order files come and go.
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

#[cfg(test)]
mod tests;
