//! What has been made, kept by the digest of the photo it was made from.
//!
//! `photos/<recipe>/<first two digits>/<digest>.json` says what there is of a photo, `<digest>-1.jpg` and so on
//! are its renditions, widest first. The record is written last, so an entry that was cut short is none. The
//! folder may be deleted at any time.

use crate::base::digest::Digest;
use crate::base::files::{FileError, with_path};
use crate::model::photo::Album;
use crate::model::{Rendition, Renditions};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

/// Raised by one whenever the same photo would give other bytes: another decoder, filter, quality or size.
pub const RECIPE: &str = "2";
/// The part of the shop's hidden folder that is the photo room's own.
pub const FOLDER: &str = "photos";
const ENDING: &str = "jpg";
/// A record is a few hundred bytes and the placeholder.
const LONGEST_RECORD: u64 = 64 << 10;

/// A rendition before it lies in the cache.
#[derive(Debug)]
pub struct Made {
    pub sizes: Vec<(u32, u32, Vec<u8>)>,
    pub placeholder: String,
}

/// The cache of one recipe.
#[derive(Debug)]
pub struct Cache {
    folder: PathBuf,
}

#[derive(Serialize, Deserialize)]
struct Record {
    photo: Digest,
    sizes: Vec<Size>,
    placeholder: String,
    /// Of all the rest, so that a bent byte is noticed; none in a record of an earlier program.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    check: Option<String>,
}

impl Record {
    /// What `check` has to be.
    fn sum(&self) -> Option<String> {
        let rest = serde_json::to_vec(&(&self.photo, &self.sizes, &self.placeholder)).ok()?;
        Some(Digest::of(&rest).short())
    }
}

#[derive(Serialize, Deserialize)]
struct Size {
    width: u32,
    height: u32,
    bytes: u64,
    digest: Digest,
    /// The file's time when it was last known to be whole, in nanoseconds since 1970.
    stamp: u64,
}

impl Cache {
    pub fn at(cache: &Path) -> Cache {
        Cache { folder: cache.join(FOLDER).join(RECIPE) }
    }

    fn record_path(&self, photo: &Digest) -> PathBuf {
        let hex = photo.hex();
        let drawer = hex.get(..2).unwrap_or_default();
        self.folder.join(drawer).join(format!("{hex}.json"))
    }

    fn rendition_path(&self, photo: &Digest, place: usize) -> PathBuf {
        self.record_path(photo).with_file_name(format!("{}-{}.{ENDING}", photo.hex(), place + 1))
    }

    /// What there is of a photo; nothing if any part of it is missing or damaged.
    pub fn recall(&self, photo: &Digest) -> Option<Renditions> {
        let path = self.record_path(photo);
        let bytes = crate::base::files::read_up_to(&path, LONGEST_RECORD).ok()?;
        let mut record: Record = serde_json::from_slice(&bytes).ok()?;
        if record.photo != *photo || record.sizes.is_empty() {
            return None;
        }
        if record.check.is_some() && record.check != record.sum() {
            return None;
        }
        let mut restamped = false;
        let mut sizes = Vec::new();
        for (place, size) in record.sizes.iter_mut().enumerate() {
            let path = self.rendition_path(photo, place);
            let (length, stamp) = length_and_stamp(&path)?;
            if length != size.bytes {
                return None;
            }
            // A file that was not touched since it was written is whole. Any other (the folder was copied, say)
            // is read once more, and then trusted again.
            if stamp != size.stamp {
                if Digest::of_file(&path).ok()? != size.digest {
                    return None;
                }
                size.stamp = stamp;
                restamped = true;
            }
            let Size { width, height, bytes, digest, .. } = *size;
            sizes.push(Rendition { width, height, bytes, digest, ending: ENDING, path });
        }
        if restamped {
            let _ = self.write_record(photo, &mut record);
        }
        Some(Renditions { sizes, placeholder: record.placeholder })
    }

    /// Keeps what was made of a photo.
    pub fn keep(&self, photo: &Digest, made: Made) -> Result<Renditions, FileError> {
        let placeholder = made.placeholder.clone();
        let mut record = Record { photo: *photo, sizes: Vec::new(), placeholder, check: None };
        let mut sizes = Vec::new();
        for (place, (width, height, file)) in made.sizes.into_iter().enumerate() {
            let path = self.rendition_path(photo, place);
            put(&path, &file)?;
            let digest = Digest::of(&file);
            let bytes = file.len() as u64;
            let stamp = length_and_stamp(&path).map_or(0, |(_, stamp)| stamp);
            record.sizes.push(Size { width, height, bytes, digest, stamp });
            sizes.push(Rendition { width, height, bytes, digest, ending: ENDING, path });
        }
        self.write_record(photo, &mut record)?;
        Ok(Renditions { sizes, placeholder: made.placeholder })
    }

    fn write_record(&self, photo: &Digest, record: &mut Record) -> Result<(), FileError> {
        record.check = record.sum();
        let path = self.record_path(photo);
        let text = with_path(serde_json::to_vec(record).map_err(Into::into), "write", &path)?;
        put(&path, &text)
    }

    /// Removes what belongs to no photo of the album, and all that older recipes left. How many files went.
    pub fn prune(&self, keep: &Album) -> usize {
        let kept: BTreeSet<String> = keep.keys().map(Digest::hex).collect();
        let mut removed = 0;
        for recipe in entries(self.folder.parent().unwrap_or(&self.folder)) {
            let ours = recipe == self.folder;
            for drawer in entries(&recipe) {
                for file in entries(&drawer) {
                    let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
                    let photo = name.get(..64).unwrap_or_default();
                    if !(ours && kept.contains(photo)) && fs::remove_file(&file).is_ok() {
                        removed += 1;
                    }
                }
                let _ = fs::remove_dir(&drawer);
            }
            let _ = fs::remove_dir(&recipe);
        }
        removed
    }
}

