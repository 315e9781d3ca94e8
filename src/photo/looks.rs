//! Looks remembered from the last pass, so that a season's thousands of photos are not read again for each page.
//!
//! A file whose path, length and time of change are as they were is taken to hold what it held. One that was
//! changed so shortly before the memory was written that its time could not tell is looked at again.

use super::cache::{FOLDER, length_and_stamp, put};
use super::look::look;
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::files::{FileError, read_up_to, told};
use crate::model::{Format, Look, PhotoFault};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// A change this long before the memory was written shows in the file's time on any file system (FAT counts in
/// steps of two seconds), in nanoseconds.
const SETTLED: u64 = 3_000_000_000;
/// Enough for a hundred thousand photos.
const LONGEST_MEMORY: u64 = 64 << 20;
const FILE: &str = "looks.json";

/// What files were found to be, by path.
#[derive(Debug)]
pub struct Looks {
    file: PathBuf,
    before: BTreeMap<String, Seen>,
    now: Mutex<BTreeMap<String, Seen>>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Seen {
    bytes: u64,
    stamp: u64,
    digest: String,
    format: String,
    width: u32,
    height: u32,
    taken: Option<(String, u32)>,
}

impl Looks {
    /// What was remembered in the shop's hidden folder; nothing if that is missing or damaged.
    pub fn open(cache: &Path) -> Looks {
        let file = cache.join(FOLDER).join(FILE);
        let written = length_and_stamp(&file).map_or(0, |(_, stamp)| stamp);
        let bytes = read_up_to(&file, LONGEST_MEMORY).unwrap_or_default();
        let mut before: BTreeMap<String, Seen> = serde_json::from_slice(&bytes).unwrap_or_default();
        before.retain(|_, seen| seen.stamp.saturating_add(SETTLED) < written);
        Looks { file, before, now: Mutex::default() }
    }

    /// Looks at a file as [`look`] does, or remembers what it is.
    pub fn look(&self, path: &Path) -> Result<Look, PhotoFault> {
        let place = path.to_str().zip(length_and_stamp(path));
        let Some((name, (bytes, stamp))) = place else { return look(path) };
        let same = self.before.get(name).filter(|seen| (seen.bytes, seen.stamp) == (bytes, stamp));
        let known = same.and_then(|seen| Some((seen.look()?, seen.clone())));
        let (found, seen) = match known {
            Some(known) => known,
            None => {
                let found = look(path)?;
                let seen = Seen::of(&found, bytes, stamp);
                (found, seen)
            }
        };
        self.now.lock().unwrap_or_else(PoisonError::into_inner).insert(name.to_owned(), seen);
        Ok(found)
    }

    /// Remembers what was looked at this time, and nothing else.
    pub fn keep(&self) -> Result<(), FileError> {
        let now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        if *now == self.before {
            return Ok(());
        }
        let text = told(serde_json::to_vec(&*now).map_err(Into::into), "write", &self.file)?;
        put(&self.file, &text)
    }
}

impl Seen {
    fn of(look: &Look, bytes: u64, stamp: u64) -> Seen {
        Seen {
            bytes,
            stamp,
            digest: look.digest.hex(),
            format: format!("{:?}", look.format),
            width: look.width,
            height: look.height,
            taken: look.exif_taken.map(|(day, second)| (day.iso(), second)),
        }
    }

    fn look(&self) -> Option<Look> {
        let all = [Format::Jpeg, Format::Png, Format::WebP, Format::Gif, Format::Heic, Format::Avif];
        let taken = match &self.taken {
            Some((day, second)) => Some((Day::parse(day)?, *second)),
            None => None,
        };
        Some(Look {
            digest: Digest::from_hex(&self.digest)?,
            format: all.into_iter().find(|f| format!("{f:?}") == self.format)?,
            width: self.width,
            height: self.height,
            exif_taken: taken,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::files;
    use std::fs::File;
    use std::time::{Duration, UNIX_EPOCH};

    fn gif(colour: u8) -> Vec<u8> {
        let mut file = b"GIF89a\x01\0\x01\0\x80\0\0".to_vec();
        file.extend([colour, 0, 0, 9, 9, 9, 0x2C, 0, 0, 0, 0, 1, 0, 1, 0, 0, 2, 2, 0x44, 1, 0, 0x3B]);
        file
    }

    fn set_time(path: &Path, seconds: u64) {
        let file = File::options().write(true).open(path).unwrap();
        file.set_modified(UNIX_EPOCH + Duration::from_secs(seconds)).unwrap();
    }

    #[test]
    fn an_untouched_file_is_remembered_and_a_changed_one_looked_at() {
        let folder = tempfile::tempdir().unwrap();
        let photo = folder.path().join("a.gif");
        files::replace(&photo, &gif(1)).unwrap();
        set_time(&photo, 1_700_000_000);
        let first = Looks::open(folder.path());
        let seen = first.look(&photo).unwrap();
        assert_eq!(seen, look(&photo).unwrap());
        first.keep().unwrap();

        // Same length and time: that is not looked at, which shows that the memory is used.
        files::replace(&photo, &gif(2)).unwrap();
        set_time(&photo, 1_700_000_000);
        assert_eq!(Looks::open(folder.path()).look(&photo).unwrap(), seen);
        set_time(&photo, 1_700_000_001);
        assert_ne!(Looks::open(folder.path()).look(&photo).unwrap(), seen);
    }

    #[test]
    fn a_file_as_young_as_the_memory_is_looked_at_again() {
        let folder = tempfile::tempdir().unwrap();
        let photo = folder.path().join("a.gif");
        files::replace(&photo, &gif(1)).unwrap();
        let first = Looks::open(folder.path());
        first.look(&photo).unwrap();
        first.keep().unwrap();
        assert!(Looks::open(folder.path()).before.is_empty());
        put(&folder.path().join(FOLDER).join(FILE), b"{ half").unwrap();
        assert!(Looks::open(folder.path()).before.is_empty());
    }
}
