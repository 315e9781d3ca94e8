//! Rules of the house that a test can keep: who imports whom, who prints, what each file and each
//! dependency says of itself, and words that must not stand anywhere.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(folder: &str) -> BTreeMap<String, String> {
    fn walk(folder: &Path, root: &Path, found: &mut BTreeMap<String, String>) {
        for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
            let path = entry.path();
            if path.is_dir() {
                walk(&path, root, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name = path.strip_prefix(root).unwrap().to_string_lossy().into_owned();
                found.insert(name, fs::read_to_string(&path).unwrap());
            }
        }
    }
    let mut found = BTreeMap::new();
    walk(&root().join(folder), &root(), &mut found);
    found
}

/// Rooms and their ranks; a room imports from lower ranks only.
const RANKS: [(&str, u8); 16] = [
    ("base", 0),
    ("problem", 1),
    ("model", 2),
    ("read", 3),
    ("work", 3),
    ("photo", 3),
    ("render", 3),
    ("seal", 3),
    ("write", 3),
    ("watch", 3),
    ("serve", 3),
    ("post", 3),
    ("command", 4),
    ("cli", 5),
    ("fuzz", 5),
    ("lib", 6),
];

fn rank(room: &str) -> Option<u8> {
    RANKS.iter().find(|(name, _)| *name == room).map(|(_, rank)| *rank)
}

/// Rooms that a file names by `crate::room` or, inside a group, `crate::{room::…}`.
fn imports(text: &str) -> Vec<String> {
    let mut rooms = Vec::new();
    for after in text.split("crate::").skip(1) {
        let word = |s: &str| s.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
        if let Some(group) = after.strip_prefix('{') {
            let mut depth = 0;
            let mut start = true;
            for (at, c) in group.char_indices() {
                match c {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => start = true,
                    c if c.is_whitespace() => {}
                    _ if start => {
                        rooms.push(word(&group[at..]));
                        start = false;
                    }
                    _ => {}
                }
            }
        } else {
            rooms.push(word(after));
        }
    }
    rooms
}