/// The folders or files in a folder; none if it cannot be read.
fn entries(folder: &Path) -> Vec<PathBuf> {
    let listed = fs::read_dir(folder).into_iter().flatten();
    listed.filter_map(|entry| Some(entry.ok()?.path())).collect()
}

/// A file's length and the time of its last change.
pub fn length_and_stamp(path: &Path) -> Option<(u64, u64)> {
    let about = fs::metadata(path).ok()?;
    let since = about.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
    Some((about.len(), u64::try_from(since.as_nanos()).ok()?))
}

// After a power cut an entry may be damaged, is noticed as such and made again; waiting for the disk three times
// for each photo would take longer than making it.
pub use crate::base::files::replace_quickly as put;

#[cfg(test)]
mod tests {
    use super::*;

    fn made() -> Made {
        Made { sizes: vec![(16, 9, vec![1; 300]), (8, 5, vec![2; 90])], placeholder: "data:,".to_owned() }
    }

    #[test]
    fn what_is_kept_is_recalled() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::at(folder.path());
        let photo = Digest::of(b"photo");
        assert_eq!(cache.recall(&photo), None);
        let kept = cache.keep(&photo, made()).unwrap();
        assert_eq!(cache.recall(&photo), Some(kept));
        assert_eq!(cache.recall(&Digest::of(b"another")), None);
    }

    #[test]
    fn damage_of_every_kind_is_noticed() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::at(folder.path());
        let photo = Digest::of(b"photo");
        let first = cache.rendition_path(&photo, 0);
        let record = cache.record_path(&photo);
        let bend = || {
            let text = String::from_utf8(fs::read(&record).unwrap()).unwrap();
            put(&record, text.replace("\"width\":16", "\"width\":17").as_bytes()).unwrap();
        };
        let spoils: [&dyn Fn(); 6] = [
            &bend,
            &|| fs::remove_file(&first).unwrap(),
            &|| put(&first, &[1; 299]).unwrap(),
            &|| put(&first, &[9; 300]).unwrap(),
            &|| put(&record, b"{\"photo\":").unwrap(),
            &|| fs::remove_file(&record).unwrap(),
        ];
        for spoil in spoils {
            cache.keep(&photo, made()).unwrap();
            spoil();
            assert_eq!(cache.recall(&photo), None);
        }
    }

    #[test]
    fn a_copied_entry_is_read_again_and_trusted() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::at(folder.path());
        let photo = Digest::of(b"photo");
        let kept = cache.keep(&photo, made()).unwrap();
        put(&cache.rendition_path(&photo, 1), &[2; 90]).unwrap();
        assert_eq!(cache.recall(&photo), Some(kept));
        let record: Record = serde_json::from_slice(&fs::read(cache.record_path(&photo)).unwrap()).unwrap();
        let (_, stamp) = length_and_stamp(&cache.rendition_path(&photo, 1)).unwrap();
        assert_eq!(record.sizes[1].stamp, stamp);
    }

    #[test]
    fn what_earlier_programs_kept_is_read_and_written_as_they_did() {
        // As the program of 2026-11-28 wrote it (commit fd5a994), without the sum that came later.
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::at(folder.path());
        let photo = Digest::of(b"abc");
        let path = cache.rendition_path(&photo, 0);
        put(&path, b"abc").unwrap();
        let (_, stamp) = length_and_stamp(&path).unwrap();
        let hex = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let size =
            format!("{{\"width\":16,\"height\":9,\"bytes\":3,\"digest\":\"{hex}\",\"stamp\":{stamp}}}");
        let text = format!("{{\"photo\":\"{hex}\",\"sizes\":[{size}],\"placeholder\":\"data:,\"}}");
        put(&cache.record_path(&photo), text.as_bytes()).unwrap();
        let recalled = cache.recall(&photo).unwrap();
        assert_eq!((recalled.sizes[0].digest, recalled.sizes[0].width), (photo, 16));
        let mut record: Record = serde_json::from_str(&text).unwrap();
        assert_eq!(serde_json::to_string(&record).unwrap(), text);
        // And with the sum: what is summed up is the same text as before.
        cache.write_record(&photo, &mut record).unwrap();
        let sum = Digest::of(format!("[\"{hex}\",[{size}],\"data:,\"]").as_bytes()).short();
        assert_eq!(record.check, Some(sum));
        assert!(cache.recall(&photo).is_some());
    }

    #[test]
    fn pruning_leaves_only_the_album() {
        let folder = tempfile::tempdir().unwrap();
        let cache = Cache::at(folder.path());
        let (one, two) = (Digest::of(b"one"), Digest::of(b"two"));
        let kept = cache.keep(&one, made()).unwrap();
        cache.keep(&two, made()).unwrap();
        put(&folder.path().join(FOLDER).join("0").join("aa").join("old.jpg"), b"old").unwrap();
        put(&folder.path().join("written.json"), b"{}").unwrap();
        assert_eq!(cache.prune(&Album::from([(one, kept.clone())])), 4);
        assert_eq!(cache.recall(&one), Some(kept));
        assert_eq!(cache.recall(&two), None);
        assert!(
            folder.path().join("written.json").exists() && !folder.path().join(FOLDER).join("0").exists()
        );
    }
}
