//! The photo room beside other people's code: Pillow, LittleCMS and exiftool.
//!
//! `tests/oracle/photos.py` makes the input and does the comparing. A missing tool is a failed test, never a
//! skipped one.

mod apart;
mod bent;
mod broken;
mod colour;
mod cut_short;
mod formats;
mod memory;
mod metadata;
mod orientation;
mod quality;
#[allow(dead_code)] // The bench makes all of its photos, tests take one or two.
#[path = "../../benches/photos/sample.rs"]
mod sample;
mod unkept;

use crate::builder::tools;
use benchlight::door::model::photo::Album;
use benchlight::door::model::{PhotoFault, Picture, Renditions};
use benchlight::door::photo;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Input files and what our code made of them.
struct Pass {
    folder: TempDir,
    album: Album,
    /// By the file's name, what look or develop refused.
    faults: BTreeMap<String, PhotoFault>,
    pictures: BTreeMap<String, Picture>,
}

impl Pass {
    /// Has the oracle make a set of files, and looks at and develops all of them.
    fn over(what: &str) -> Pass {
        let folder = tempfile::tempdir().unwrap();
        oracle("make", what, folder.path());
        let mut faults = BTreeMap::new();
        let mut pictures = BTreeMap::new();
        for path in files(folder.path()) {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            match photo::look(&path) {
                Ok(look) => {
                    drop(pictures.insert(name.clone(), Picture { digest: look.digest, path, file: name }))
                }
                Err(fault) => drop(faults.insert(name, fault)),
            }
        }
        let wanted: Vec<Picture> = pictures.values().cloned().collect();
        let (album, failed) = photo::develop(&wanted, &folder.path().join("cache"), &|_, _| ());
        faults.extend(failed.into_iter().map(|(picture, fault)| (picture.file, fault)));
        Pass { folder, album, faults, pictures }
    }

    fn renditions(&self, name: &str) -> &Renditions {
        let picture =
            self.pictures.get(name).unwrap_or_else(|| panic!("{name}: {:?}", self.faults.get(name)));
        let fault = || panic!("{name}: {:?}", self.faults.get(name));
        self.album.get(&picture.digest).unwrap_or_else(fault)
    }

    /// What the oracle says of the widest rendition of each file, by the file's name.
    fn compared(&self, what: &str) -> BTreeMap<String, Vec<f64>> {
        let pairs = self.pictures.values().filter_map(|picture| {
            let widest = self.album.get(&picture.digest)?.sizes.first()?;
            Some(format!("{}\t{}\n", picture.path.display(), widest.path.display()))
        });
        let pairs: String = pairs.collect();
        benchlight::door::base::files::replace(&self.folder.path().join("pairs.txt"), pairs.as_bytes())
            .unwrap();
        let told = oracle("compare", what, self.folder.path());
        let line = |line: &str| {
            let mut words = line.split(' ');
            let name = words.next().unwrap().to_owned();
            (name, words.map(|word| word.parse().unwrap()).collect())
        };
        told.lines().map(line).collect()
    }
}

/// The files of a folder, by name.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.is_file());
    files.sort();
    files
}

/// What the oracle prints.
fn oracle(verb: &str, what: &str, folder: &Path) -> String {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle/photos.py");
    tools::printed(tools::python().arg(script).args([verb, what]).arg(folder))
}