#[test]
fn rooms_import_only_downward() {
    let mut wrong = Vec::new();
    for (file, text) in rust_files("src") {
        let room = file.trim_start_matches("src/").split(['/', '.']).next().unwrap().to_owned();
        if room == "main" {
            continue;
        }
        let own = rank(&room).unwrap_or_else(|| panic!("{file} lies in a room that no rank is known of"));
        for import in imports(&text) {
            let theirs = rank(&import).unwrap_or_else(|| panic!("{file} imports `crate::{import}`, no room"));
            if import != room && theirs >= own {
                wrong.push(format!("{file} (rank {own}) imports {import} (rank {theirs})"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_import_reader_sees_groups_and_paths() {
    assert_eq!(imports("use crate::{a::{b, c}, d,\n e::f}; crate::g::h()"), ["a", "d", "e", "g"]);
}

#[test]
fn every_file_says_what_it_is_for() {
    let files = rust_files("src").into_iter().chain(rust_files("tests")).chain(rust_files("benches"));
    let silent: Vec<String> =
        files.filter(|(_, text)| !text.starts_with("//!")).map(|(file, _)| file).collect();
    assert!(silent.is_empty(), "no //! at the beginning of {silent:?}");
}

#[test]
fn files_stay_short_enough_to_read() {
    let long: Vec<String> = rust_files("src")
        .into_iter()
        .filter(|(_, text)| text.lines().count() > 400)
        .map(|(file, text)| format!("{file}: {} lines", text.lines().count()))
        .collect();
    assert!(long.is_empty(), "one room or two? {long:?}");
}

#[test]
fn every_dependency_has_its_reason() {
    let manifest = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let mut section = "";
    let mut reason = false;
    let mut bare = Vec::new();
    for line in manifest.lines() {
        if let Some(name) = line.strip_prefix('[') {
            section = name.trim_end_matches(']');
            reason = false;
        } else if line.starts_with('#') {
            reason = true;
        } else if line.trim().is_empty() {
            reason = false;
        } else if section.ends_with("dependencies") && line.contains('=') && !reason {
            bare.push(line.to_owned());
        }
    }
    assert!(bare.is_empty(), "no reason above {bare:?}");
}

#[test]
fn only_commands_print() {
    for (file, text) in rust_files("src").into_iter().filter(|(file, _)| !file.starts_with("src/command/")) {
        for word in ["println!", "eprintln!", "print!(", "eprint!(", "stdout()", "stderr()"] {
            assert!(!text.contains(word) || file == "src/cli.rs", "{file} prints: {word}");
        }
    }
}

#[test]
fn only_the_writing_room_knows_the_output_folder() {
    let others = |file: &str| {
        !file.starts_with("src/write/") && !file.ends_with("/tests.rs") && file != "src/fuzz/replay.rs"
    };
    for (file, text) in rust_files("src").into_iter().filter(|(file, _)| others(file)) {
        for word in ["fs::rename", "fs::remove_file", "fs::remove_dir"] {
            let allowed = ["src/base/files.rs", "src/base/whole.rs", "src/command/open.rs"]
                .contains(&file.as_str())
                || file.starts_with("src/photo/")
                || file.starts_with("src/seal/");
            assert!(!text.contains(word) || allowed, "{file} calls {word}");
        }
    }
}

#[test]
fn no_money_in_binary_floats() {
    for file in ["src/base/money.rs", "src/work/ledger.rs", "src/work/tax.rs", "src/work/storage.rs"] {
        let text = fs::read_to_string(root().join(file)).unwrap_or_else(|e| panic!("{file}: {e}"));
        for float in ["f32", "f64"] {
            assert!(!text.split(|c: char| !c.is_alphanumeric()).any(|w| w == float), "{file} says {float}");
        }
    }
}

#[test]
fn no_page_holds_words_of_the_program() {
    // What a page shows comes from the theme or the owner: no HTML in the program but what Markdown needs.
    for (file, text) in rust_files("src/render").into_iter().filter(|(file, _)| !file.ends_with("tests.rs")) {
        // The wrappers that Markdown needs: one lets a wide table scroll by itself, one keeps a photo and its
        // stand-in together.
        let mut code = text.split("#[cfg(test)]").next().unwrap_or_default().to_owned();
        for wrapper in ["<div class=\\\"wide\\\">", "<span class=\\\"print\\\">"] {
            code = code.replace(wrapper, "");
        }
        for tag in ["<p>", "<div", "<h1", "<span", "<table"] {
            let in_code = code.lines().any(|l| !l.trim_start().starts_with("//") && l.contains(tag));
            assert!(!in_code, "{file} writes {tag}");
        }
    }
}

#[test]
fn the_top_level_holds_what_it_should() {
    let allowed = [
        ".ci",
        ".git",
        ".gitignore",
        ".benchlight",
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "benches",
        "clippy.toml",
        "content",
        "print",
        "public",
        "rustfmt.toml",
        "src",
        "target",
        "tests",
        "themes",
    ];
    for entry in fs::read_dir(root()).unwrap().map(Result::unwrap) {
        let name = entry.file_name().into_string().unwrap();
        assert!(allowed.contains(&name.as_str()), "what is `{name}` doing at the top?");
    }
}

#[test]
fn what_is_private_is_opened_for_the_owner_alone_and_the_site_knows_nothing_of_it() {
    for (file, text) in rust_files("src/render") {
        let opens = text.contains(".reveal()");
        let printed = file.starts_with("src/render/printed/");
        assert!(!opens || printed || file == "src/render/board/who.rs", "{file} opens what is private");
        // Printed pages are handed back as text; nothing else of the room calls them.
        let prints = text.replace("pub mod printed;", "").contains("printed");
        assert!(!prints || printed, "{file} knows the printed pages");
        // The whole address of a sealed page holds its key.
        let leads = [".way()", "web_address(", ".symbols()"].iter().any(|word| text.contains(word));
        assert!(!leads || printed || file.starts_with("src/render/board/"), "{file} knows keys of pages");
        let knows = text.replace("pub mod board;", "").contains("board::");
        assert!(!knows || file.starts_with("src/render/board/"), "{file} knows the board");
    }
}
