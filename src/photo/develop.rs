//! The pass over all photos: what is in the cache is taken from there, the rest is made, in the order asked for.

use super::bounds::{self, Allowance};
use super::cache::{Cache, Made};
use super::{apart, look};
use crate::base::digest::Digest;
use crate::base::files::FileError;
use crate::model::photo::Album;
use crate::model::{PhotoFault, Picture, Renditions};
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// What making one photo takes besides decoding it: the resizer's and encoder's buffers and three renditions.
const MAKING: u64 = 16 << 20;
/// More cores than this are left to others: each worker's memory comes to some 50 MB with what the system's
/// allocator holds back for it, and two make a hundred photos in four seconds.
const MOST_WORKERS: usize = 2;
/// A picture whose decoding takes more than this is made when all others are: a large progressive JPEG, a WebP.
const HEAVY: u64 = 64 << 20;

/// Makes what is shown of each picture, or finds it in the cache. Each failure comes with its picture; a pass
/// that is cut short loses none that was made. `progress` is told how many are done, of how many.
pub fn develop(
    pictures: &[Picture],
    cache: &Path,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> (Album, Vec<(Picture, PhotoFault)>) {
    let cache = Cache::at(cache);
    let mut album = Album::new();
    // The same photo in two places is one photo.
    let mut wanted: BTreeMap<Digest, ()> = BTreeMap::new();
    let mut missing: Vec<&Picture> = Vec::new();
    for picture in pictures {
        if wanted.insert(picture.digest, ()).is_none() {
            match cache.recall(&picture.digest) {
                Some(renditions) => drop(album.insert(picture.digest, renditions)),
                None => missing.push(picture),
            }
        }
    }
    let (all, found) = (wanted.len(), album.len());
    progress(found, all);
    let made = make_all(&missing, &cache, &|made| progress(found + made, all));
    let mut faults: BTreeMap<Digest, PhotoFault> = BTreeMap::new();
    for (picture, result) in missing.iter().zip(made) {
        match result {
            Ok(renditions) => drop(album.insert(picture.digest, renditions)),
            Err(fault) => drop(faults.insert(picture.digest, fault)),
        }
    }
    let failed = pictures.iter().filter_map(|p| Some((p.clone(), faults.get(&p.digest)?.clone())));
    (album, failed.collect())
}

/// Removes from the cache what belongs to no photo of the album. How many files went.
pub fn prune(cache: &Path, keep: &Album) -> usize {
    Cache::at(cache).prune(keep)
}

/// What became of one picture.
type Outcome = Result<Renditions, PhotoFault>;

/// Makes pictures on several cores, beginning with the first: each core takes the next one that nobody has. The
/// few that need much memory come last and one by one, on the core that called, so that what the system's allocator
/// holds back for each core stays small.
fn make_all(pictures: &[&Picture], cache: &Cache, made: &(dyn Fn(usize) + Sync)) -> Vec<Outcome> {
    let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let allowance = Allowance::default();
    let outcomes: Mutex<BTreeMap<usize, Outcome>> = Mutex::default();
    let keep = |place: usize, outcome: Outcome| {
        outcomes.lock().unwrap_or_else(PoisonError::into_inner).insert(place, outcome);
        made(done.fetch_add(1, Ordering::Relaxed) + 1);
    };
    let heavy: Mutex<Vec<usize>> = Mutex::default();
    let work = || {
        let mut opener = apart::opener();
        loop {
            let place = next.fetch_add(1, Ordering::Relaxed);
            let Some(picture) = pictures.get(place) else { break };
            match make(picture, cache, &allowance, &mut opener, HEAVY) {
                Some(outcome) => keep(place, outcome),
                None => heavy.lock().unwrap_or_else(PoisonError::into_inner).push(place),
            }
        }
    };
    let cores = std::thread::available_parallelism().map_or(1, NonZeroUsize::get);
    std::thread::scope(|scope| {
        (1..cores.min(MOST_WORKERS).min(pictures.len())).for_each(|_| drop(scope.spawn(work)));
        work();
    });
    let mut heavy = heavy.into_inner().unwrap_or_else(PoisonError::into_inner);
    heavy.sort_unstable();
    if !heavy.is_empty() {
        // What the system's allocator holds back for other helpers is given back first.
        apart::rest();
    }
    let mut opener = apart::opener();
    for (place, picture) in heavy.into_iter().filter_map(|place| Some((place, pictures.get(place)?))) {
        if let Some(outcome) = make(picture, cache, &allowance, &mut opener, u64::MAX) {
            keep(place, outcome);
        }
    }
    outcomes.into_inner().unwrap_or_else(PoisonError::into_inner).into_values().collect()
}

/// Makes one picture; nothing, if decoding it takes more memory than `most`.
fn make(
    picture: &Picture,
    cache: &Cache,
    allowance: &Allowance,
    opener: &mut apart::Opener<'_>,
    most: u64,
) -> Option<Outcome> {
    let unwritten = |error: FileError| PhotoFault::NotKept(error.to_string());
    match made(picture, allowance, opener, most) {
        Ok(None) => None,
        Ok(Some(made)) => Some(cache.keep(&picture.digest, made).map_err(unwritten)),
        Err(fault) => Some(Err(fault)),
    }
}

fn made(
    picture: &Picture,
    allowance: &Allowance,
    opener: &mut apart::Opener<'_>,
    most: u64,
) -> Result<Option<Made>, PhotoFault> {
    // The file itself is held too, and how long it is comes before anything that it says.
    let length = std::fs::metadata(&picture.path).map_or(0, |about| about.len().min(bounds::MOST_BYTES));
    let mut share = allowance.take(length);
    let (format, mut file) = look::picture_file(&picture.path)?;
    let mut header = opener.header(format, &file)?;
    if header.needs > most {
        return Ok(None);
    }
    let needs = header.needs.saturating_add(MAKING + length);
    if !share.grow_to(needs) {
        // Whoever waited and held on to a share could wait for ever, so the file is let go and read again.
        drop((share, file));
        share = allowance.take(needs);
        file = look::picture_file(&picture.path)?.1;
        header = opener.header(format, &file)?;
    }
    if Digest::of(&file) != picture.digest {
        let what = "it was changed while it was being read; make again";
        return Err(PhotoFault::Unreadable(what.to_owned()));
    }
    let made = opener.made(format, &file, &header)?;
    drop(share);
    Ok(Some(made))
}

#[cfg(test)]
mod tests {
    use super::super::encode;
    use super::*;
    use crate::base::files;
    use std::path::PathBuf;

    fn drawn(width: u32, height: u32, seed: u32) -> super::super::pixels::Rgb {
        let shade = |n: u32| [(n % width * 255 / width) as u8, (n / width * 255 / height) as u8, seed as u8];
        super::super::pixels::Rgb { width, height, bytes: (0..width * height).flat_map(shade).collect() }
    }

    fn photo(folder: &Path, name: &str, bytes: &[u8]) -> Picture {
        let path: PathBuf = folder.join(name);
        files::replace(&path, bytes).unwrap();
        Picture { digest: Digest::of(bytes), path, file: format!("content/{name}") }
    }

    fn widths(renditions: &Renditions) -> Vec<u32> {
        renditions.sizes.iter().map(|size| size.width).collect()
    }

    #[test]
    fn photos_are_made_once_and_never_larger_than_they_are() {
        let folder = tempfile::tempdir().unwrap();
        let wide = encode::jpeg(&drawn(1800, 900, 1)).unwrap();
        let near = encode::jpeg(&drawn(600, 1000, 2)).unwrap();
        let small = encode::jpeg(&drawn(90, 60, 3)).unwrap();
        let cut = &wide[..wide.len() / 2];
        let pictures = [
            photo(folder.path(), "wide.jpg", &wide),
            photo(folder.path(), "again.jpg", &wide),
            photo(folder.path(), "near.jpg", &near),
            photo(folder.path(), "cut.jpg", cut),
            photo(folder.path(), "small.jpg", &small),
        ];
        let cache = folder.path().join("hidden");
        let steps = Mutex::new(Vec::new());
        let (album, faults) =
            develop(&pictures, &cache, &|done, all| steps.lock().unwrap().push((done, all)));
        assert_eq!(widths(&album[&pictures[0].digest]), [1600, 960, 480]);
        assert_eq!(widths(&album[&pictures[2].digest]), [600, 288]);
        assert_eq!(widths(&album[&pictures[4].digest]), [90]);
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].0.file, "content/cut.jpg");
        assert!(matches!(faults[0].1, PhotoFault::Damaged(_)), "{:?}", faults[0].1);
        let mut steps = steps.into_inner().unwrap();
        steps.sort_unstable();
        assert_eq!(steps, [(0, 4), (1, 4), (2, 4), (3, 4), (4, 4)]);

        // Made again from nothing, every byte is the same; from the cache, nothing is made.
        let (fresh, _) = develop(&pictures, &folder.path().join("other"), &|_, _| ());
        let digests = |album: &Album| -> Vec<Digest> {
            album.values().flat_map(|r| r.sizes.iter().map(|s| s.digest)).collect()
        };
        assert_eq!(digests(&fresh), digests(&album));
        files::replace(&pictures[0].path, b"no longer a photo").unwrap();
        let (recalled, _) = develop(&pictures, &cache, &|_, _| ());
        assert_eq!(recalled, album);
    }

    #[test]
    fn a_file_that_changed_since_it_was_looked_at_is_not_kept_under_its_old_digest() {
        let folder = tempfile::tempdir().unwrap();
        let picture = photo(folder.path(), "a.jpg", &encode::jpeg(&drawn(40, 30, 1)).unwrap());
        files::replace(&picture.path, &encode::jpeg(&drawn(40, 30, 2)).unwrap()).unwrap();
        let (album, faults) = develop(&[picture], folder.path(), &|_, _| ());
        assert!(album.is_empty() && matches!(faults[0].1, PhotoFault::Unreadable(_)));
    }

    #[test]
    fn a_header_that_asks_for_too_much_is_refused() {
        // The frame header of a small file, its height and width overwritten with 65500 (ISO/IEC 10918-1, B.2.2).
        let folder = tempfile::tempdir().unwrap();
        let mut file = encode::jpeg(&drawn(40, 30, 1)).unwrap();
        let frame = file.windows(2).position(|pair| pair == [0xFF, 0xC0]).unwrap();
        file[frame + 5..frame + 9].copy_from_slice(&[0xFF, 0xDC, 0xFF, 0xDC]);
        let picture = photo(folder.path(), "huge.jpg", &file);
        assert_eq!(look::look(&picture.path), Err(PhotoFault::TooLarge(65_500, 65_500)));
        let (_, faults) = develop(&[picture], folder.path(), &|_, _| ());
        assert_eq!(faults[0].1, PhotoFault::TooLarge(65_500, 65_500));
    }
}
