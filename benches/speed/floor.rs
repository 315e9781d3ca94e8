//! The floor of a full make: every job's text parsed, every page through Tera and the minifier and onto the disk,
//! without any of our logic. The template is the finished page itself, so this is less than any real one takes.

use rayon::prelude::*;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// The pages that stand in a folder.
pub fn pages(folder: &Path) -> Vec<(PathBuf, String)> {
    let mut pages = Vec::new();
    let mut ahead = vec![folder.to_owned()];
    while let Some(next) = ahead.pop() {
        for entry in fs::read_dir(next).unwrap().map(Result::unwrap) {
            if entry.file_type().unwrap().is_dir() {
                ahead.push(entry.path());
            } else if entry.path().extension().is_some_and(|ending| ending == "html") {
                let path = entry.path().strip_prefix(folder).unwrap().to_owned();
                pages.push((path, fs::read_to_string(entry.path()).unwrap()));
            }
        }
    }
    pages
}

/// Reads and parses all jobs, then makes the pages and writes them.
pub fn bare(shop: &Path, pages: &[(PathBuf, String)], out: &Path) {
    let jobs: Vec<PathBuf> =
        fs::read_dir(shop.join("content/jobs")).unwrap().map(|entry| entry.unwrap().path()).collect();
    let keys: usize = jobs
        .par_iter()
        .map(|job| {
            let text = fs::read_to_string(job.join("job.toml")).unwrap();
            toml::de::DeTable::parse(&text).unwrap().get_ref().len()
        })
        .sum();
    assert!(keys > jobs.len());
    let config = minify_html::Cfg::new();
    let mut tera = tera::Tera::new();
    tera.add_raw_template("page.html", "{% if shown %}{{ page | safe }}{% endif %}").unwrap();
    pages.par_iter().for_each(|(path, page)| {
        let context =
            tera::Context::from_serialize(&serde_json::json!({ "page": page, "shown": true })).unwrap();
        let html = minify_html::minify(tera.render("page.html", &context).unwrap().as_bytes(), &config);
        let at = out.join(path);
        fs::create_dir_all(at.parent().unwrap()).unwrap();
        fs::File::create(&at).and_then(|mut file| file.write_all(&html)).unwrap();
    });
}
