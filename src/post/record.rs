//! What we put at a place, and what the host called it then. It lies in the shop's hidden folder and never at the
//! host: it lists private addresses.
//!
//! While a posting is under way each step is noted in a journal beside it, so that one that is cut short goes on
//! where it stopped. All of it may be lost: `plan` then knows our files again by themselves.

use crate::base::digest::Digest;
use crate::base::files::{self, FileError, told};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// What stands at one place because we put it there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Record {
    version: u32,
    /// The place in words.
    pub place: String,
    /// By path from the root of the site.
    pub files: BTreeMap<String, Entry>,
    /// Files of somebody else's that were looked into, with the host's mark: they are not read again.
    #[serde(default)]
    pub strangers: BTreeMap<String, String>,
}

/// One file.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Entry {
    /// SHA-256 in hexadecimal digits; empty if it was only announced.
    pub digest: String,
    pub bytes: u64,
    /// What the host called it when it was seen there last; none if it was put and not seen since.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mark: Option<String>,
}

const VERSION: u32 = 1;
/// A record of a million files is smaller.
const LIMIT: u64 = 1 << 29;

impl Record {
    /// What is known of a place, with what the journal of a posting that was cut short adds.
    pub fn load(shop: &Path, place: &str) -> Record {
        let file = file_for(shop, place);
        let read = files::read_up_to(&file, LIMIT).ok();
        let kept: Option<Record> = read.and_then(|bytes| serde_json::from_slice(&bytes).ok());
        let kept = kept.filter(|record| record.version == VERSION && record.place == place);
        let mut record = kept.unwrap_or_else(|| Record { place: place.to_owned(), ..Record::default() });
        if let Ok(lines) = files::read_up_to(&journal_beside(&file), LIMIT) {
            let text = String::from_utf8_lossy(&lines);
            // A last line without an end was cut off.
            let whole = text.rfind('\n').map_or("", |end| &text[..end]);
            whole.lines().for_each(|line| record.follow(line));
        }
        let inside = |path: &str| path.split('/').all(|part| !part.is_empty() && part != "." && part != "..");
        record.files.retain(|path, _| inside(path));
        record
    }

    /// Saves it whole; the journal has done its work then.
    pub fn save(&self, shop: &Path) -> Result<(), FileError> {
        let file = file_for(shop, &self.place);
        let record = Record { version: VERSION, ..self.clone() };
        files::replace(&file, &serde_json::to_vec(&record).unwrap_or_default())?;
        let journal = journal_beside(&file);
        match journal.exists() {
            true => files::replace(&journal, b""),
            false => Ok(()),
        }
    }

    fn follow(&mut self, line: &str) {
        let mut parts = line.splitn(4, '\t');
        match (parts.next(), parts.next(), parts.next(), parts.next()) {
            (Some("will"), Some(path), None, None) => {
                self.files.entry(path.to_owned()).or_default().mark = Some("?".to_owned());
            }
            (Some("put"), Some(digest), Some(bytes), Some(path)) => {
                let bytes = bytes.parse().unwrap_or_default();
                self.files.insert(path.to_owned(), Entry { digest: digest.to_owned(), bytes, mark: None });
            }
            (Some("gone"), Some(path), None, None) => drop(self.files.remove(path)),
            _ => {}
        }
    }
}

/// The journal of the posting that is under way.
#[derive(Debug)]
pub(super) struct Journal(Mutex<File>);

impl Journal {
    /// Begins it by announcing what will be put: whatever is found there later was ours to write.
    pub fn begin<'a>(
        shop: &Path,
        place: &str,
        will: impl Iterator<Item = &'a String>,
    ) -> Result<Journal, FileError> {
        let path = journal_beside(&file_for(shop, place));
        let folder = path.parent().unwrap_or(shop);
        told(fs::create_dir_all(folder), "make the folder", folder)?;
        let mut file = told(files::open_own(&path, true), "open", &path)?;
        let lines: String = will.map(|path| format!("will\t{path}\n")).collect();
        // A line that was cut off last time ends here.
        let written = file.write_all(format!("\n{lines}").as_bytes()).and_then(|()| file.sync_data());
        told(written, "write", &path)?;
        Ok(Journal(Mutex::new(file)))
    }

    pub fn put(&self, path: &str, digest: &Digest, bytes: u64) {
        self.note(&format!("put\t{}\t{bytes}\t{path}\n", digest.hex()));
    }

    pub fn gone(&self, path: &str) {
        self.note(&format!("gone\t{path}\n"));
    }

    fn note(&self, line: &str) {
        // A note that cannot be taken makes the next posting put the file once more.
        let _ = self.0.lock().unwrap_or_else(PoisonError::into_inner).write_all(line.as_bytes());
    }
}

/// The words of every place that a record is kept of.
pub(super) fn places(shop: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder(shop)).into_iter().flatten().flatten();
    let records = entries.filter(|entry| entry.path().extension().is_some_and(|ending| ending == "json"));
    let kept = records.filter_map(|entry| {
        let bytes = files::read_up_to(&entry.path(), LIMIT).ok()?;
        serde_json::from_slice::<Record>(&bytes).ok().filter(|record| !record.files.is_empty())
    });
    let mut words: Vec<String> = kept.map(|record| record.place).collect();
    words.sort();
    words
}

/// The lock of a place: two postings at once would undo each other's work.
pub(super) fn lock_file(shop: &Path, place: &str) -> PathBuf {
    file_for(shop, place).with_extension("lock")
}

fn folder(shop: &Path) -> PathBuf {
    shop.join(".benchlight").join("posted")
}

fn file_for(shop: &Path, place: &str) -> PathBuf {
    folder(shop).join(format!("{}.json", Digest::of(place.as_bytes()).short()))
}

fn journal_beside(file: &Path) -> PathBuf {
    file.with_extension("going")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_posting_that_was_cut_short_is_known_by_its_journal() {
        let shop = tempfile::tempdir().unwrap();
        let mut before = Record { place: "p".to_owned(), ..Record::default() };
        let old = Entry { digest: "d".to_owned(), bytes: 1, mark: Some("m".to_owned()) };
        before.files.insert("old.html".to_owned(), old.clone());
        before.files.insert("same.html".to_owned(), old.clone());
        before.save(shop.path()).unwrap();
        let will = ["old.html".to_owned(), "new.html".to_owned()];
        let journal = Journal::begin(shop.path(), "p", will.iter()).unwrap();
        journal.put("new.html", &Digest::of(b"x"), 1);
        journal.gone("gone.html");
        drop(journal);
        let cut = journal_beside(&file_for(shop.path(), "p"));
        fs::OpenOptions::new().append(true).open(&cut).unwrap().write_all(b"put\tabc").unwrap();
        let after = Record::load(shop.path(), "p");
        assert_eq!(after.files["same.html"], old);
        assert_eq!(after.files["new.html"].digest, Digest::of(b"x").hex());
        assert_eq!(after.files["old.html"].mark.as_deref(), Some("?"), "it may be either version");
        after.save(shop.path()).unwrap();
        assert_eq!(Record::load(shop.path(), "p"), Record { version: VERSION, ..after });
        assert!(Record::load(shop.path(), "another place").files.is_empty());
        assert_eq!(places(shop.path()), ["p"]);
    }
}
