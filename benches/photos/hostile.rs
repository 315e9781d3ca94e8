//! Files bent at random, for as long as asked: no decoder may panic, and none may take long.
//!
//! `cargo bench --profile dev --bench photos -- hostile 600 FOLDER` (the dev profile checks for overflow). The
//! folder holds whole files to start from; `tests/oracle/photos.py make formats FOLDER` and `make heic FOLDER`
//! make some. What goes wrong is kept beside them as `bad-…`.

use benchlight::door::base::files;
use benchlight::door::model::{PhotoFault, Picture};
use benchlight::door::photo;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Longer than this for one small file is a fault.
const SLOW: Duration = Duration::from_secs(10);

/// Bends files for so many seconds.
pub fn try_all(seconds: u64, folder: &Path) {
    let end = Instant::now() + Duration::from_secs(seconds);
    try_while(seconds, folder, &|_| Instant::now() < end);
}

/// Bends files, always the same ones for the same seed, as long as `on` says of how many were tried.
pub fn try_while(seed: u64, folder: &Path, on: &dyn Fn(u32) -> bool) {
    let mut seeds: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    seeds.retain(|p| p.is_file() && p.metadata().unwrap().len() < 400_000);
    seeds.sort();
    let seeds: Vec<Vec<u8>> = seeds.iter().map(|p| std::fs::read(p).unwrap()).collect();
    let work = tempfile::tempdir().unwrap();
    let mut lot = Lot(seed ^ 0x9E37_79B9_7F4A_7C15);
    let (mut tried, mut bad, mut shown, mut slowest) = (0, 0, 0, Duration::ZERO);
    while on(tried) {
        let file = bent(&seeds[lot.below(seeds.len())], &mut lot);
        let path = work.path().join("bent");
        files::replace(&path, &file).unwrap();
        let begun = Instant::now();
        let fault = seen(&path, work.path());
        let took = begun.elapsed();
        slowest = slowest.max(took);
        tried += 1;
        shown += u32::from(fault.is_none());
        let gave_up = matches!(&fault, Some(PhotoFault::Damaged(why)) if why.contains("give up"));
        if gave_up || took > SLOW {
            bad += 1;
            files::replace(&folder.join(format!("bad-{tried}")), &file).unwrap();
            println!("bad-{tried}: {fault:?} after {took:?}");
        }
        if tried % 256 == 0 {
            photo::prune(work.path(), &Default::default());
        }
    }
    println!("{tried} bent files, {shown} still shown, {bad} bad, the slowest took {slowest:?}");
    assert!(bad == 0);
}

fn seen(path: &Path, cache: &Path) -> Option<PhotoFault> {
    let look = match photo::look(path) {
        Ok(look) => look,
        Err(fault) => return Some(fault),
    };
    let picture = Picture { digest: look.digest, path: path.to_owned(), file: String::new() };
    photo::develop(&[picture], cache, &|_, _| ()).1.pop().map(|(_, fault)| fault)
}

/// Bytes changed, runs copied or dropped, or the end cut off; early places more often, where headers lie.
fn bent(whole: &[u8], lot: &mut Lot) -> Vec<u8> {
    let mut file = whole.to_vec();
    for _ in 0..1 + lot.below(6) {
        let reach = if lot.below(2) == 0 { file.len().min(1200) } else { file.len() };
        let at = lot.below(reach.max(1));
        let run = 1 + lot.below(40.min(file.len() - at).max(1));
        match lot.below(8) {
            0 => file.truncate(at.max(16)),
            1 => drop(file.drain(at..(at + run).min(file.len()))),
            2 => {
                let piece: Vec<u8> = file[at..(at + run).min(file.len())].to_vec();
                let to = lot.below(file.len());
                file.splice(to..to, piece);
            }
            3 => file[at] = [0, 0xFF, 0x7F, 0x80][lot.below(4)],
            4 => file[at] ^= 1 << lot.below(8),
            _ => file[at] = lot.below(256) as u8,
        }
    }
    file
}

/// Numbers without order, the same each time (xorshift64*).
struct Lot(u64);

impl Lot {
    fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) as usize % limit.max(1)
    }
}
