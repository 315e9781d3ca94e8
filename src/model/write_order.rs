//! In which order files of the site are written and taken away, in the output folder and at a host: said once, by what a
//! file is, for `write` and `post`, which keep to it.

use super::role::{Role, Sealed, Side};

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

impl Role {
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
}
