//! The written house: pages stay short, links lead somewhere, and what the pages name is there: tests, dependencies with
//! their versions, commands. Whether a sentence is true is for whoever writes it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A file of the house, by its path from the top.
fn text(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// The pages of the handbook, by path.
fn handbook() -> BTreeMap<String, String> {
    let files = fs::read_dir(root().join("docs")).unwrap().map(Result::unwrap);
    let names =
        files.map(|file| file.file_name().into_string().unwrap()).filter(|name| name.ends_with(".md"));
    names.map(|name| format!("docs/{name}")).map(|path| (path.clone(), text(&path))).collect()
}

fn all_pages() -> BTreeMap<String, String> {
    let front = ["README.md", "DEVELOPERS.md"].map(|path| (path.to_owned(), text(path)));
    handbook().into_iter().chain(front).collect()
}

/// What stands between ticks in running text, code blocks left out.
fn ticked(page: &str) -> Vec<&str> {
    let running = page.split("```").step_by(2);
    running.flat_map(|part| part.split('`').skip(1).step_by(2)).collect()
}

/// What stands between `before` and `after`, each time.
fn between<'a>(text: &'a str, before: &str, after: &str) -> Vec<&'a str> {
    text.split(before).skip(1).filter_map(|rest| rest.split(after).next()).collect()
}

#[test]
fn pages_are_short_enough_to_read() {
    assert!(handbook().len() >= 12, "where is the handbook?");
    for (path, page) in all_pages() {
        let most = if path == "DEVELOPERS.md" { 120 } else { 150 };
        let lines = page.lines().count();
        assert!(lines <= most, "{path} has {lines} lines, and {most} at most are to be read at once");
    }
}

#[test]
fn every_link_leads_to_a_file_and_the_index_names_every_page() {
    let mut seen = 0;
    for (path, page) in all_pages() {
        let folder = root().join(&path).parent().unwrap().to_owned();
        for link in between(&page, "](", ")").into_iter().filter(|link| !link.contains("://")) {
            let file = link.split('#').next().unwrap();
            assert!(folder.join(file).exists(), "{path} leads to {link}, which is not there");
            seen += 1;
        }
    }
    assert!(seen > 30, "only {seen} links were found");
    let index = text("docs/README.md");
    for path in handbook().keys().filter(|path| *path != "docs/README.md") {
        let name = path.trim_start_matches("docs/");
        assert!(index.contains(&format!("({name})")), "docs/README.md does not name {name}");
    }
}

/// The files in which a test named `a::b::c` or `a::b::tests::c` may stand.
fn files_of_test(name: &str) -> Vec<PathBuf> {
    let module = name.rsplit_once("::").map_or("", |(module, _)| module);
    let module = module.trim_end_matches("::tests").replace("::", "/");
    let places = ["tests", "src"].into_iter().flat_map(|top| {
        [format!("{top}/{module}.rs"), format!("{top}/{module}/mod.rs"), format!("{top}/{module}/tests.rs")]
    });
    places.map(|place| root().join(place)).filter(|place| place.is_file()).collect()
}

fn is_test(name: &str) -> bool {
    let function = format!("fn {}()", name.rsplit("::").next().unwrap());
    files_of_test(name).into_iter().any(|file| {
        let source = fs::read_to_string(file).unwrap();
        let mut lines = source.lines().map(str::trim);
        let mut before = "";
        lines.any(|line| {
            let found = line.starts_with(&function) && before == "#[test]";
            before = line;
            found
        })
    })
}

#[test]
fn every_test_that_the_threat_model_names_is_there() {
    let page = text("docs/threat-model.md");
    let is_name = |word: &str| {
        word.contains("::")
            && word.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "_:".contains(c))
    };
    let named: BTreeSet<&str> = ticked(&page).into_iter().filter(|word| is_name(word)).collect();
    assert!(named.len() > 30, "only {} tests are named", named.len());
    let missing: Vec<&&str> = named.iter().filter(|name| !is_test(name)).collect();
    assert!(missing.is_empty(), "no such test: {missing:?}");
    // And a name that is none is seen.
    assert!(!is_test("privacy::no_such_test") && !is_test("nowhere::no_private_field_reaches_any_file"));
    assert!(!is_test("privacy::shop"), "a function that is no test");
    // Each row of what is stopped names one.
    for row in page.split("| held by |").skip(1).flat_map(|table| table.split("\n\n").next()) {
        for line in row.lines().filter(|line| line.starts_with("| ")) {
            assert!(ticked(line).iter().any(|word| is_name(word)), "no test is named in: {line}");
        }
    }
}

/// The direct dependencies of `Cargo.toml`, those of the tests left out.
fn dependencies() -> BTreeSet<String> {
    let manifest = text("Cargo.toml");
    let (mut inside, mut names) = (false, BTreeSet::new());
    for line in manifest.lines() {
        if let Some(section) = line.strip_prefix('[') {
            inside = section.trim_end_matches(']').ends_with("dependencies") && !section.starts_with("dev-");
        } else if let Some((name, _)) =
            line.split_once(" = ").filter(|_| inside && !line.starts_with([' ', '#']))
        {
            names.insert(name.to_owned());
        }
    }
    names
}

