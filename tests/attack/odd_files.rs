//! What lies where a file should: links to elsewhere, pipes, sockets, folders, what nobody may read.

use super::ground::{Ground, JOB};
use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::os::unix::net::UnixListener;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Places that something is read from.
const PLACES: [&str; 18] = [
    "content/jobs/26-077 CANARYFOLDER gobbler/20260512 x.jpg",
    "content/jobs/26-077 CANARYFOLDER gobbler/job.toml",
    "content/jobs/26-077 CANARYFOLDER gobbler",
    "content/pages/bench.jpg",
    "content/pages/bench.md",
    "content/pages/extra.md",
    "content/showroom/turkey/half-strut/2 side.jpg",
    "content/showroom/turkey/half-strut/about.md",
    "content/showroom/turkey",
    "content/routes/turkey-full.toml",
    "content/partners.toml",
    "content/shop.toml",
    "themes/hangtag/look.css",
    "themes/hangtag/front.html",
    "themes/hangtag/words.toml",
    "themes/hangtag/extra.css",
    ".benchlight/lock",
    "print",
];

/// Takes away what lies at a place of the shop.
fn cleared(ground: &Ground, place: &str) -> PathBuf {
    let at = ground.at(place);
    fs::create_dir_all(at.parent().unwrap()).unwrap();
    match fs::symlink_metadata(&at) {
        Ok(facts) if facts.is_dir() => fs::remove_dir_all(&at).unwrap(),
        Ok(_) => fs::remove_file(&at).unwrap(),
        Err(_) => {}
    }
    at
}

/// A link: to the key, to somebody else's, to a photo that is not to be shown, to what never ends, round in a circle.
pub fn links(ground: &mut Ground) -> Result<(), String> {
    let place = *ground.dice.one(&PLACES);
    let hidden = format!("{JOB}/not shown/CANARYHIDDEN.jpg");
    let targets = [
        ground.at("content/shop.key"),
        ground.at("post.key"),
        ground.at(&hidden),
        ground.at(&format!("{JOB}/job.toml")),
        ground.base().join("outside/books.txt"),
        ground.base().join("outside"),
        ground.at("content"),
        ground.at("public"),
        PathBuf::from("/dev/zero"),
        PathBuf::from("/etc/hostname"),
        PathBuf::from("x"),
    ];
    let target = ground.dice.one(&targets).clone();
    // A device has no end.
    let is_small = fs::metadata(&target).is_ok_and(|facts| facts.is_file() && facts.len() < 4000);
    let secret = if is_small { fs::read(&target).ok() } else { None };
    let at = cleared(ground, place);
    ground.did(format!("{place} -> {}", target.display()));
    symlink(&target, &at).unwrap();
    super::texts::is_read(ground)?;
    // Whatever a link leads to outside, and the key, are not what the owner wrote.
    let published = super::claims::plain_files(&ground.at("public"));
    let holds = |bytes: &[u8], all: &[u8]| all.windows(bytes.len().max(1)).any(|part| part == bytes);
    if let Some(secret) = secret.filter(|bytes| bytes.len() > 8 && !target.starts_with(ground.at("public"))) {
        let strangers = published
            .iter()
            .filter(|(path, _)| !ground.strangers.contains_key(&ground.at("public").join(path)));
        if let Some((path, _)) = strangers.into_iter().find(|(_, bytes)| holds(secret.trim_ascii(), bytes)) {
            return Err(format!("a link's target is published: {} as {path}", target.display()));
        }
    }
    ground.heal()
}

/// A pipe, a socket, a folder, a device's name, a file that nobody may read.
pub fn odd(ground: &mut Ground) -> Result<(), String> {
    let place = *ground.dice.one(&PLACES);
    let at = cleared(ground, place);
    let what = put_odd(ground, &at);
    ground.did(format!("{place} is {what}"));
    super::texts::is_read(ground)?;
    ground.run(&["proof"])?;
    if ground.dice.below(2) == 0 {
        ground.run(&["post", "--dry"])?;
    }
    cleared(ground, place);
    ground.heal()
}

/// Something odd comes to lie at a place that is free; what it is.
pub fn put_odd(ground: &mut Ground, at: &Path) -> &'static str {
    match ground.dice.below(5) {
        0 => {
            assert!(Command::new("mkfifo").arg(at).status().unwrap().success());
            "a pipe"
        }
        1 => {
            // A name that is too long for a socket stays free.
            drop(UnixListener::bind(at));
            "a socket"
        }
        2 => {
            fs::create_dir_all(at.join("in/it")).unwrap();
            "a folder"
        }
        3 => {
            super::ground::put_at(at, b"x");
            fs::set_permissions(at, fs::Permissions::from_mode(0o000)).unwrap();
            "closed to all"
        }
        _ => {
            symlink("/dev/full", at).unwrap();
            "a device"
        }
    }
}
