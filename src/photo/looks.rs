//! Looks remembered from the last pass, so that a season's thousands of photos are not read again for each page.
//!
//! A file whose stamp is as it was is taken to hold what it held. One that was changed so shortly before it was
//! looked at that its stamp could not tell is looked at again.

use super::cache::{FOLDER, put};
use super::look::look;
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::files::{FileError, read_up_to, with_path};
use crate::base::stamp::{SETTLES_IN, Stamp};
use crate::model::{Format, Look, PhotoFault};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Enough for a hundred thousand photos.
const LONGEST_MEMORY: u64 = 64 << 20;
const FILE: &str = "looks.json";

/// What files were found to be, by path.
#[derive(Debug)]
pub struct Looks {
    file: PathBuf,
    /// Whether what is not looked at again is forgotten.
    forgets: bool,
    before: BTreeMap<String, RememberedLook>,
    now: Mutex<BTreeMap<String, RememberedLook>>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct RememberedLook {
    stamp: Stamp,
    digest: Digest,
    format: Format,
    width: u32,
    height: u32,
    taken: Option<(Day, u32)>,
}

impl Looks {
    /// What was remembered in the shop's hidden folder; nothing if that is missing or damaged.
    pub fn open(cache: &Path) -> Looks {
        let file = cache.join(FOLDER).join(FILE);
        let written = stamp_of(&file).map_or(i64::MIN, |stamp| stamp.changed() - SETTLES_IN);
        let bytes = read_up_to(&file, LONGEST_MEMORY).unwrap_or_default();
        let mut before: BTreeMap<String, RememberedLook> = serde_json::from_slice(&bytes).unwrap_or_default();
        before.retain(|_, remembered| remembered.stamp.is_settled(written));
        Looks { file, forgets: true, before, now: Mutex::default() }
    }

    /// Goes on to another pass, after one for which all that was older than `moment` had settled. From now on what
    /// is not looked at stays known: who reads only what changed does not look at the rest.
    pub fn go_on(&mut self, moment: Option<i64>) {
        self.forgets = false;
        let looked_at = std::mem::take(self.now.get_mut().unwrap_or_else(PoisonError::into_inner));
        let settled =
            |remembered: &RememberedLook| moment.is_some_and(|moment| remembered.stamp.is_settled(moment));
        for (name, remembered) in looked_at {
            match settled(&remembered) {
                true => drop(self.before.insert(name, remembered)),
                false => drop(self.before.remove(&name)),
            }
        }
    }

    /// Looks at a file as [`look`] does, or remembers what it is.
    pub fn look(&self, path: &Path) -> Result<Look, PhotoFault> {
        let Some((name, stamp)) = path.to_str().zip(stamp_of(path)) else { return look(path) };
        let same = self.before.get(name).filter(|remembered| remembered.stamp == stamp);
        let known = same.map(|remembered| (remembered.look(), remembered.clone()));
        let (found, remembered) = match known {
            Some(known) => known,
            None => {
                let found = look(path)?;
                let remembered = RememberedLook::of(&found, stamp);
                (found, remembered)
            }
        };
        self.now.lock().unwrap_or_else(PoisonError::into_inner).insert(name.to_owned(), remembered);
        Ok(found)
    }

    /// Remembers for a later run what was looked at.
    pub fn keep(&self) -> Result<(), FileError> {
        let now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        let nothing_new = now.iter().all(|(name, remembered)| self.before.get(name) == Some(remembered));
        if nothing_new && (!self.forgets || now.len() == self.before.len()) {
            return Ok(());
        }
        let mut all: BTreeMap<&String, &RememberedLook> = BTreeMap::new();
        if !self.forgets {
            all.extend(&self.before);
        }
        all.extend(&*now);
        let text = with_path(serde_json::to_vec(&all).map_err(Into::into), "write", &self.file)?;
        put(&self.file, &text)
    }
}

fn stamp_of(path: &Path) -> Option<Stamp> {
    Some(Stamp::of(&std::fs::metadata(path).ok()?))
}

impl RememberedLook {
    fn of(look: &Look, stamp: Stamp) -> RememberedLook {
        RememberedLook {
            stamp,
            digest: look.digest,
            format: look.format,
            width: look.width,
            height: look.height,
            taken: look.exif_taken,
        }
    }

