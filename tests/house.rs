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
const RANKS: [(&str, u8); 17] = [
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
    ("door", 6),
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
fn rooms_are_closed_and_the_door_holds_only_what_tests_and_benches_name() {
    let files = rust_files("src");
    let open = files["src/lib.rs"].lines().filter(|line| line.starts_with("pub "));
    assert_eq!(open.collect::<Vec<_>>(), ["pub mod cli;", "pub mod door;", "pub mod fuzz;"]);
    let outside: Vec<String> =
        [rust_files("tests"), rust_files("benches")].into_iter().flat_map(BTreeMap::into_values).collect();
    let named = code_of(&files["src/door.rs"]);
    let items = named.split("pub use crate::").skip(1).filter_map(|rest| rest.split(';').next());
    let last = |item: &'_ str| {
        let list = item.rsplit_once("::").map_or(item, |(_, list)| list).trim_matches(['{', '}']).to_owned();
        list.split(',').map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect::<Vec<_>>()
    };
    let names: Vec<String> = items.flat_map(last).collect();
    assert!(names.len() > 100, "{names:?}");
    let idle: Vec<&String> =
        names.iter().filter(|name| !outside.iter().any(|text| says(text, name))).collect();
    assert!(idle.is_empty(), "nobody outside names {idle:?}");
}

#[test]
fn the_import_reader_sees_groups_and_paths() {
    assert_eq!(imports("use crate::{a::{b, c}, d,\n e::f}; crate::g::h()"), ["a", "d", "e", "g"]);
}

/// The matches of a file that name a kind of step in one arm and let whatever else there is pass in another.
fn matches_that_let_kinds_pass(code: &str) -> Vec<String> {
    let kinds = |arm: &str| arm.contains("StepWork::") || arm.contains("WorkKind::");
    let mut found = Vec::new();
    for (at, _) in code.match_indices("match ") {
        let Some(begin) = code[at..].find("{\n").map(|begin| at + begin + 1) else { continue };
        let (mut depth, mut arms, mut arm) = (1, Vec::new(), String::new());
        for c in code[begin..].chars() {
            depth += i32::from("({[".contains(c)) - i32::from(")}]".contains(c));
            if depth == 0 {
                break;
            }
            // Patterns alone: what an arm does stands behind its arrow.
            arm.push(c);
            if depth == 1 && arm.ends_with("=>") {
                arms.push(std::mem::take(&mut arm));
            } else if depth == 1 && (c == ',' || c == '}') {
                arm.clear();
            }
        }
        let passes = |arm: &String| {
            let pattern = arm.trim_end_matches("=>").trim();
            pattern.rsplit('|').any(|one| one.trim() == "_")
        };
        if arms.iter().any(|arm| kinds(arm)) && arms.iter().any(passes) {
            found.push(code[at..begin].to_owned());
        }
    }
    found
}

