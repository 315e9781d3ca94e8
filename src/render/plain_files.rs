//! The files that are no pages of the shop: style sheet, robots.txt, sitemap.xml, 404.html, and the
//! page that stands in the folder of the private pages.

use super::Made;
use super::desk::Desk;
use super::markup::in_xml;
use super::minify::{marked, minified};
use super::paths;
use super::view::frame::ShopView;
use crate::base::digest::Digest;
use crate::model::{Body, Owner, SiteFile};
use crate::problem::Problems;
use serde::Serialize;
use std::collections::BTreeMap;

/// All of them.
pub fn make(desk: &Desk<'_>) -> Made {
    let web = desk.shop.studio.web.as_deref();
    let front = format!("{}index.html", paths::root_of(paths::COVER));
    let mut files = vec![
        file(&desk.style, desk.theme.look()),
        file("robots.txt", robots(web)),
        file("404.html", lone_page(desk, "missing.html", web.map(str::to_owned))?),
        file(paths::COVER, lone_page(desk, "see.html", Some(front))?),
    ];
    files.extend(web.map(|web| file("sitemap.xml", sitemap(web, desk))));
    Ok((files, Problems::default()))
}

/// What stands in the place of a page that is held back, by how many folders it lies deep. It tells nothing of any piece.
pub fn stand_ins(desk: &Desk<'_>) -> Result<BTreeMap<usize, Vec<u8>>, Problems> {
    let deep = 1..=DEEPEST_PAGE;
    let page = |depth| {
        let front = format!("{}index.html", "../".repeat(depth));
        Ok((depth, lone_page(desk, "updating.html", Some(front))?.into_bytes()))
    };
    deep.map(page).collect()
}

/// Poses lie three folders deep, and no page lies deeper.
const DEEPEST_PAGE: usize = 3;

fn file(path: &str, text: String) -> (String, SiteFile) {
    (path.to_owned(), SiteFile::new(Body::Bytes(text.into_bytes()), Owner::Shop))
}

/// RFC 9309. Private pages are not named here: that would tell where they are.
fn robots(web: Option<&str>) -> String {
    let sitemap = web.map(|web| format!("\nSitemap: {web}sitemap.xml\n")).unwrap_or_default();
    format!("# made by Benchlight\nUser-agent: *\nAllow: /\n{sitemap}")
}

/// The sitemap protocol, version 0.9 (sitemaps.org): public pages alone, without dates, so that it
/// changes only when there are other pages.
fn sitemap(web: &str, desk: &Desk<'_>) -> String {
    let entry = |page: &String| {
        format!("<url><loc>{}</loc></url>\n", location(&format!("{web}{}", paths::public(page))))
    };
    let entries: String = desk.pages.iter().map(entry).collect();
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- made by Benchlight -->\n<urlset xmlns=\"http://www.sitemaps.org/schemas/sitemap/0.9\">\n{entries}</urlset>\n"
    )
}

/// The sitemap protocol asks for the apostrophe too ("Entity escaping"), which XML does not.
fn location(address: &str) -> String {
    in_xml(address).replace('\'', "&apos;")
}

/// A page that needs nothing beside it, as the one for missing addresses is shown at any depth.
#[derive(Serialize)]
struct LonePage {
    language: String,
    policy: String,
    style: String,
    shop: ShopView,
    /// The way to the front page, if it is known.
    front: Option<String>,
}

fn lone_page(desk: &Desk<'_>, template: &str, front: Option<String>) -> Result<String, Problems> {
    let studio = &desk.shop.studio;
    let style = desk.theme.missing_look().trim().to_owned();
    let policy = format!(
        "default-src 'none'; img-src data:; style-src {}; base-uri 'none'; form-action 'none'",
        Digest::of(style.as_bytes()).in_policy()
    );
    let view =
        LonePage { language: studio.language.clone(), policy, style, shop: ShopView::of(studio), front };
    Ok(marked(minified(&desk.theme.render(template, &view)?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn robots_may_read_and_are_shown_no_private_folder() {
        assert_eq!(robots(None), "# made by Benchlight\nUser-agent: *\nAllow: /\n");
        assert!(robots(Some("https://a.example/")).ends_with("\nSitemap: https://a.example/sitemap.xml\n"));
    }

    #[test]
    fn addresses_are_escaped_in_xml() {
        // sitemaps.org, "Entity escaping".
        assert_eq!(location("a?b=1&c='\"<>"), "a?b=1&amp;c=&apos;&quot;&lt;&gt;");
    }
}
