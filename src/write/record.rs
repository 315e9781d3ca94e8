//! The record of what the last pass wrote into an output folder.
//!
//! It lies in the shop's hidden folder, never in the output: it lists private addresses.

use super::place;
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::files::{self, FileError};
use crate::base::stamp::Stamp;
use crate::model::{MadeOf, Owner, Spoilt};
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
    #[serde(rename = "key_mark")]
    pub key_print: String,
    /// What changed before had settled when the pass began that wrote this; what is younger is read again.
    #[serde(default)]
    pub moment: Option<i64>,
    /// Parts that could not be made, and the day since which their last good pages stay.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty", with = "words::of_kept")]
    pub kept: BTreeMap<Spoilt, Day>,
    /// By path from the output folder, with forward slashes.
    pub files: BTreeMap<String, WrittenFile>,
}

/// One file of the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WrittenFile {
    /// SHA-256 of its bytes.
    pub digest: Digest,
    /// While a pass is under way: digests of what may still stand there instead.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub before: Vec<Digest>,
    /// What it belongs to, as [`Spoilt::folded`] has it; none if that is unknown.
    #[serde(with = "words::of_owner")]
    pub owner: Option<Owner>,
    /// The day on which its bytes last changed; none if that is unknown.
    #[serde(with = "crate::base::day::or_empty")]
    pub since: Option<Day>,
    /// The photo that it is a size of, if it is one and the program that put it there noted that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo: Option<NotedPhoto>,
    /// Whether it stands in the place of a page that is held back.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub held: bool,
    /// The last day on which it may stand, where it ends by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Day>,
    /// The stamp of the file as it was put there: one with another stamp is read again.
    #[serde(default, skip_serializing_if = "Option::is_none", rename = "mark")]
    pub stamp: Option<Stamp>,
}

/// A photo of the owner's.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NotedPhoto {
    /// SHA-256 of its bytes.
    pub digest: Digest,
    /// Its path from the shop's folder.
    pub file: String,
}

impl NotedPhoto {
    pub fn of(made_of: &MadeOf) -> NotedPhoto {
        NotedPhoto { digest: made_of.digest, file: made_of.file.reveal().clone() }
    }
}

/// The form of record that this program writes; any other is read as no record.
const VERSION: u32 = 1;
/// A record of a million files is about this large; more is no record of ours.
const LIMIT: u64 = 1 << 28;

impl WrittenFile {
    /// One that was found, of which nothing is known but that it is ours.
    pub fn adopted(digest: Digest) -> WrittenFile {
        let before = Vec::new();
        WrittenFile {
            digest,
            before,
            owner: None,
            since: None,
            photo: None,
            held: false,
            until: None,
            stamp: None,
        }
    }

    /// Whether a file of that digest is the one that we put there.
    pub fn is_of(&self, digest: &Digest) -> bool {
        self.digest == *digest || self.before.contains(digest)
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
    pub fn vouches_for(&self, entry: &WrittenFile, stamp: &Stamp) -> bool {
        entry.stamp.as_ref() == Some(stamp) && self.moment.is_some_and(|moment| stamp.is_settled(moment))
    }

    /// Whether there is anything in it that a later record could vouch for and this one cannot.
    fn is_young(&self) -> bool {
        let settled = |stamp: &Stamp| self.moment.is_some_and(|moment| stamp.is_settled(moment));
        self.files.values().any(|entry| !entry.stamp.as_ref().is_some_and(settled))
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

/// What a file of this owner's is noted as.
pub fn noted_owner(owner: &Owner) -> Owner {
    match owner {
        Owner::Shop => Owner::Shop,
        Owner::Part(part) => Owner::Part(part.folded()),
    }
}

/// How the record words owners: `shop`, `job 26-041`, `pose turkey/half-strut`, `page prices`, or `unknown`.
mod words {
    pub mod of_owner {
        use crate::model::{Owner, Spoilt};
        use serde::{Deserialize, Deserializer, Serializer};

        pub fn serialize<S: Serializer>(owner: &Option<Owner>, to: S) -> Result<S::Ok, S::Error> {
            match owner {
                None => to.serialize_str("unknown"),
                Some(Owner::Shop) => to.serialize_str("shop"),
                Some(Owner::Part(part)) => to.serialize_str(&part.words()),
            }
        }

        pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Owner>, D::Error> {
            Ok(match String::deserialize(from)?.as_str() {
                "shop" => Some(Owner::Shop),
                words => Spoilt::of_words(words).map(Owner::Part),
            })
        }
    }

    pub mod of_kept {
        use crate::base::day::Day;
        use crate::model::Spoilt;
        use serde::{Deserialize, Deserializer, Serialize, Serializer};
        use std::collections::BTreeMap;

        pub fn serialize<S: Serializer>(kept: &BTreeMap<Spoilt, Day>, to: S) -> Result<S::Ok, S::Error> {
            let words: BTreeMap<String, Day> = kept.iter().map(|(part, day)| (part.words(), *day)).collect();
            words.serialize(to)
        }

        pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<BTreeMap<Spoilt, Day>, D::Error> {
            let words = BTreeMap::<String, Day>::deserialize(from)?;
            Ok(words.into_iter().filter_map(|(words, day)| Some((Spoilt::of_words(&words)?, day))).collect())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_of_before_is_read_and_written_as_it_was() {
        // As programs wrote it before its parts had types.
        let digest = Digest::of(b"x").hex();
        let text = format!(
            "{{\"version\":1,\"clean\":true,\"key_mark\":\"k\",\"moment\":7,\"kept\":{{\"job 26-021\":\"2026-06-16\",\
             \"page prices\":\"2026-06-17\",\"pose turkey/half-strut\":\"2026-06-18\"}},\"files\":{{\
             \"a.html\":{{\"digest\":\"{digest}\",\"owner\":\"unknown\",\"since\":\"\"}},\
             \"b.jpg\":{{\"digest\":\"{digest}\",\"before\":[\"{digest}\"],\"owner\":\"job 26-021\",\"since\":\"2026-06-16\",\
             \"photo\":{{\"digest\":\"{digest}\",\"file\":\"content/a.jpg\"}},\"held\":true,\"until\":\"2026-07-01\",\
             \"mark\":{{\"bytes\":1,\"written\":2,\"changed\":3,\"node\":4}}}},\
             \"c.html\":{{\"digest\":\"{digest}\",\"owner\":\"shop\",\"since\":\"2026-06-16\"}}}}}}"
        );
        let record: Record = serde_json::from_str(&text).unwrap();
        assert_eq!(record.files["b.jpg"].owner, Some(Owner::Part(Spoilt::Job("26-021".to_owned()))));
        assert_eq!(record.files["a.html"].since, None);
        assert_eq!(record.kept.len(), 3);
        assert_eq!(serde_json::to_string(&record).unwrap(), text);
    }

    #[test]
    fn a_part_is_known_by_its_words() {
        for part in [
            Spoilt::Job("26-041".to_owned()),
            Spoilt::Pose("white-tailed deer".to_owned(), "semi/sneak".to_owned()),
            Spoilt::Page("how we work".to_owned()),
        ] {
            assert_eq!(Spoilt::of_words(&part.words()), Some(part));
        }
        assert_eq!(Spoilt::of_words("unknown"), None);
        assert_eq!(Spoilt::Job("T-9A".to_owned()).folded().words(), "job t-9a");
    }
}
