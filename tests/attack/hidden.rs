//! The program's own records, as a full disk, a sync or another hand may leave them.

use super::bend;
use super::ground::Ground;
use std::fs;
use std::os::unix::fs::symlink;

/// One to three files of the hidden folder bent, gone, or something else; then passes and postings.
pub fn broken(ground: &mut Ground) -> Result<(), String> {
    if ground.dice.below(2) == 0 {
        ground.run(&["post"])?;
    }
    for _ in 0..=ground.dice.below(3) {
        let mut all: Vec<String> =
            super::claims::plain_files(&ground.at(".benchlight")).into_keys().collect();
        all.sort();
        if all.is_empty() {
            break;
        }
        let path = format!(".benchlight/{}", ground.dice.one(&all));
        let at = ground.at(&path);
        let good = fs::read(&at).unwrap_or_default();
        let how = match ground.dice.below(8) {
            0 => fs::remove_file(&at).map(|()| "gone"),
            1 => fs::remove_file(&at).and_then(|()| fs::create_dir_all(&at)).map(|()| "a folder"),
            2 => fs::remove_file(&at)
                .and_then(|()| symlink(ground.base().join("outside/books.txt"), &at))
                .map(|()| "a link to somebody else's"),
            3 => {
                ground.put(&path, b"");
                Ok("empty")
            }
            // The paths in it lead elsewhere.
            4 => {
                let text = String::from_utf8_lossy(&good)
                    .replace("index.html", "../outside/books.txt")
                    .replace("see/", "../");
                ground.put(&path, text);
                Ok("leading out")
            }
            5 => {
                ground.put(&path, "[".repeat(300_000));
                Ok("deep")
            }
            _ => {
                let bytes = bend::text(&good, &mut ground.dice);
                ground.put(&path, bytes);
                Ok("bent")
            }
        };
        ground.did(format!("{path} is {}", how.unwrap_or("as it was")));
    }
    if ground.dice.below(5) == 0 {
        let _ = fs::remove_dir_all(ground.at(".benchlight"));
        ground.did(".benchlight is gone");
    }
    ground.make()?;
    ground.claims()?;
    ground.run(&["post"])?;
    ground.heal()
}
