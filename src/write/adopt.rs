//! Knowing our own files again when the record is gone: pages and sealed files carry a mark, the rest is named by
//! what it holds. A file without either is somebody else's.

use super::put;
use super::record::{Record, WrittenFile};
use crate::base::digest::Digest;
use crate::base::files::{self, is_draft_name};
use crate::base::ours::{BEGINNING, has_mark};
use crate::model::Role;
use crate::model::role::{KnownBy, content_name};
use crate::model::seal::MARK;
use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::Path;

/// Folders deeper than this are not ours.
const DEEPEST: usize = 6;

/// A record of everything in `out` that is ours beyond doubt. Drafts go: with the record lost nothing else says what a
/// pass that was cut short had begun, and a draft may be of a page that nobody makes any more.
pub fn whatever_is_ours(out: &Path) -> Record {
    let mut files = BTreeMap::new();
    let mut drafts = Vec::new();
    gather(out, "", 0, &mut |at, path| {
        if is_draft_name(path.rsplit('/').next().unwrap_or(path)) {
            drafts.push(path.to_owned());
        } else if is_ours(at, path) {
            files.extend(Digest::of_file(at).map(|digest| (path.to_owned(), WrittenFile::adopted(digest))));
        }
    });
    for draft in drafts {
        put::take_away(out, &draft, &out.join(&draft));
    }
    Record { clean: false, files, ..Record::default() }
}

/// Hands over every file of a folder, with its path from the outermost one.
fn gather(folder: &Path, prefix: &str, depth: usize, found: &mut dyn FnMut(&Path, &str)) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let Ok(name) = entry.file_name().into_string() else { continue };
        let Ok(kind) = entry.file_type() else { continue };
        let path = format!("{prefix}{name}");
        if kind.is_dir() && depth < DEEPEST {
            gather(&entry.path(), &format!("{path}/"), depth + 1, found);
        } else if kind.is_file() {
            found(&entry.path(), &path);
        }
    }
}

/// Whether a file of the output folder is ours: by its mark, or by a name made of its content.
pub fn is_ours(at: &Path, path: &str) -> bool {
    match Role::of(path).known_by() {
        KnownBy::Mark => beginning(at).is_some_and(|bytes| has_mark(&bytes)),
        KnownBy::Name => content_name(path).is_some_and(|name| is_named_by(at, name)),
        KnownBy::Seal => is_sealed(at),
        KnownBy::Nothing => false,
    }
}

fn is_sealed(at: &Path) -> bool {
    let mut head = [0; MARK.len()];
    files::open(at).and_then(|mut file| file.read_exact(&mut head)).is_ok_and(|()| head == MARK)
}

fn beginning(at: &Path) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    files::open(at).ok()?.take(BEGINNING as u64).read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

fn is_named_by(at: &Path, name: &str) -> bool {
    Digest::of_file(at).is_ok_and(|digest| digest.short() == name)
}
