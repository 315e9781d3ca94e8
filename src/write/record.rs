//! The record of what the last pass wrote into an output folder.
//!
//! It lies in the shop's hidden folder, never in the output: it lists private addresses.

use super::place;
use crate::base::digest::Digest;
use crate::base::files::{self, FileError};
use crate::model::{Owner, Spoilt};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What stands in an output folder because Benchlight put it there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Record {
    /// Form of this file.
    pub version: u32,
    /// Whether the pass that wrote it came to its end.
    pub clean: bool,
    /// Changes when the shop's key does.
    pub key_mark: String,
    /// By path from the output folder, with forward slashes.
    pub files: BTreeMap<String, Entry>,
}

/// One file of the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub digest: String,
    /// What it belongs to: `shop`, `job 26-041`, `pose turkey/half-strut`, `page prices`, or `unknown`.
    pub owner: String,
    /// The day on which its bytes last changed.
    pub since: String,
    /// The last day on which it may stand, where it ends by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<String>,
    /// When the file was put there, in nanoseconds since 1970: a file with another time is looked at again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stamp: Option<u64>,
}

/// The form of record that this program writes; any other is read as no record.
const VERSION: u32 = 1;
/// A record of a million files is about this large; more is no record of ours.
const LIMIT: u64 = 1 << 28;

impl Record {
    /// No record, and nothing that it would speak of.
    pub fn none() -> Record {
        Record { clean: true, ..Record::default() }
    }

    /// The record at `path`; none if there is none, or it cannot be understood.
    pub fn load(path: &Path) -> Option<Record> {
        let bytes = files::read_up_to(path, LIMIT).ok()?;
        let record: Record = serde_json::from_slice(&bytes).ok()?;
        let inside =
            |path: &String| path.split('/').all(|part| !part.is_empty() && part != "." && part != "..");
        (record.version == VERSION && record.files.keys().all(inside)).then_some(record)
    }

    pub fn save(&self, path: &Path) -> Result<(), FileError> {
        let mut copy = self.clone();
        copy.version = VERSION;
        files::replace(path, &serde_json::to_vec(&copy).unwrap_or_default())
    }

    pub fn save_if_changed(&self, path: &Path) -> Result<(), FileError> {
        let stands = Record::load(path).is_some_and(|old| Record { version: VERSION, ..self.clone() } == old);
        if stands { Ok(()) } else { self.save(path) }
    }
}

/// Where the record of an output folder lies. A folder inside the shop is known by its path from
/// there, so that the whole shop may be moved.
pub fn file_for(out: &Path, shop: &Path) -> PathBuf {
    let (out, shop_real) = (place::resolved(out), place::resolved(shop));
    let name = match out.strip_prefix(&shop_real) {
        Ok(inside) => format!("inside {}", inside.display()),
        Err(_) => format!("outside {}", out.display()),
    };
    super::hidden_folder(shop).join("written").join(format!("{}.json", Digest::of(name.as_bytes()).short()))
}

/// The word for an owner in the record.
pub fn owner_word(owner: &Owner) -> String {
    match owner {
        Owner::Shop => "shop".to_owned(),
        Owner::Part(part) => part_word(part),
    }
}

/// The word for a part of the shop in the record.
pub fn part_word(part: &Spoilt) -> String {
    match part {
        Spoilt::Job(number) => format!("job {}", number.to_ascii_lowercase()),
        Spoilt::Pose(animal, key) => format!("pose {animal}/{key}"),
        Spoilt::Page(key) => format!("page {key}"),
    }
}
