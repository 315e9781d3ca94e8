//! No file of a room leads back to itself through its neighbors: a circle of files has to be read all at once. A file and the
//! folder that it lies in are one thing here, as its `mod.rs` holds them together.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// A module by its names: `["render", "view", "news"]`.
type Module = Vec<String>;

/// Circles that stand, each by its files. A circle that is gone may be taken out; none comes in.
const KNOWN: &[&[&str]] = &[
    &["model/facts", "model/job", "model/place", "model/route", "model/shop", "model/worked"],
    &["post/host", "post/trouble"],
    &["read/job/lines", "read/job/sums"],
    &["read/toml/table", "read/toml/value"],
    &["work/deposit", "work/ledger"],
    &["work/estimate/choose", "work/estimate/windows"],
    &[
        "work/estimate/held",
        "work/estimate/memo",
        "work/estimate/pages",
        "work/estimate/past",
        "work/estimate/shown",
    ],
    &["work/estimate/learn/arrivals", "work/estimate/plan"],
    &["work/later", "work/truth"],
];

fn modules() -> BTreeMap<Module, Vec<String>> {
    fn walk(folder: &Path, at: &Module, found: &mut BTreeMap<Module, Vec<String>>) {
        for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
            let name = entry.path().file_stem().unwrap().to_string_lossy().into_owned();
            let inside = [at.as_slice(), std::slice::from_ref(&name)].concat();
            if entry.path().is_dir() {
                walk(&entry.path(), &inside, found);
            } else if entry.path().extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(entry.path()).unwrap();
                let module = if name == "mod" { at.clone() } else { inside };
                found.insert(module, tokens(&text));
            }
        }
    }
    let mut found = BTreeMap::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &Vec::new(), &mut found);
    found
}

/// Names and signs of a file, without its comments, texts and own tests.
fn tokens(text: &str) -> Vec<String> {
    let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
    let mut tokens = Vec::new();
    for line in code.lines().map(|line| line.split("//").next().unwrap()) {
        let mut rest = line;
        while let Some(c) = rest.chars().next() {
            let name = rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len());
            let long = match c {
                _ if name > 0 => name,
                ':' if rest.starts_with("::") => 2,
                _ => c.len_utf8(),
            };
            if !c.is_whitespace() {
                tokens.push(rest[..long].to_owned());
            }
            rest = &rest[long..];
        }
    }
    tokens
}

/// The paths that begin at a place in the tokens (`a::{b, c::d}` gives two), and where they end.
fn paths(tokens: &[String], mut at: usize, before: &Module, found: &mut Vec<Module>) -> usize {
    let mut path = before.clone();
    loop {
        match tokens.get(at).map(String::as_str) {
            Some("{") => {
                at += 1;
                while tokens.get(at).is_some_and(|token| token != "}") {
                    at = paths(tokens, at, &path, found).max(at + 1);
                    while tokens.get(at).is_some_and(|token| token != "," && token != "}") {
                        at += 1;
                    }
                    at += usize::from(tokens.get(at).is_some_and(|token| token == ","));
                }
                return at + 1;
            }
            Some(name) if name.starts_with(|c: char| c.is_alphabetic() || c == '_') => {
                path.push(name.to_owned())
            }
            _ => break,
        }
        at += 1;
        if tokens.get(at).is_none_or(|token| token != "::") {
            break;
        }
        at += 1;
    }
    found.push(path);
    at
}

/// Every path of a file that names more than one thing; with each whether others may take it from there.
fn all_paths(tokens: &[String]) -> Vec<(Module, bool)> {
    let (mut all, mut at) = (Vec::new(), 0);
    while at + 1 < tokens.len() {
        if tokens[at + 1] == "::" {
            let given = at > 1 && tokens[at - 1] == "use" && ["pub", ")"].contains(&tokens[at - 2].as_str());
            let mut found = Vec::new();
            at = paths(tokens, at, &Vec::new(), &mut found).max(at + 1);
            all.extend(found.into_iter().map(|path| (path, given)));
        } else {
            at += 1;
        }
    }
    all
}

type Modules = BTreeMap<Module, Vec<String>>;
type Given = BTreeMap<(Module, String), Module>;

