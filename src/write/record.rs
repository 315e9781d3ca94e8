//! The record of what the last pass wrote into an output folder.
//!
//! It lies in the shop's hidden folder, never in the output: it lists private addresses.

use super::place;
use crate::base::digest::Digest;
use crate::base::files::{self, FileError};
use crate::base::private::Private;
use crate::base::stamp::Stamp;
use crate::model::{MadeOf, Owner};
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
    /// What changed before had settled when the pass began that wrote this; what is younger is read again.
    #[serde(default)]
    pub moment: Option<i64>,
    /// Parts that could not be made, and the day since which their last good pages stay.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub kept: BTreeMap<String, String>,
    /// By path from the output folder, with forward slashes.
    pub files: BTreeMap<String, Entry>,
}

/// One file of the record.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub digest: String,
    /// While a pass is under way: digests of what may still stand there instead.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub before: Vec<String>,
    /// What it belongs to: `shop`, `job 26-041`, `pose turkey/half-strut`, `page prices`, or `unknown`.
    pub owner: String,
    /// The day on which its bytes last changed.
    pub since: String,
    /// The photo that it is a size of, if it is one and the program that put it there noted that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo: Option<Photo>,
    /// Whether it stands in the place of a page that is held back.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub held: bool,
    /// The last day on which it may stand, where it ends by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<String>,
    /// The stamp of the file as it was put there: one with another stamp is read again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mark: Option<Stamp>,
}

/// A photo of the owner's.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Photo {
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub digest: String,
    /// Its path from the shop's folder.
    pub file: String,
}

impl Photo {
    pub fn of(made_of: &MadeOf) -> Photo {
        Photo { digest: made_of.digest.hex(), file: made_of.file.reveal().clone() }
    }
}

/// What the record says of a photo; none if it is no digest.
pub fn made_of(photo: &Photo) -> Option<MadeOf> {
    Some(MadeOf { digest: Digest::from_hex(&photo.digest)?, file: Private::new(photo.file.clone()) })
}

/// The form of record that this program writes; any other is read as no record.
const VERSION: u32 = 1;
/// A record of a million files is about this large; more is no record of ours.
const LIMIT: u64 = 1 << 28;

impl Entry {
    /// Whether a file of that digest is the one that we put there.
    pub fn is_of(&self, digest: &Digest) -> bool {
        let hex = digest.hex();
        self.digest == hex || self.before.contains(&hex)
    }
}

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

    /// Whether the file at `at` is the one that this record speaks of, told without reading it.
    pub fn vouches_for(&self, entry: &Entry, stamp: &Stamp) -> bool {
        entry.mark.as_ref() == Some(stamp) && self.moment.is_some_and(|moment| stamp.is_settled(moment))
    }

    /// Whether there is anything in it that a later record could vouch for and this one cannot.
    fn is_young(&self) -> bool {
        let settled = |stamp: &Stamp| self.moment.is_some_and(|moment| stamp.is_settled(moment));
        self.files.values().any(|entry| !entry.mark.as_ref().is_some_and(settled))
    }

    /// Saves it unless the one that stands there, `old`, says the same and vouches for as much.
    pub fn save_after(&self, old: &Record, path: &Path) -> Result<(), FileError> {
        let same = Record { moment: old.moment, version: old.version, ..self.clone() } == *old;
        if same && !old.is_young() { Ok(()) } else { self.save(path) }
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
        Owner::Part(part) => part.noted(),
    }
}
