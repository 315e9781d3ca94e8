//! Writes into `numbers.txt` what was given, for `intake`, `tag` and `open --new-key`: the number, address and customer of every piece that the shop has.
//!
//! Lines are added at the end and none is ever taken out; what stands there stays byte for byte. Why it is kept, and what of: `work::issued`.

use crate::base::files;
use crate::base::issued::HEAD;
use crate::model::{Shop, Worked};
use crate::problem::{Code, Location, Problem};
use crate::read;
use crate::work::issued::Piece;
use std::path::Path;

/// Adds what is not there yet. Whoever calls this holds the shop's lock.
///
/// # Errors
/// `output-failed`: the file could not be read or written.
pub(super) fn note_down(folder: &Path, shop: &Shop, worked: &Worked) -> Result<(), Problem> {
    let jobs = worked.jobs.iter().filter_map(|worked| shop.jobs.get(worked.job));
    let mut new: Vec<String> = jobs
        .map(|job| Piece::of(job).line(&shop.key))
        .filter(|line| !shop.issued.holds(line))
        .map(|line| line.text())
        .collect();
    if new.is_empty() {
        return Ok(());
    }
    let path = read::issued_path(folder);
    let failed = |cause: String| {
        Problem::new(Code::OutputFailed, format!("what was given could not be noted ({cause})"))
            .at(Location::file("content/numbers.txt"))
            .hint("look whether the file can be written; the next tag or piece notes it again")
    };
    let before = match files::read_up_to(&path, read::ISSUED_LIMIT) {
        Ok(before) => before,
        Err(e) if e.is_missing() => Vec::new(),
        Err(e) => return Err(failed(e.to_string())),
    };
    // Another Benchlight may have added the same since the shop was read.
    let there = String::from_utf8_lossy(&before);
    new.retain(|line| there.lines().all(|other| other.trim() != line.trim()));
    if new.is_empty() {
        return Ok(());
    }
    let mut after = if before.is_empty() { HEAD.as_bytes().to_vec() } else { before.clone() };
    if !after.ends_with(b"\n") {
        after.push(b'\n');
    }
    after.extend(new.concat().bytes());
    files::replace(&path, &after).map_err(|e| failed(e.to_string()))
}