#[test]
fn the_compiler_names_every_place_where_kinds_of_step_differ() {
    for (file, text) in rust_files("src") {
        let code = code_of(&text);
        for line in code.lines().filter(|line| line.contains("StepWork::") || line.contains("WorkKind::")) {
            for word in ["matches!(", "if let ", "let StepWork::", "== WorkKind::", "!= WorkKind::"] {
                assert!(!line.contains(word), "{file} asks for one kind of step: {}", line.trim());
            }
        }
        let open = matches_that_let_kinds_pass(&code);
        assert!(open.is_empty(), "{file} lets kinds of step pass: {open:?}");
    }
    let passing = "match work {\n    StepWork::Rest(days) => f(days, g()),\n    _ => None,\n}";
    assert_eq!(matches_that_let_kinds_pass(passing).len(), 1);
    let paired =
        "match (a, b) {\n    (A { x }, StepWork::Rest(_)) => {\n        g()\n    }\n    B | _ => 1,\n}";
    assert_eq!(matches_that_let_kinds_pass(paired).len(), 1);
    let whole = "match work {\n    StepWork::Rest(_) | StepWork::Away { .. } => match x {\n        _ => 0,\n    },\n    StepWork::Bench(_) => 1,\n}";
    assert!(matches_that_let_kinds_pass(whole).is_empty());
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
fn one_place_prints() {
    // The output of the helper that opens photos is a pipe to the program.
    let may = ["src/command/terminal.rs", "src/photo/apart/helper.rs"];
    for (file, text) in rust_files("src").into_iter().filter(|(file, _)| !may.contains(&file.as_str())) {
        for word in [
            "println!",
            "eprintln!",
            "print!(",
            "eprint!(",
            "dbg!(",
            "io::stdout(",
            "io::stderr(",
            ".print()",
        ] {
            assert!(!text.contains(word), "{file} prints: {word}");
        }
    }
}

#[test]
fn one_place_opens_files() {
    for (file, text) in rust_files("src").into_iter().filter(|(file, _)| file != "src/base/files.rs") {
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        // Tests, and what only tests and fuzzers build.
        if file.ends_with("tests.rs") || file.starts_with("src/fuzz/") {
            continue;
        }
        for word in
            ["File::open(", "File::create(", "File::options(", "fs::read(", "read_to_string(", "fs::copy("]
        {
            assert!(!code.contains(word), "{file} opens a file by itself: {word}");
        }
    }
}

/// What a pass does once, by the call, and who makes it: each once, from where a pass begins.
const ONCE: &[(&str, &[&str])] = &[
    ("\"shop.toml\", |root|", &["src/read/shop/shop_toml.rs"]),
    ("shop_toml::studio(", &["src/read/door.rs", "src/read/open.rs"]),
    ("read::open(", &["src/command/pass.rs"]),
    ("read::studio_and_key(", &["src/command/post.rs", "src/command/post.rs"]),
    // A parcel may have left on another day than that of the pass.
    (
        "clock::today(",
        &["src/command/parcel.rs", "src/command/pass.rs", "src/command/post.rs", "src/command/post.rs"],
    ),
    ("pass::begin(", &["src/command/proof.rs", "src/command/publish.rs"]),
];

#[test]
fn a_pass_reads_shop_toml_once_and_fixes_its_day_once() {
    let files = rust_files("src");
    for (call, places) in ONCE {
        let calls = files.iter().flat_map(|(file, text)| {
            let code = code_of(text);
            std::iter::repeat_n(file.as_str(), code.matches(call).count())
        });
        assert_eq!(calls.collect::<Vec<_>>(), *places, "who calls `{call}`");
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
        "docs",
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

/// Who says `reveal`, and what for: the one word that leads to what is private (`base/private.rs`) or secret (`base/secret.rs`).
const REVEALS: &[(&str, &str)] = &[
    ("src/base/identity.rs", "keyed hashes for its marks"),
    ("src/base/private.rs", "where it is"),
    ("src/base/secret.rs", "where it is"),
    ("src/command/arriving.rs", "the job in whose folder a file lies"),
    ("src/command/board/json.rs", "the owner's list of open jobs"),
    ("src/command/open/new_key.rs", "the identity, written down for a new key"),
    ("src/command/parcel.rs", "a line into job.toml"),
    ("src/command/publish.rs", "a hash that tells one key from another"),
    ("src/command/tag.rs", "the address, on the owner's terminal"),
    ("src/command/watch/snapshot.rs", "the folder and the address, on the owner's terminal"),
    ("src/model/job.rs", "places in job.toml, for messages"),
    ("src/model/photo.rs", "what the photo room opens; a file's own name, for messages"),
    ("src/model/seal.rs", "the key's own way on"),
    ("src/model/shop.rs", "the key's own way on; the address, which is private again"),
    ("src/model/worked.rs", "the address, which is private again"),
    ("src/post/mod.rs", "the identity, written down for a lost key"),
    ("src/post/secrets.rs", "for the library that shows them to the host"),
    ("src/read/job/photos.rs", "names that no caption may hold; the folder, for messages"),
    ("src/read/job/texts.rs", "what no text may hold; paths, for messages"),
    ("src/read/shop/key_file.rs", "whether a key can be guessed"),
    ("src/read/open.rs", "the identity, from the key"),
    ("src/render/board/drafts.rs", "the address, for the owner"),
    ("src/render/board/slip.rs", "the address and the file, for the owner"),
    ("src/render/board/who.rs", "whom the owner calls"),
    ("src/render/printed/parcel.rs", "the tag's number and species, for the partner"),
    ("src/render/printed/register.rs", "the register, for the state"),
    ("src/render/printed/tags.rs", "the address, for its customer"),
    ("src/seal/file.rs", "ciphers and hashes"),
    ("src/seal/store.rs", "a hash that names what is kept"),
    ("src/work/address.rs", "keyed hashes"),
    ("src/work/issued.rs", "digests that tell one customer from another"),
    ("src/work/later.rs", "the line of a date, for a message"),
    ("src/work/register.rs", "entries, which are private again"),
    ("src/work/sample.rs", "tests alone"),
    ("src/work/truth.rs", "the photo of a date, for a message"),
    ("src/write/record.rs", "the record of a pass, in the shop's hidden folder"),
];

/// What stands in a file besides comments and its own tests.
fn code_of(text: &str) -> String {
    let code = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    code.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

/// Whether a word stands in a text, however it is called: `x.reveal()`, `Private::reveal`.
fn says(text: &str, word: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric() && c != '_').any(|part| part == word)
}

#[test]
fn what_is_private_or_secret_is_revealed_where_there_is_a_reason_and_nowhere_else() {
    let files = rust_files("src");
    let who: Vec<&str> = files
        .iter()
        .filter(|(_, text)| says(&code_of(text), "reveal"))
        .map(|(file, _)| file.as_str())
        .collect();
    let mut known: Vec<&str> = REVEALS.iter().map(|(file, _)| *file).collect();
    known.sort_unstable();
    assert_eq!(who, known, "left: the files that say `reveal`; right: those with a reason");
    assert!(
        says("map(Private::reveal)", "reveal") && says("a.reveal()", "reveal") && !says("revealed", "reveal")
    );
}

#[test]
fn reveal_is_the_only_way_to_what_is_private_or_secret() {
    let files = rust_files("src");
    for file in ["src/base/private.rs", "src/base/secret.rs"] {
        let code = code_of(&files[file]);
        let ways = code.split("fn ").skip(1).map(|rest| rest.split('(').next().unwrap_or_default());
        let ways: Vec<&str> = ways.filter(|name| !["fmt", "eq"].contains(name)).collect();
        assert_eq!(ways, ["new", "reveal"], "{file}");
    }
    let mut traits: Vec<String> = Vec::new();
    for code in files.values().map(|text| code_of(text)) {
        for line in code.lines().filter(|line| line.trim_start().starts_with("impl")) {
            let of = line.split(" for ").nth(1).unwrap_or_default();
            if of.starts_with("Private<") || of.starts_with("Secret<") {
                traits.push(line.split("> ").nth(1).unwrap_or(line).trim_end_matches(" {").to_owned());
            }
        }
    }
    traits.sort();
    assert_eq!(
        traits,
        ["Eq for Secret<T", "PartialEq for Secret<T", "fmt::Debug for Private<T", "fmt::Debug for Secret<T"]
    );
}

#[test]
fn the_site_knows_nothing_of_the_board_or_of_printed_pages_and_reads_no_place() {
    for (file, text) in rust_files("src/render") {
        let printed = file.starts_with("src/render/printed/");
        let board = file.starts_with("src/render/board/");
        // Printed pages are handed back as text; nothing else of the room calls them.
        let prints = text.replace("pub mod printed;", "").contains("printed");
        assert!(!prints || printed, "{file} knows the printed pages");
        let knows = text.replace("pub mod board;", "").contains("board::");
        assert!(!knows || board, "{file} knows the board");
        // The whole address of a page.
        let leads = [".page_path()", "web_address("].iter().any(|word| text.contains(word));
        assert!(!leads || printed || board, "{file} knows whole addresses");
        // A place for messages tells path and line of a job's file: one view has it, for what is wrong with the owner's
        // Markdown, and none looks into it.
        let has = ["job.file()", "job.place("].iter().any(|word| text.contains(word));
        assert!(!has || file == "src/render/view/private.rs", "{file} asks where a job's file lies");
        let reads = ["place.file", "place.at.", "place.short"].iter().any(|word| text.contains(word));
        assert!(!reads || text.contains("problem.place."), "{file} reads a place that is for messages");
    }
}
