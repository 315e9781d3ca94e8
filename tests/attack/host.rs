//! A host that holds what nobody of us put there, under names that harm; and places that are no place for a site.

use super::ground::{Ground, put_at};
use std::ffi::OsStr;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::symlink;

/// Names as a stranger may choose them.
const NAMES: [&[u8]; 18] = [
    b"a\nb.html",
    b"\x1b]0;owned\x07.html",
    b"\xe2\x80\xaegpj.exe",
    b"not \xff text.html",
    b"...",
    b"a\\b\\..\\c.html",
    b"%2e%2e",
    b"-rf",
    b"$(touch owned).jpg",
    b"CON",
    b" ",
    b".htaccess",
    b".index.html.draft",
    b"0123456789abcdef.jpg",
    b"look-0123456789abcdef.css",
    b"see/0123456789abcdefghjkmnpqrs/index.html",
    b"see/zzzzzzzzzzzzzzzz/x.html",
    b"see/index.html.bak",
];

/// Files of somebody else's at the host, links and pipes among them; a posting leaves them alone, and does its own work.
pub fn hostile(ground: &mut Ground) -> Result<(), String> {
    if ground.dice.below(2) == 0 {
        ground.run(&["post"])?;
    }
    let mut put = Vec::new();
    for _ in 0..=ground.dice.below(4) {
        let name = *ground.dice.one(&NAMES);
        let at = ground.base().join("host").join(OsStr::from_bytes(name));
        if at.exists() {
            continue;
        }
        put_at(&at, b"somebody else's");
        ground.strangers.insert(at.clone(), b"somebody else's".to_vec());
        ground.did(format!("the host holds {:?}", String::from_utf8_lossy(name)));
        put.push(at);
    }
    let odd = ground.base().join("host/odd");
    match ground.dice.below(5) {
        0 => drop(symlink(ground.base().join("outside"), &odd)),
        1 => drop(symlink("odd", &odd)),
        2 => drop(std::process::Command::new("mkfifo").arg(&odd).status()),
        3 => drop(fs::create_dir_all(odd.join("index.html"))),
        _ => {}
    }
    ground.run(&["post", "--dry"])?;
    super::while_running::posted(ground)?;
    ground.claims()?;
    for at in put {
        ground.strangers.remove(&at);
        let _ = fs::remove_file(&at);
    }
    let _ = fs::remove_file(&odd).or_else(|_| fs::remove_dir_all(&odd));
    ground.make()?;
    super::while_running::posted(ground)
}

/// A folder to post to that is, holds or lies in what must not be touched: it is refused, and all stands as it stood.
pub fn places(ground: &mut Ground) -> Result<(), String> {
    const PLACES: [&str; 12] = [
        "..",
        ".",
        "content",
        "content/pages",
        ".benchlight",
        "public",
        "public/see",
        "themes",
        "../outside",
        "../other",
        "../other/public",
        "link",
    ];
    ground.heal()?;
    let place = *ground.dice.one(&PLACES);
    // Another shop of the owner's, with its own site and key, and all of it somebody else's to this one.
    let other = crate::builder::TestShop::healthy_and_quick(true);
    other.key(9);
    other.make(0);
    for (part, files) in [("content", other.tree("content")), ("public", other.tree("public"))] {
        for (path, bytes) in files {
            put_at(&ground.base().join("other").join(part).join(path), &bytes);
        }
    }
    let _ = symlink(ground.base().join("outside"), ground.at("link"));
    let shop = String::from_utf8(ground.whole("content/shop.toml")).unwrap();
    ground.put("content/shop.toml", shop.replace("\"../host\"", &format!("\"{place}\"")));
    ground.did(format!("[post] folder = {place:?}"));
    let all = |ground: &Ground| {
        let mut files = super::claims::plain_files(ground.base());
        files.retain(|path, _| !path.starts_with("shop/.benchlight/"));
        files
    };
    let before = all(ground);
    let said = ground.run(&["post"])?;
    let after = all(ground);
    if let Some(path) = before.keys().find(|path| after.get(*path) != before.get(*path)) {
        return Err(format!(
            "post to {place:?} took or changed what it never put there: {path}: {}",
            said.told()
        ));
    }
    if let Some(path) = after.keys().find(|path| !before.contains_key(*path)) {
        return Err(format!("post to {place:?} was not refused: it put {path}: {}", said.told()));
    }
    let _ = fs::remove_file(ground.at("link"));
    let _ = fs::remove_dir_all(ground.base().join("other"));
    ground.heal()
}
