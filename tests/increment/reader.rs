//! A visitor who walks the site without pause: every page is whole, every local link leads somewhere, and what is
//! taken back is gone.
//!
//! The visitor begins at the front page and at every private address that stands, and follows links. A link that
//! leads nowhere is only a fault if the page that it stands on still stands with the same bytes, and so does every page
//! on the way to it: else the visitor was on a page that has been replaced since.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// A page with the pages that led to it.
struct Visit {
    path: PathBuf,
    bytes: Vec<u8>,
    way: Option<std::rc::Rc<Visit>>,
}

/// How the visitor gets a file; nothing if it is not there.
pub type Get<'a> = &'a dyn Fn(&Path) -> Option<Vec<u8>>;

impl Visit {
    fn still_stands(&self, get: Get<'_>) -> bool {
        get(&self.path).is_some_and(|bytes| bytes == self.bytes)
            && self.way.as_ref().is_none_or(|way| way.still_stands(get))
    }
}

/// Walks until told to stop; how many pages were read, or the first fault.
pub fn walk(site: &Path, stop: &AtomicBool) -> Result<usize, String> {
    let mut read = 0;
    while !stop.load(Ordering::Relaxed) {
        read += walk_once(site)?;
    }
    Ok(read)
}

/// One walk through all that can be reached.
pub fn walk_once(site: &Path) -> Result<usize, String> {
    let entries = fs::read_dir(site.join("see")).into_iter().flatten().flatten();
    let private = entries.map(|entry| Path::new("see").join(entry.file_name()).join("index.html"));
    walk_from(private.collect(), &|path| fs::read(site.join(path)).ok())
}

/// One walk from the front page and from these, wherever they lie.
pub fn walk_from(starts: Vec<PathBuf>, get: Get<'_>) -> Result<usize, String> {
    let mut ahead: Vec<(PathBuf, Option<std::rc::Rc<Visit>>)> = vec![("index.html".into(), None)];
    ahead.extend(starts.into_iter().map(|start| (start, None)));
    let mut seen = BTreeSet::new();
    let mut read = 0;
    while let Some((path, way)) = ahead.pop() {
        if !seen.insert(path.clone()) {
            continue;
        }
        let Some(bytes) = get(&path) else {
            // Where nothing led to it, it may have gone or not have come yet.
            match way.filter(|way| way.still_stands(get) && get(&path).is_none()) {
                Some(way) => {
                    return Err(format!(
                        "{} leads to {}, which is not there",
                        shown(&way.path),
                        shown(&path)
                    ));
                }
                None => continue,
            }
        };
        read += 1;
        if path.extension().is_none_or(|ending| ending != "html") {
            whole_asset(&path, &bytes)?;
            continue;
        }
        let text = String::from_utf8(bytes.clone()).map_err(|_| format!("{} is no text", shown(&path)))?;
        if !(text.starts_with("<!doctype html>") && text.ends_with("</html>")) {
            return Err(format!("{} is not whole: {} bytes", shown(&path), text.len()));
        }
        let here = std::rc::Rc::new(Visit { path: path.clone(), bytes, way });
        ahead.extend(links(&text).iter().filter_map(|link| Some((target(&path, link)?, Some(here.clone())))));
    }
    Ok(read)
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}

/// Photos and style sheets are named by what they hold.
fn whole_asset(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let stem = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
    let mark = stem.rsplit('-').next().unwrap_or_default();
    let digest = benchlight::door::base::digest::Digest::of(bytes).hex();
    let named = mark.len() >= 16 && mark.bytes().all(|b| b.is_ascii_hexdigit());
    if named && !digest.starts_with(mark) { Err(format!("{} is not whole", shown(path))) } else { Ok(()) }
}

/// Values of `href` and `src` as the minifier leaves them, with quotes or without.
fn links(page: &str) -> Vec<String> {
    let mut found = Vec::new();
    for name in [" href=", " src="] {
        for rest in page.split(name).skip(1) {
            let quoted = rest.strip_prefix('"').and_then(|rest| rest.split('"').next());
            let value = quoted.or_else(|| rest.split([' ', '>']).next()).unwrap_or_default();
            found.push(value.to_owned());
        }
    }
    found
}

/// The file that a link of a page leads to, if it is one of this site.
fn target(page: &Path, link: &str) -> Option<PathBuf> {
    let link = link.split(['#', '?']).next().unwrap_or_default();
    if link.is_empty() || link.contains(':') {
        return None;
    }
    let mut path: Vec<String> = Vec::new();
    for part in page.parent()?.join(link).components() {
        match part {
            Component::ParentDir => drop(path.pop()),
            Component::Normal(name) => path.push(name.to_string_lossy().into_owned()),
            _ => {}
        }
    }
    let mut path: PathBuf = path.iter().collect();
    if link.ends_with('/') || link == "." || link == ".." {
        path.push("index.html");
    }
    Some(path)
}

#[test]
fn the_visitor_sees_what_is_wrong() {
    let shop = crate::builder::TestShop::healthy();
    shop.make(0);
    let site = shop.at("public");
    let pages = walk_once(&site).unwrap();
    assert!(pages > 8, "{pages}");
    let whole = fs::read(site.join("prices/index.html")).unwrap();
    shop.file("public/prices/index.html", &whole[..whole.len() / 2]);
    assert!(walk_once(&site).unwrap_err().contains("not whole"));
    fs::remove_file(site.join("prices/index.html")).unwrap();
    assert!(walk_once(&site).unwrap_err().contains("which is not there"));
}