#[test]
fn the_table_of_dependencies_has_every_one_with_its_version() {
    let page = text("docs/dependencies.md");
    let lock = text("Cargo.lock");
    let own = between(&lock, "name = \"benchlight\"\n", "]\n")[0];
    let names = dependencies();
    assert!(names.len() > 30, "only {} were found", names.len());
    for name in &names {
        let locked = between(&lock, &format!("name = \"{name}\"\nversion = \""), "\"");
        // Where several versions are locked, our own entry says which one is ours.
        let said = between(own, &format!(" \"{name} "), "\"");
        let version = said.first().or(locked.first()).unwrap_or_else(|| panic!("{name} is not locked"));
        let row = format!("| `{name}` | {version} |");
        assert!(page.contains(&row), "docs/dependencies.md has no row that begins with {row}");
    }
    for row in page.lines().filter_map(|line| line.strip_prefix("| `")) {
        let name = row.split('`').next().unwrap();
        assert!(names.contains(name), "docs/dependencies.md has a row for {name}, which is no dependency");
    }
}

#[test]
fn every_command_is_on_its_page_and_no_page_names_another() {
    let program = text("src/cli.rs");
    let list = between(&program, "enum Command {\n", "\n}").concat();
    let commands: BTreeSet<String> = list
        .lines()
        .filter_map(|line| line.trim().split_once('('))
        .filter(|(name, _)| name.chars().all(char::is_alphabetic))
        .map(|(name, _)| name.to_lowercase())
        .collect();
    assert!(commands.len() >= 11, "{commands:?}");
    let page = text("docs/commands.md");
    for command in &commands {
        assert!(page.contains(&format!("| `benchlight {command}")), "docs/commands.md lacks `{command}`");
    }
    for (path, page) in all_pages() {
        let said = between(&page, "benchlight ", "\n").into_iter().filter_map(|rest| rest.split(' ').next());
        // Words in small letters right behind the program's name, in code.
        let said = said.map(|word| word.split('`').next().unwrap_or_default());
        let in_code = |word: &str| {
            page.contains(&format!("`benchlight {word}")) || page.contains(&format!("\nbenchlight {word}"))
        };
        for word in said.filter(|word| !word.is_empty() && word.chars().all(|c| c.is_ascii_lowercase())) {
            assert!(commands.contains(word) || !in_code(word), "{path} names the command `{word}`");
        }
    }
}

/// Phrases that an owner of the trade would not say.
const STILTED: [&str; 19] = [
    "reckon",
    "stands before yours",
    "stand before yours",
    "date can stay",
    "put it into your calendar",
    "in all,",
    "free time ended",
    "a slip in",
    "waits its turn",
    "look into the showroom",
    "two plain words",
    "has to be known",
    "licence",
    "you are told",
    "is told once",
    "anew",
    "beforehand",
    "whilst",
    "so it is with",
];

/// Every line that an owner or a customer reads, with where it stands: handbook, README, words and templates of the theme,
/// starter, demo, and every text between quotes in the program (its messages and its help).
fn lines_people_read() -> Vec<(String, String)> {
    let mut pages: Vec<(String, String)> = handbook().into_iter().collect();
    pages.push(("README.md".to_owned(), text("README.md")));
    let folders = ["themes/hangtag", "src/command/open/starter", "content"];
    for path in folders.iter().flat_map(|folder| files_below(&root().join(folder))) {
        let name = path.strip_prefix(root()).unwrap().to_string_lossy().into_owned();
        if [".toml", ".md", ".txt", ".html"].iter().any(|ending| name.ends_with(ending)) {
            pages.push((name, std::fs::read_to_string(&path).unwrap()));
        }
    }
    let shown = |(path, page): (String, String)| {
        let lines: Vec<_> = page
            .lines()
            .enumerate()
            .map(|(at, line)| (format!("{path}:{}", at + 1), line.to_owned()))
            .collect();
        lines
    };
    let mut lines: Vec<(String, String)> = pages.into_iter().flat_map(shown).collect();
    for path in
        files_below(&root().join("src")).into_iter().filter(|path| path.extension() == Some("rs".as_ref()))
    {
        let name = path.strip_prefix(root()).unwrap().to_string_lossy().into_owned();
        let source = std::fs::read_to_string(&path).unwrap();
        let source = source.split("#[cfg(test)]").next().unwrap_or_default();
        for (at, line) in source.lines().enumerate() {
            let help = line.trim_start().strip_prefix("///").filter(|_| name.starts_with("src/cli"));
            let quoted: String =
                line.split('"').skip(1).step_by(2).filter(|said| said.contains(' ')).collect();
            if help.is_some() || !(quoted.is_empty() || line.trim_start().starts_with("//")) {
                lines.push((format!("{name}:{}", at + 1), help.map_or(quoted, str::to_owned)));
            }
        }
    }
    lines
}

fn files_below(folder: &std::path::Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap().flatten() {
        let path = entry.path();
        if path.is_dir() { found.extend(files_below(&path)) } else { found.push(path) }
    }
    found.sort();
    found
}

#[test]
fn all_that_people_read_talks_like_a_shop_owner() {
    let lines = lines_people_read();
    for part in [
        "docs/",
        "README.md",
        "themes/hangtag/words.toml",
        "src/command/open/starter",
        "content/pages",
        "src/cli",
    ] {
        assert!(lines.iter().any(|(at, _)| at.starts_with(part)), "nothing of {part} was read");
    }
    let mut out = Vec::new();
    for (at, line) in lines.iter().filter(|(at, _)| !at.contains("threat-model.md")) {
        // The name of a key is not read out.
        let value = line
            .split_once(" = ")
            .filter(|_| at.contains(".toml:"))
            .map_or(line.as_str(), |(_, value)| value);
        let small = value.to_lowercase();
        let code = small.contains("{{") || small.contains("{%");
        let found = STILTED.iter().find(|phrase| small.contains(**phrase) && !code);
        out.extend(found.map(|phrase| format!("{at}: \"{phrase}\" in: {line}")));
    }
    assert!(out.is_empty(), "{}", out.join("\n"));
}