    fn look(&self) -> Look {
        Look {
            digest: self.digest,
            format: self.format,
            width: self.width,
            height: self.height,
            exif_taken: self.taken,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::files;
    use std::fs::File;

    fn gif(colour: u8) -> Vec<u8> {
        let mut file = b"GIF89a\x01\0\x01\0\x80\0\0".to_vec();
        file.extend([colour, 0, 0, 9, 9, 9, 0x2C, 0, 0, 0, 0, 1, 0, 1, 0, 0, 2, 2, 0x44, 1, 0, 0x3B]);
        file
    }

    #[test]
    fn an_untouched_file_is_remembered_and_a_changed_one_looked_at() {
        let folder = tempfile::tempdir().unwrap();
        let photo = folder.path().join("a.gif");
        files::replace(&photo, &gif(1)).unwrap();
        let first = Looks::open(folder.path());
        let remembered = first.look(&photo).unwrap();
        assert_eq!(remembered, look(&photo).unwrap());
        first.keep().unwrap();

        // A memory that says something else of the file shows that it is used.
        let remembered = || {
            let mut looks = Looks::open(folder.path());
            let text = std::fs::read(&looks.file).unwrap();
            let mut all: BTreeMap<String, RememberedLook> = serde_json::from_slice(&text).unwrap();
            all.values_mut().for_each(|remembered| remembered.width = 77);
            looks.before = all;
            looks
        };
        assert_eq!(remembered().look(&photo).unwrap().width, 77);
        // Another file of the same length and time of writing, as a copy that keeps times leaves it.
        let written = std::fs::metadata(&photo).unwrap().modified().unwrap();
        files::replace(&photo, &gif(2)).unwrap();
        File::options().write(true).open(&photo).unwrap().set_modified(written).unwrap();
        assert_eq!(remembered().look(&photo).unwrap(), look(&photo).unwrap());
    }

    #[test]
    fn later_passes_of_one_program_keep_what_they_do_not_look_at() {
        let folder = tempfile::tempdir().unwrap();
        let (one, two) = (folder.path().join("1.gif"), folder.path().join("2.gif"));
        files::replace(&one, &gif(1)).unwrap();
        files::replace(&two, &gif(2)).unwrap();
        let mut looks = Looks::open(folder.path());
        looks.look(&one).unwrap();
        // Long after: the file has settled.
        looks.go_on(Some(i64::MAX));
        looks.look(&two).unwrap();
        looks.keep().unwrap();
        let text = std::fs::read(&looks.file).unwrap();
        assert_eq!(serde_json::from_slice::<BTreeMap<String, RememberedLook>>(&text).unwrap().len(), 2);
        looks.go_on(Some(0));
        assert!(!looks.before.contains_key(two.to_str().unwrap()), "too young to be trusted");
    }

    #[test]
    fn what_earlier_programs_remembered_is_read_and_written_as_they_did() {
        // As the program of 2026-11-28 wrote it (commit fd5a994).
        let line = |format: &str| {
            format!(
                "{{\"stamp\":{{\"bytes\":1,\"written\":2,\"changed\":3,\"node\":4}},\"digest\":\"{}\",\"format\":\"{format}\",\
                 \"width\":5,\"height\":6,\"taken\":[\"2026-05-02\",7]}}",
                "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
            )
        };
        for (word, format) in [("Jpeg", Format::Jpeg), ("WebP", Format::WebP), ("Heic", Format::Heic)] {
            let remembered: RememberedLook = serde_json::from_str(&line(word)).unwrap();
            let look = remembered.look();
            assert_eq!((look.format, look.digest), (format, Digest::of(b"abc")));
            assert_eq!(look.exif_taken, Some((Day::parse("2026-05-02").unwrap(), 7)));
            assert_eq!(serde_json::to_string(&remembered).unwrap(), line(word));
        }
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
