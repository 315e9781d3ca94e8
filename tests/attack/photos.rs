//! Photos as strangers and broken cards may leave them; photos full of what must not get out; photos that are taken back.

use super::bend;
use super::ground::{Ground, JOB};
use crate::builder::tools;
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

/// Photos of every kind, and by name those that carry canaries.
type Photos = (Vec<Vec<u8>>, Vec<(String, Vec<u8>)>);

/// Small photos of every format, and some with canaries in every block that a photo can carry, a maker's own note set by
/// exiftool among them; made by `tests/oracle/photos.py`.
static PHOTOS: LazyLock<Photos> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle/photos.py");
    let made = |what: &str| {
        let into = folder.path().join(what);
        tools::printed(tools::python().arg(&script).args(["make", what]).arg(&into));
        let entries = fs::read_dir(&into).unwrap().map(|entry| entry.unwrap().path());
        let mut files: Vec<_> = entries.filter(|path| path.metadata().unwrap().len() < 300_000).collect();
        files.sort();
        let named = |path: std::path::PathBuf| {
            (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(&path).unwrap())
        };
        files.into_iter().map(named).collect::<Vec<_>>()
    };
    let (plain, rich) = (made("formats"), made("metadata"));
    assert!(plain.len() > 10 && rich.iter().any(|(name, _)| name == "maker.jpg"), "{}", rich.len());
    let mut all: Vec<Vec<u8>> =
        plain.into_iter().chain(rich.iter().cloned()).map(|(_, bytes)| bytes).collect();
    all.push(crate::builder::PHONE_PHOTO.to_vec());
    (all, rich)
});

/// One to three bent photos.
pub fn bent(ground: &mut Ground) -> Result<(), String> {
    let places =
        [JOB, "content/pages", "content/showroom/turkey/half-strut", "content/jobs/26-042 Ruell hen"];
    for n in 0..=ground.dice.below(3) {
        let (place, good) = (*ground.dice.one(&places), ground.dice.below(PHOTOS.0.len()));
        let mut bytes = bend::picture(&PHOTOS.0[good], &mut ground.dice);
        if ground.dice.below(40) == 0 {
            // An end without an end.
            bytes.extend(std::iter::repeat_n(0xFF, 3_000_000));
        }
        let ending = *ground.dice.one(&["jpg", "png", "webp", "gif", "heic", "JPG"]);
        ground.did(format!("{place}/20260511 bent {n}.{ending}: photo {good}, {} bytes", bytes.len()));
        ground.put(&format!("{place}/20260511 bent {n}.{ending}"), bytes);
    }
    super::texts::is_read(ground)
}

/// Whole photos, with canaries wherever a photo can carry words.
pub fn canaries(ground: &mut Ground) -> Result<(), String> {
    let (name, bytes) = ground.dice.one(&PHOTOS.1).clone();
    let place = *ground.dice.one(&[JOB, "content/pages", "content/jobs/26-090 Quill gobbler"]);
    ground.did(format!("{place} gets {name}"));
    ground.put(&format!("{place}/20260511 {name}"), &bytes);
    ground.put("content/pages/bench.jpg", &bytes);
    ground.make().map(drop)
}

/// All photos of a piece are taken back while its sheet is broken: they go all the same.
pub fn taken_back(ground: &mut Ground) -> Result<(), String> {
    ground.heal()?;
    let page = sole_page(ground)?;
    let photos = |ground: &Ground| {
        let files = super::claims::plain_files(&ground.at("public"));
        files.into_keys().filter(|path| path.starts_with(&page) && path.ends_with(".jpg")).count()
    };
    if photos(ground) == 0 {
        return Err(format!("the harness itself fell: no photo at {page}"));
    }
    let broken = match ground.dice.below(4) {
        0 => bend::text(&ground.whole(&format!("{JOB}/job.toml")), &mut ground.dice),
        1 => Vec::new(),
        2 => b"customer = \"Ada".to_vec(),
        _ => [ground.whole(&format!("{JOB}/job.toml")), b"\nphonee = 5\n".to_vec()].concat(),
    };
    ground.did(format!("{JOB}/job.toml is {:?}", String::from_utf8_lossy(&broken)));
    ground.put(&format!("{JOB}/job.toml"), &broken);
    let (from, name) = (ground.at(&format!("{JOB}/IMG_20260510_101010.jpg")), "IMG_20260510_101010.jpg");
    let way = ground.dice.below(3);
    match way {
        0 => fs::remove_file(&from).unwrap(),
        1 => fs::rename(&from, ground.at(&format!("{JOB}/hide {name}"))).unwrap(),
        _ => fs::rename(&from, ground.at(&format!("{JOB}/not shown/{name}"))).unwrap(),
    }
    ground.did(format!("its photo is {}", ["deleted", "renamed", "moved to `not shown`"][way]));
    let made = ground.make()?;
    match photos(ground) {
        // A job whose link cannot be known any more has no page.
        0 => ground.heal(),
        left => Err(format!(
            "a photo that was taken back stays: {left} files at {page}; make said {}",
            made.told()
        )),
    }
}

/// The folder of the open page of the piece with the canaries.
fn sole_page(ground: &Ground) -> Result<String, String> {
    let files = super::claims::plain_files(&ground.at("public"));
    let of_it = |path: &str, bytes: &[u8]| {
        path.ends_with("index.html") && String::from_utf8_lossy(bytes).contains("26-077")
    };
    let page = files.iter().find(|(path, bytes)| path.starts_with("see/") && of_it(path, bytes));
    let (path, _) = page.ok_or("the harness itself fell: 26-077 has no page")?;
    Ok(path.trim_end_matches("index.html").to_owned())
}
