//! What people see: the pages of the demo shop in a real browser, their colors, weight and words. One page of every kind is looked at.
//!
//! - `look.mjs` drives Debian's Chromium (one browser, many pages) and tells what it saw; `browser.rs` judges: axe-core on phone and desktop by
//!   day and by night, zoom, keyboard, forced colors, stillness, no style, no pictures, other hosts, shift of layout, referrers.
//! - `paper.rs` prints private pages and reads the sheet, `lighthouse.rs` runs Lighthouse, `colors.rs` computes contrast from the style sheets,
//!   `weight.rs` weighs, `reading_level.rs` reads.
//! - `language.rs` makes the demo in German (`words-de.toml` beside it: **a new word of the theme needs its German there**) and from the right.
//!   `tests/render/words.rs` puts all words into another script and looks for what stayed.
//! - `baseline.rs` compares eight pages at three widths with pictures that somebody looked at (`baseline.py` says how much may differ).
//!   `BENCHLIGHT_UPDATE=1 cargo test --test all pages::baseline` writes them anew.

mod baseline;
pub mod browser;
mod colors;
mod language;
mod lighthouse;
mod paper;
mod reading_level;
mod weight;

use crate::builder;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use tempfile::TempDir;
use toml::de::{DeTable, DeValue};

/// A site that was made, in a folder of its own.
pub struct Made {
    _folder: TempDir,
    pub out: PathBuf,
    pub files: BTreeMap<String, Vec<u8>>,
}

/// Every text of a word file by its dotted key.
pub fn texts(file: &str) -> BTreeMap<String, String> {
    fn walk(prefix: &str, value: &DeValue<'_>, found: &mut BTreeMap<String, String>) {
        match value {
            DeValue::String(text) => {
                found.insert(prefix.to_owned(), text.to_string());
            }
            DeValue::Table(table) => {
                for (key, inner) in table {
                    walk(&format!("{prefix}.{}", key.get_ref()), inner.get_ref(), found);
                }
            }
            DeValue::Array(list) => {
                for (at, inner) in list.iter().enumerate() {
                    walk(&format!("{prefix}.{at}"), inner.get_ref(), found);
                }
            }
            _ => {}
        }
    }
    let mut found = BTreeMap::new();
    for (key, value) in DeTable::parse(file).unwrap().get_ref() {
        walk(key.get_ref(), value.get_ref(), &mut found);
    }
    found
}

/// The demo shop with other words, in another language.
pub fn made_in(language: &str, words: &str) -> Made {
    demo();
    let shop = builder::TestShop::empty();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    // The photos that are developed already come with it.
    for folder in ["content", ".benchlight/photos"] {
        for (path, bytes) in builder::tree(&root.join(folder)) {
            shop.file(&format!("{folder}/{path}"), bytes);
        }
    }
    shop.edit("content/shop.toml", "language = \"en-US\"", &format!("language = \"{language}\""));
    shop.file("themes/hangtag/words.toml", words);
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("site");
    make(shop.path(), &out);
    Made { files: builder::tree(&out), out, _folder: folder }
}

fn make(shop: &Path, out: &Path) {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command.arg("--shop").arg(shop).arg("make").arg("--out").arg(out).env_remove("SOURCE_DATE_EPOCH");
    let output = builder::tools::run(&mut command);
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{told}");
}

/// The demo shop as it is, made once.
pub fn demo() -> &'static Made {
    static DEMO: OnceLock<Made> = OnceLock::new();
    DEMO.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("site");
        make(Path::new(env!("CARGO_MANIFEST_DIR")), &out);
        Made { files: builder::tree(&out), out, _folder: folder }
    })
}

impl Made {
    pub fn text(&self, path: &str) -> &str {
        let bytes = self.files.get(path).unwrap_or_else(|| panic!("there is no {path}"));
        std::str::from_utf8(bytes).unwrap()
    }

    /// One private page for each stage there is, by the stage's word, in the order of their addresses.
    pub fn private(&self) -> BTreeMap<String, String> {
        let mut found = BTreeMap::new();
        for (path, bytes) in self.files.iter().filter(|(path, _)| path.starts_with("see/")) {
            let text = String::from_utf8_lossy(bytes);
            if let Some((_, behind)) = text.split_once("class=\"stamp ") {
                let stage = behind.split('"').next().unwrap_or_default().to_owned();
                found.entry(stage).or_insert_with(|| path.clone());
            }
        }
        found
    }

    /// One page of every kind: its name and path.
    pub fn kinds(&self) -> Vec<(String, String)> {
        let public = [
            ("front", "index.html"),
            ("showroom", "showroom/index.html"),
            ("animal", "showroom/turkey/index.html"),
            ("beside", "showroom/turkey/side-by-side.html"),
            ("counter", "showroom/counter.html"),
            ("pose", "showroom/turkey/full-strut/index.html"),
            ("own-page", "field-care/index.html"),
            ("missing", "404.html"),
            ("see", "see/index.html"),
        ];
        let public = public.map(|(name, path)| (name.to_owned(), path.to_owned()));
        public.into_iter().chain(self.private()).collect()
    }
}