/// The module in which a path ends, seen from `here`.
fn end(here: &Module, path: &[String], all: &Modules, given: &Given) -> Option<Module> {
    let mut at = here.clone();
    let mut rest = path;
    match path.first()?.as_str() {
        "crate" => (at, rest) = (Vec::new(), &path[1..]),
        "super" | "self" => {
            while let Some(word) = rest.first().filter(|word| ["super", "self"].contains(&word.as_str())) {
                if word == "super" {
                    at.pop();
                }
                rest = &rest[1..];
            }
        }
        child if all.contains_key(&[at.as_slice(), &[child.to_owned()]].concat()) => {}
        _ => return None,
    }
    for name in rest {
        let inside = [at.as_slice(), std::slice::from_ref(name)].concat();
        match given.get(&(at.clone(), name.clone())) {
            _ if all.contains_key(&inside) => at = inside,
            Some(home) => return Some(home.clone()),
            None => break,
        }
    }
    all.contains_key(&at).then_some(at)
}

/// For each file the files of its room that it names, but for those above and below it.
fn neighbors(all: &Modules) -> BTreeMap<Module, BTreeSet<Module>> {
    let mut given = Given::new();
    for (here, tokens) in all {
        for (path, _) in all_paths(tokens).into_iter().filter(|(_, given)| *given) {
            if let (Some(home), Some(name)) = (end(here, &path, all, &Given::new()), path.last()) {
                given.insert((here.clone(), name.clone()), home);
            }
        }
    }
    let edges = all.iter().map(|(here, tokens)| {
        let ends = all_paths(tokens).into_iter().filter_map(|(path, _)| end(here, &path, all, &given));
        let beside = ends.filter(|there| {
            there.first() == here.first() && !there.starts_with(here) && !here.starts_with(there)
        });
        (here.clone(), beside.collect())
    });
    edges.collect()
}

fn reached(from: &Module, edges: &BTreeMap<Module, BTreeSet<Module>>) -> BTreeSet<Module> {
    let (mut seen, mut next) = (BTreeSet::new(), vec![from.clone()]);
    while let Some(module) = next.pop() {
        let new = edges.get(&module).into_iter().flatten().filter(|there| seen.insert((*there).clone()));
        next.extend(new.cloned().collect::<Vec<_>>());
    }
    seen
}

/// Each circle by the names of its files.
fn circles(edges: &BTreeMap<Module, BTreeSet<Module>>) -> BTreeSet<Vec<String>> {
    let reach: BTreeMap<&Module, BTreeSet<Module>> =
        edges.keys().map(|module| (module, reached(module, edges))).collect();
    let of = |module: &Module| -> Vec<String> {
        let back = reach[module].iter().filter(|there| reach[there].contains(module));
        back.map(|there| there.join("/")).collect()
    };
    edges.keys().map(of).filter(|circle| circle.len() > 1).collect()
}

#[test]
fn no_new_circle_of_files_comes_into_a_room() {
    let known = |circle: &Vec<String>| {
        KNOWN.iter().any(|known| circle.iter().all(|file| known.contains(&file.as_str())))
    };
    let new: Vec<Vec<String>> =
        circles(&neighbors(&modules())).into_iter().filter(|circle| !known(circle)).collect();
    assert!(new.is_empty(), "move what both need into a file of its own: {new:#?}");
}

#[test]
fn a_circle_is_seen_through_groups_inline_paths_and_what_a_folder_hands_on() {
    let text = |files: &[(&str, &str)]| -> BTreeSet<Vec<String>> {
        let all =
            files.iter().map(|(name, text)| (name.split('/').map(str::to_owned).collect(), tokens(text)));
        circles(&neighbors(&all.collect()))
    };
    let circle = BTreeSet::from([vec!["r/a".to_owned(), "r/b".to_owned()]]);
    let room = ("r", "mod a;\nmod b;\npub use b::Thing;\n");
    assert_eq!(
        text(&[room, ("r/a", "use super::{b::{self, c}, d};"), ("r/b", "fn f() { super::a::f() }")]),
        circle
    );
    assert_eq!(
        text(&[room, ("r/a", "use crate::r::Thing;"), ("r/b", "use super::a;\nuse super::a::X;")]),
        circle
    );
    assert_eq!(
        text(&[room, ("r/a", "use super::Thing; // super::b"), ("r/b", "use super::Other;")]),
        BTreeSet::new()
    );
}
