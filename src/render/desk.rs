//! What every page is made from, and the one way in which a page becomes a file.

use super::markdown::Around;
use super::minify::minified;
use super::paths;
use super::theme::Theme;
use crate::base::digest::Digest;
use crate::base::money::Money;
use crate::model::photo::Album;
use crate::model::{Body, Owner, Piece, Shop, Worked};
use crate::problem::Problems;
use serde::Serialize;
use std::collections::BTreeSet;

/// The whole of what pages are made from.
pub struct Desk<'a> {
    pub shop: &'a Shop,
    pub worked: &'a Worked,
    pub album: &'a Album,
    pub theme: &'a Theme,
    /// The name of the style sheet: by what it holds, so that an old one is never shown with a new page.
    pub style: String,
    /// Every page that anybody may be led to.
    pub pages: BTreeSet<String>,
}

impl<'a> Desk<'a> {
    pub fn new(shop: &'a Shop, worked: &'a Worked, album: &'a Album, theme: &'a Theme) -> Desk<'a> {
        let style = format!("look-{}.css", Digest::of(theme.look().as_bytes()).short());
        Desk { shop, worked, album, theme, style, pages: public_pages(shop) }
    }

    /// A page as a file of the site.
    pub fn page(
        &self,
        path: &str,
        template: &str,
        view: &impl Serialize,
        owner: Owner,
    ) -> Result<(String, Piece), Problems> {
        let html = minified(&self.theme.render(template, view)?);
        Ok((path.to_owned(), Piece { body: Body::Bytes(html.into_bytes()), owner }))
    }

    /// An amount of the shop's currency in words.
    pub fn money(&self, money: Money) -> String {
        self.theme.amounts.money(money, self.shop.studio.money.currency)
    }

    /// What Markdown without pictures of its own needs to know.
    pub fn around<'b>(&'b self, root: &'b str, heading: usize) -> Around<'b> {
        Around { root, pages: &self.pages, heading, picture: &|_| None }
    }
}

/// The pages of the shop, the showroom and the owner; never a private one.
fn public_pages(shop: &Shop) -> BTreeSet<String> {
    let mut pages = BTreeSet::from(["index.html".to_owned()]);
    for pose in &shop.poses {
        pages.insert(paths::SHOWROOM.to_owned());
        pages.insert(paths::animal(&pose.animal));
        pages.insert(paths::pose(&pose.animal, &pose.key));
    }
    pages.extend(shop.pages.iter().map(|page| paths::page(&page.key)));
    pages
}
