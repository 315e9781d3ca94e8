//! What we put at a place, and what the host called it then. It lies in the shop's hidden folder and never at the
//! host: it lists private addresses.
//!
//! While a posting is under way each step is noted in a journal beside it, so that one that is cut short goes on
//! where it stopped. All of it may be lost: `whose` then knows our files again by themselves.
//!
//! A record is bound to the shop by a keyed hash, so that one that came along with somebody else's hidden folder is not
//! believed. Records of before have no such bond; `post::plan` says what makes one of these credible.

use super::host::HostFile;
use crate::base::digest::Digest;
use crate::base::files::{self, FileError, with_path};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// What stands at one place because we put it there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Record {
    version: u32,
    /// Which shop put it there; empty in a record of before.
    #[serde(default)]
    shop: String,
    /// Whether it is a record of this shop and place, or only the beginning of one.
    #[serde(skip)]
    known: bool,
    /// The place in words.
    pub place: String,
    /// By path from the root of the site.
    pub files: BTreeMap<String, PutFile>,
    /// Private addresses that this shop ever put anything at: a request that was under way when a posting was cut short may land
    /// after everything else of its page has gone.
    #[serde(default)]
    pub addresses: BTreeSet<String>,
    /// Files of somebody else's that were looked into, with the host's tag: they are not read again.
    #[serde(default)]
    pub strangers: BTreeMap<String, String>,
}

/// One file.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct PutFile {
    /// SHA-256 of its bytes; none if it was only announced.
    #[serde(with = "crate::base::digest::or_empty")]
    pub digest: Option<Digest>,
    pub bytes: u64,
    /// What the host called it when it was seen there last; none if it was put and not seen since.
    #[serde(default, skip_serializing_if = "Option::is_none", rename = "mark")]
    pub tag: Option<String>,
}

impl PutFile {
    /// Whether the file is ours whatever it holds: it was announced, and nobody saw it since.
    pub fn is_announced(&self) -> bool {
        self.tag.as_deref() == Some(ANNOUNCED)
    }

    /// One of these.
    pub fn announced() -> PutFile {
        PutFile { tag: Some(ANNOUNCED.to_owned()), ..PutFile::default() }
    }
}

/// Stands where the host's own word will be.
const ANNOUNCED: &str = "?";
const VERSION: u32 = 1;
/// A record of a million files is smaller.
const LIMIT: u64 = 1 << 29;

impl Record {
    /// What is known of a place, with what the journal of a posting that was cut short adds. `bond` is what binds a record
    /// to the shop; a record of before, without one, is taken if it is `credible`.
    pub fn load(shop: &Path, place: &str, bond: &str, credible: &dyn Fn(&Record) -> bool) -> Record {
        let file = file_for(shop, place);
        let fresh = Record { place: place.to_owned(), shop: bond.to_owned(), ..Record::default() };
        let read = files::read_up_to(&file, LIMIT).ok();
        let kept: Option<Record> = read.and_then(|bytes| serde_json::from_slice(&bytes).ok());
        let kept = kept.filter(|record| record.version == VERSION && record.place == place);
        let kept = kept.filter(|record| record.shop.is_empty() || record.shop == bond);
        let mut bound = kept.as_ref().is_none_or(|record| record.shop == bond);
        let mut record = kept.map_or_else(|| fresh.clone(), |record| Record { known: true, ..record });
        if let Ok(lines) = files::read_up_to(&journal_beside(&file), LIMIT) {
            let text = String::from_utf8_lossy(&lines);
            // A last line without an end was cut off.
            let whole = text.rfind('\n').map_or("", |end| &text[..end]);
            // Each posting says first whose it is; those of before did not.
            let mut ours = record.known || !whole.contains("shop\t");
            for line in whole.lines().filter(|line| !line.is_empty()) {
                match line.strip_prefix("shop\t") {
                    Some(whose) => ours = whose == bond,
                    None if ours => {
                        bound &= record.known || whole.contains("shop\t");
                        record.known = true;
                        record.follow(line);
                    }
                    None => {}
                }
            }
        }
        let inside = |path: &str| path.split('/').all(|part| !part.is_empty() && part != "." && part != "..");
        record.files.retain(|path, _| inside(path));
        match bound || credible(&record) {
            true => Record { shop: bond.to_owned(), ..record },
            false => fresh,
        }
    }

    /// Whether a file was looked into before as it is now, and is somebody else's.
    pub fn is_stranger(&self, path: &str, seen: &HostFile) -> bool {
        self.strangers.get(path).is_some_and(|tag| *tag == seen.tag)
    }

