//! Looking into a rendered site: its pages, parsed by an HTML5 parser, and where their links lead.

use super::example::Example;
use benchlight::door::model::{Body, DraftSite};
use benchlight::door::problem::Problem;
use benchlight::door::render;
use scraper::{Html, Selector};
use std::path::Path;

/// The site of an example and the notes on it.
pub fn made(example: &Example) -> (DraftSite, Vec<Problem>) {
    let nowhere = tempfile::tempdir().unwrap();
    let (theme, _) = render::theme::load(nowhere.path()).unwrap();
    let (site, notes) = example.site(&theme).unwrap();
    (site, notes.into_iter().collect())
}

/// The bytes of a file of the site.
pub fn bytes(site: &DraftSite, path: &str) -> Vec<u8> {
    match &site.files.get(path).unwrap_or_else(|| panic!("no {path}")).body {
        Body::Bytes(bytes) => bytes.clone(),
        Body::Cached { path, .. } => std::fs::read(path).unwrap(),
    }
}

pub fn text(site: &DraftSite, path: &str) -> String {
    String::from_utf8(bytes(site, path)).unwrap()
}

/// Every page with its HTML.
pub fn pages(site: &DraftSite) -> Vec<(String, String)> {
    let names = site.files.keys().filter(|path| path.ends_with(".html"));
    names.map(|path| (path.clone(), text(site, path))).collect()
}

/// Whether it is of a job: the page of the folder itself shows none.
pub fn is_private(path: &str) -> bool {
    path.starts_with("see/") && path != "see/index.html"
}

/// Every address that a page names, with the element and attribute that names it.
pub fn addresses(html: &str) -> Vec<(String, String, String)> {
    let page = Html::parse_document(html);
    let mut found = Vec::new();
    for element in page.select(&Selector::parse("*").unwrap()) {
        let name = element.value().name();
        for (attribute, value) in element.value().attrs() {
            match attribute {
                "href" | "src" | "action" | "data" | "poster" | "formaction" | "xlink:href" => {
                    found.push((name.to_owned(), attribute.to_owned(), value.to_owned()));
                }
                "srcset" => found.extend(value.split(", ").map(|part| {
                    let address = part.split(' ').next().unwrap_or_default();
                    (name.to_owned(), attribute.to_owned(), address.to_owned())
                })),
                _ => {}
            }
        }
    }
    found
}

/// The file of the site that a relative address on a page leads to.
pub fn target(page: &str, address: &str) -> String {
    let mut steps: Vec<&str> = page.split('/').collect();
    steps.pop();
    for step in address.split('/') {
        match step {
            ".." => {
                steps.pop().unwrap_or_else(|| panic!("{page}: {address} leads out of the site"));
            }
            "." | "" => {}
            other => steps.push(other),
        }
    }
    steps.join("/")
}

/// Writes the site to a folder.
pub fn write(site: &DraftSite, folder: &Path) {
    for path in site.files.keys() {
        benchlight::door::base::files::replace(&folder.join(path), &bytes(site, path)).unwrap();
    }
}
