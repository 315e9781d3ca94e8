//! What stands around every page: the shop's name and contact, the menu, the style.

use crate::base::email;
use crate::model::{Page, Studio};
use crate::render::desk::Desk;
use crate::render::paths;
use serde::Serialize;

/// The frame of a page.
#[derive(Clone, Debug, Serialize)]
pub struct Frame {
    pub language: String,
    /// The way up to the site's root: empty, or `../` for each folder.
    pub root: String,
    /// The style sheet's address.
    pub style: String,
    pub policy: String,
    pub title: String,
    /// Whether this is the front page.
    pub front: bool,
    pub shop: ShopView,
    pub menu: Vec<MenuItem>,
}

/// The shop as every page shows it.
#[derive(Clone, Debug, Serialize)]
pub struct ShopView {
    pub name: String,
    pub says: Option<String>,
    pub keeper: Option<String>,
    pub phone: Option<Phone>,
    pub email: Option<Email>,
    pub address: Vec<String>,
    pub visits: Vec<VisitView>,
    pub made_up: bool,
}

/// A phone number to read and to dial.
#[derive(Clone, Debug, Serialize)]
pub struct Phone {
    pub shown: String,
    /// Digits alone, perhaps after a plus; none if it is no number.
    pub dial: Option<String>,
}

/// A mail address to read and to write to.
#[derive(Clone, Debug, Serialize)]
pub struct Email {
    pub shown: String,
    /// The same, if it has the shape of an address.
    pub to: Option<String>,
}

/// When visitors are welcome.
#[derive(Clone, Debug, Serialize)]
pub struct VisitView {
    pub days: String,
    pub hours: String,
}

/// An entry of the menu.
#[derive(Clone, Debug, Serialize)]
pub struct MenuItem {
    /// None for the showroom, whose name is the theme's.
    pub title: Option<String>,
    pub href: String,
    /// Whether this is the page one is on, or one above it.
    pub here: bool,
}

/// Only the site's own pictures and style; nothing runs, nothing is sent. `'self'` also covers
/// files opened straight from disk (tried in Chromium). `data:` is for the stand-ins of photos.
pub const POLICY: &str =
    "default-src 'none'; img-src 'self' data:; style-src 'self'; base-uri 'none'; form-action 'none'";

impl Frame {
    /// The frame of the page at `path`.
    pub fn of(desk: &Desk<'_>, path: &str, title: impl Into<String>) -> Frame {
        let root = paths::root_of(path);
        Frame {
            language: desk.shop.studio.language.clone(),
            style: format!("{root}{}", desk.style),
            policy: POLICY.to_owned(),
            title: title.into(),
            front: path == "index.html",
            shop: ShopView::of(&desk.shop.studio),
            menu: menu(desk, path, &root),
            root,
        }
    }
}

impl ShopView {
    pub fn of(studio: &Studio) -> ShopView {
        let visits = studio.visits.iter().map(|v| VisitView { days: v.days.clone(), hours: v.hours.clone() });
        ShopView {
            name: studio.name.clone(),
            says: studio.says.clone(),
            keeper: studio.keeper.clone(),
            phone: studio.phone.as_deref().map(Phone::of),
            email: studio.email.as_deref().map(Email::of),
            address: studio.address.clone(),
            visits: visits.collect(),
            made_up: studio.made_up.is_some(),
        }
    }
}

impl Phone {
    pub fn of(shown: &str) -> Phone {
        Phone { shown: shown.to_owned(), dial: dial(shown) }
    }
}

impl Email {
    pub fn of(shown: &str) -> Email {
        Email { shown: shown.to_owned(), to: email::is_plain(shown).then(|| shown.to_owned()) }
    }
}

/// The number to dial: RFC 3966 allows digits after an optional plus; signs between them are for the eye.
fn dial(shown: &str) -> Option<String> {
    let usual = |c: char| c.is_ascii_digit() || " -.()/+\u{a0}\u{2011}".contains(c);
    let digits: String = shown.chars().filter(char::is_ascii_digit).collect();
    if digits.len() < 3 || !shown.chars().all(usual) {
        return None;
    }
    let plus = if shown.trim_start().starts_with('+') { "+" } else { "" };
    Some(format!("{plus}{digits}"))
}

fn menu(desk: &Desk<'_>, path: &str, root: &str) -> Vec<MenuItem> {
    let item = |title: Option<String>, target: String| {
        let folder = paths::folder_of(&target);
        let here = !folder.is_empty() && path.starts_with(folder);
        MenuItem { title, href: format!("{root}{target}"), here }
    };
    let showroom = desk.pages.contains(paths::SHOWROOM).then(|| item(None, paths::SHOWROOM.to_owned()));
    let pages = menu_pages(desk).map(|page| item(Some(page.title.clone()), paths::page(&page.key)));
    showroom.into_iter().chain(pages).collect()
}

/// The owner's pages that the menu names, in its order.
fn menu_pages<'a>(desk: &'a Desk<'_>) -> impl Iterator<Item = &'a Page> {
    let find = |key: &String| desk.shop.pages.iter().find(|page| page.key == *key);
    desk.shop.studio.menu.iter().filter_map(find)
}

/// A link to one of the owner's pages.
#[derive(Clone, Debug, Serialize)]
pub struct PageLink {
    pub title: String,
    pub href: String,
}

/// The page on looking after a mount: of those in the menu the first whose name is `care`, begins
/// with `care-` or ends in `-care`; the care of game in the field is another matter.
pub fn care_page(desk: &Desk<'_>, root: &str) -> Option<PageLink> {
    let is_care = |key: &str| {
        (key == "care" || key.starts_with("care-") || key.ends_with("-care")) && !key.contains("field")
    };
    let page = menu_pages(desk).find(|page| is_care(&page.key))?;
    Some(PageLink { title: page.title.clone(), href: format!("{root}{}", paths::page(&page.key)) })
}

/// The page on looking after game in the field: of those in the menu the first whose name says both.
pub fn field_care_page(desk: &Desk<'_>, root: &str) -> Option<PageLink> {
    let page = menu_pages(desk).find(|page| page.key.contains("field") && page.key.contains("care"))?;
    Some(PageLink { title: page.title.clone(), href: format!("{root}{}", paths::page(&page.key)) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_real_numbers_are_dialled() {
        // RFC 3966, section 5.1.1: visual separators carry no meaning.
        assert_eq!(dial("(555) 555-0142").as_deref(), Some("5555550142"));
        assert_eq!(dial("+1 555.555.0142").as_deref(), Some("+15555550142"));
        assert_eq!(dial("ask at the desk"), None);
        assert_eq!(dial("555-0142\" onclick=\"x"), None);
    }
}