    /// Whether anything is known of the place.
    pub fn is_known(&self) -> bool {
        self.known
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
                self.files.entry(path.to_owned()).or_default().tag = Some(ANNOUNCED.to_owned());
            }
            (Some("put"), Some(digest), Some(bytes), Some(path)) => {
                let bytes = bytes.parse().unwrap_or_default();
                self.files
                    .insert(path.to_owned(), PutFile { digest: Digest::from_hex(digest), bytes, tag: None });
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
        record: &Record,
        will: impl Iterator<Item = &'a String>,
    ) -> Result<Journal, FileError> {
        let path = journal_beside(&file_for(shop, &record.place));
        let folder = path.parent().unwrap_or(shop);
        with_path(fs::create_dir_all(folder), "make the folder", folder)?;
        let mut file = with_path(files::open_own(&path, true), "open", &path)?;
        let lines: String = will.map(|path| format!("will\t{path}\n")).collect();
        // A line that was cut off last time ends here.
        let written = file
            .write_all(format!("\nshop\t{}\n{lines}", record.shop).as_bytes())
            .and_then(|()| file.sync_data());
        with_path(written, "write", &path)?;
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

/// The words of every place that a record of this shop is kept of; `bond` gives what binds one of a place.
pub(super) fn places(shop: &Path, bond: &dyn Fn(&str) -> String) -> Vec<String> {
    let entries = fs::read_dir(folder(shop)).into_iter().flatten().flatten();
    let records = entries.filter(|entry| entry.path().extension().is_some_and(|ending| ending == "json"));
    let kept = records.filter_map(|entry| {
        let bytes = files::read_up_to(&entry.path(), LIMIT).ok()?;
        let record =
            serde_json::from_slice::<Record>(&bytes).ok().filter(|record| !record.files.is_empty())?;
        (record.shop.is_empty() || record.shop == bond(&record.place)).then_some(record)
    });
    let mut words: Vec<String> = kept.map(|record| record.place).collect();
    words.sort();
    words
}

/// The copy of the shop's identity that a posting keeps, for a key that is lost later.
pub(super) fn identity_file(shop: &Path) -> PathBuf {
    folder(shop).join("identity")
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

    fn load(shop: &Path, place: &str, bond: &str) -> Record {
        Record::load(shop, place, bond, &|_| false)
    }

    #[test]
    fn a_posting_that_was_cut_short_is_known_by_its_journal() {
        let shop = tempfile::tempdir().unwrap();
        let mut before = load(shop.path(), "p", "b");
        assert!(!before.is_known());
        let old = PutFile { digest: Some(Digest::of(b"d")), bytes: 1, tag: Some("m".to_owned()) };
        before.files.insert("old.html".to_owned(), old.clone());
        before.files.insert("same.html".to_owned(), old.clone());
        before.save(shop.path()).unwrap();
        let will = ["old.html".to_owned(), "new.html".to_owned()];
        let journal = Journal::begin(shop.path(), &before, will.iter()).unwrap();
        journal.put("new.html", &Digest::of(b"x"), 1);
        journal.gone("gone.html");
        drop(journal);
        let cut = journal_beside(&file_for(shop.path(), "p"));
        fs::OpenOptions::new().append(true).open(&cut).unwrap().write_all(b"put\tabc").unwrap();
        let after = load(shop.path(), "p", "b");
        assert_eq!(after.files["same.html"], old);
        assert_eq!(after.files["new.html"].digest, Some(Digest::of(b"x")));
        assert!(after.files["old.html"].is_announced(), "it may be either version");
        after.save(shop.path()).unwrap();
        assert_eq!(load(shop.path(), "p", "b"), Record { version: VERSION, ..after });
        assert!(load(shop.path(), "another place", "b").files.is_empty());
        assert_eq!(places(shop.path(), &|_| "b".to_owned()), ["p"]);
        // Another shop's hidden folder says nothing.
        let other = load(shop.path(), "p", "another bond");
        assert!(other.files.is_empty() && !other.is_known());
        assert!(places(shop.path(), &|_| "another bond".to_owned()).is_empty());
    }

    #[test]
    fn a_record_of_before_is_read_and_written_as_it_was() {
        // As programs wrote it before its parts had types: one file that was only announced, one that was seen.
        let digest = Digest::of(b"x").hex();
        let text = format!(
            "{{\"version\":1,\"shop\":\"b\",\"place\":\"p\",\"files\":{{\"a.html\":{{\"digest\":\"\",\"bytes\":0,\"mark\":\"?\"}},\
             \"b.html\":{{\"digest\":\"{digest}\",\"bytes\":1,\"mark\":\"tag\"}},\"c.html\":{{\"digest\":\"{digest}\",\"bytes\":1}}}},\
             \"addresses\":[\"0123456789abcdef\"],\"strangers\":{{\"d.html\":\"tag\"}}}}"
        );
        let record: Record = serde_json::from_str(&text).unwrap();
        assert!(record.files["a.html"].is_announced() && record.files["a.html"].digest.is_none());
        assert_eq!(record.files["b.html"].digest, Some(Digest::of(b"x")));
        assert_eq!(serde_json::to_string(&record).unwrap(), text);
    }

    #[test]
    fn the_journal_of_another_shop_is_not_followed() {
        let shop = tempfile::tempdir().unwrap();
        let journal = |bond: &str, path: &str| {
            let record = load(shop.path(), "p", bond);
            drop(Journal::begin(shop.path(), &record, [path.to_owned()].iter()).unwrap());
        };
        journal("theirs", "a.html");
        assert!(!load(shop.path(), "p", "ours").is_known());
        journal("ours", "b.html");
        let record = load(shop.path(), "p", "ours");
        assert_eq!(record.files.keys().collect::<Vec<_>>(), ["b.html"]);
        assert!(record.is_known());
    }

    #[test]
    fn a_record_of_before_is_taken_if_it_is_credible() {
        let shop = tempfile::tempdir().unwrap();
        let mut old = Record { place: "p".to_owned(), ..Record::default() };
        old.files.insert("a.html".to_owned(), PutFile::default());
        old.save(shop.path()).unwrap();
        assert!(!load(shop.path(), "p", "b").is_known());
        let taken = Record::load(shop.path(), "p", "b", &|_| true);
        assert!(taken.is_known() && taken.files.len() == 1 && taken.shop == "b");
    }
}
