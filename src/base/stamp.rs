//! Whether a file is still the one that was looked at, told without reading it.
//!
//! Length and time of writing are not enough: a copy that keeps times, or an archive that is unpacked, can put other
//! bytes there with both as they were. Where the system tells it, the time of change (which nobody can set) and the
//! file's number count too.

use serde::{Deserialize, Serialize};
use std::fs::Metadata;
use std::time::UNIX_EPOCH;

/// What a file's entry tells about its content. Times are nanoseconds since 1970.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Stamp {
    pub bytes: u64,
    written: i64,
    changed: i64,
    node: u64,
}

/// A change this long ago shows in the file's time on any file system (FAT counts in steps of two seconds).
pub const SETTLES_IN: i64 = 3_000_000_000;

impl Stamp {
    pub fn of(facts: &Metadata) -> Stamp {
        let written = facts.modified().ok().map_or(0, |time| match time.duration_since(UNIX_EPOCH) {
            Ok(after) => i64::try_from(after.as_nanos()).unwrap_or(i64::MAX),
            Err(before) => i64::try_from(before.duration().as_nanos()).map_or(i64::MIN, |n| -n),
        });
        let (changed, node) = of_system(facts).unwrap_or((written, 0));
        Stamp { bytes: facts.len(), written, changed, node }
    }

    /// The time of the last change.
    pub fn changed(&self) -> i64 {
        self.changed
    }

    /// Whether a later change would have to show in the stamp: for one who looked `SETTLES_IN` after `moment`, by the
    /// file system's own clock. What seems to come from the future (a clock was set back) is never settled.
    pub fn is_settled(&self, moment: i64) -> bool {
        self.changed < moment
    }
}

#[cfg(unix)]
fn of_system(facts: &Metadata) -> Option<(i64, u64)> {
    use std::os::unix::fs::MetadataExt;
    let changed = facts.ctime().checked_mul(1_000_000_000)?.checked_add(facts.ctime_nsec())?;
    Some((changed, facts.ino()))
}

#[cfg(not(unix))]
fn of_system(_: &Metadata) -> Option<(i64, u64)> {
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs::{self, File};
    use std::io::Write;

    #[test]
    fn other_bytes_of_the_same_length_and_time_have_another_stamp() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let put = |bytes: &[u8]| {
            let mut file = File::create(&path).unwrap();
            file.write_all(bytes).unwrap();
            file.set_modified(UNIX_EPOCH + std::time::Duration::from_secs(1_700_000_000)).unwrap();
            drop(file);
            Stamp::of(&fs::metadata(&path).unwrap())
        };
        let before = put(b"one");
        // The clock of the file system counts in steps.
        std::thread::sleep(std::time::Duration::from_millis(20));
        let after = put(b"two");
        assert_eq!((before.bytes, before.written), (after.bytes, after.written));
        assert!(before != after || cfg!(not(unix)));
    }

    #[test]
    fn what_is_young_or_of_the_future_is_not_settled() {
        let stamp = Stamp { bytes: 0, written: 0, changed: 10_000_000_000, node: 0 };
        assert!(stamp.is_settled(10_000_000_001));
        assert!(!stamp.is_settled(10_000_000_000) && !stamp.is_settled(9_000_000_000));
    }
}
