//! The files of the theme: those built in, each perhaps replaced by the shop's own.

use crate::base::files::{identities, identity, read_up_to};
use crate::base::names::{is_hidden, is_key_file};
use crate::problem::{Code, Location, Problem, Problems, Source};
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

static BUILT_IN: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/themes/hangtag");

/// Where a shop keeps its own files of the theme.
const FOLDER: &str = "themes/hangtag";

/// The most that a file of a theme may hold.
const LARGEST: u64 = 1 << 20;

/// A file of the theme as messages name it.
pub fn named(name: &str) -> String {
    format!("{FOLDER}/{name}")
}

/// All files of the theme by name, and notes on what takes the place of none.
pub fn gather(shop_root: &Path) -> Result<(BTreeMap<String, Source>, Problems), Problems> {
    let mut sources = built_in();
    let mut notes = Problems::default();
    let mut stops = Problems::default();
    let keys = [shop_root.to_owned(), shop_root.join("content")];
    let keys = keys.map(|folder| identities(&folder, is_key_file)).concat();
    for name in own_files(&shop_root.join(FOLDER)) {
        if !sources.contains_key(&name) {
            let note =
                Problem::new(Code::UnknownThemeFile, format!("no file of the theme is called `{name}`"));
            let known = sources.keys().map(String::as_str);
            notes.push(note.did_you_mean(&name, known).at(Location::file(named(&name))));
            continue;
        }
        match own_text(shop_root, &name, &keys) {
            Ok(text) => {
                sources.insert(name.clone(), Source::new(named(&name), text));
            }
            Err(more) => stops.extend(more),
        }
    }
    if stops.is_empty() { Ok((sources, notes)) } else { Err(stops) }
}

/// Whether the shop has put a file in the place of the one that is built in.
pub fn is_own(name: &str, source: &Source) -> bool {
    BUILT_IN.get_file(name).and_then(|file| file.contents_utf8()) != Some(&*source.text)
}

/// A file of the theme as it is built in.
pub fn built_in_one(name: &str) -> Source {
    let text = BUILT_IN.get_file(name).and_then(|file| file.contents_utf8()).unwrap_or_default();
    Source::new(named(name), text)
}

fn built_in() -> BTreeMap<String, Source> {
    let files = BUILT_IN.files().filter_map(|file| {
        let name = file.path().to_str()?.to_owned();
        let source = Source::new(named(&name), file.contents_utf8()?);
        Some((name, source))
    });
    files.collect()
}

/// Why a file may not be one of the theme, and what to do. Everything in it may be published, so that it comes from the
/// folder of the theme alone: that folder, or `themes`, may be a link; a file in it leads to no place outside of them.
fn strange(shop_root: &Path, path: &Path, keys: &[(u64, u64)]) -> Option<(&'static str, &'static str)> {
    let facts = fs::metadata(path).ok()?;
    let real = |path: &Path| fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let home = real(&shop_root.join(FOLDER));
    if !facts.is_file() {
        return Some((
            "this is no file but a folder, a pipe or a device",
            "take it away, or put a file here",
        ));
    }
    if identity(&facts).is_some_and(|this| keys.contains(&this)) {
        return Some(("this is a key of the shop under another name", "take it away here"));
    }
    let of_theme = [&home, &real(&shop_root.join("themes"))];
    if !of_theme.iter().any(|folder| real(path).starts_with(folder)) {
        return Some(("the link leads out of the folder of the theme", "put the file itself here"));
    }
    let private = ["content", ".benchlight", "print"].map(|name| real(&shop_root.join(name)));
    if private.iter().any(|folder| home.starts_with(folder)) {
        return Some((
            "the folder of the theme leads into a folder that is not published",
            "put the theme itself into `themes/hangtag`",
        ));
    }
    None
}

/// The names in the shop's folder of the theme, in order; none where there is no such folder.
fn own_files(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let names = entries.filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()));
    let mut names: Vec<String> = names.filter(|name| !is_hidden(name)).collect();
    names.sort();
    names
}

fn own_text(shop_root: &Path, name: &str, keys: &[(u64, u64)]) -> Result<String, Problems> {
    let path = &shop_root.join(FOLDER).join(name);
    let stop = |message: String| Problem::new(Code::Theme, message).at(Location::file(named(name)));
    if let Some((message, hint)) = strange(shop_root, path, keys) {
        return Err(Problems::from_iter([stop(message.to_owned()).hint(hint)]));
    }
    let bytes = read_up_to(path, LARGEST).map_err(|e| Problems::from_iter([stop(e.cause.to_string())]))?;
    let text = String::from_utf8(bytes).map_err(|_| {
        let problem = stop(format!("`{name}` holds bytes that are not UTF-8 text"));
        Problems::from_iter([problem.hint("save it as UTF-8")])
    })?;
    Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))
}
