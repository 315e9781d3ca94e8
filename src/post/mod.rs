//! Rank 3: the finished site from `public/` to the host, only what changed, in an order in which a visitor meets
//! whole pages at any moment.
//!
//! `Local` is what lies in `public/`, `Destination` is the host behind a few calls, `Record` is what we put there. `plan`
//! compares the three, `carry_out` does it and looks at the host again. Everything that waits (`async`) stays in this
//! room. What is in `public/` is `write`'s business, who calls when is `command`'s. Whose a file at the host is: `ours`. Why the order is as
//! it is: `carry_out`. Why this library: `host`.
//!
//! `command::post` looks at `public/` under the lock (`Local`: a digest for each file, from the record of `write` where that vouches) and lets
//! the lock go. Each file is compared with its digest when it is sent; if `public/` is another one by then, the posting begins anew.

mod carry_out;
mod check;
mod destination;
#[cfg(any(test, fuzzing))]
pub mod door;
mod host;
mod local;
mod ours;
mod plan;
mod record;
mod secrets;
mod target;
mod trouble;
mod whose;

pub use carry_out::{Report, carry_out};
pub use destination::Destination;
pub use local::Local;
pub use plan::Plan;
pub use secrets::{is_open, key_file};
pub use target::folder as target_folder;

use crate::base::files::{self, FileError};
use crate::base::identity::Identity;
use crate::base::site_path::address_in;
use crate::problem::{Code, Problem};
use record::Record;
use std::collections::BTreeSet;
use std::path::Path;

/// Why a posting ended before its end.
#[derive(Debug)]
pub enum Halt {
    /// `public/` is another one than when the posting began: begin anew.
    Moved,
    /// What is in the way, in words.
    Told(Problem),
}

impl From<Problem> for Halt {
    fn from(problem: Problem) -> Halt {
        Halt::Told(problem)
    }
}

/// Looks at the host and says what has to be done there; changes nothing. `even_so` is the owner's word that the place is the
/// right one, whatever lies there.
///
/// # Errors
/// The host cannot be reached or refuses, somebody else's file is in the way, or the place is not known to be this shop's.
pub fn plan(
    place: &Destination,
    local: &Local,
    shop: &Path,
    identity: &Identity,
    even_so: bool,
) -> Result<Plan, Problem> {
    let bond = identity.bond(place.words());
    // A record of before is credible where it names no private address, or one that the shop has today; else it came along
    // with somebody else's folder, or the key is another one since, and the owner is asked.
    let credible = |record: &Record| even_so || shares_an_address(record, local);
    let record = Record::load(shop, place.words(), &bond, &credible);
    place.wait(plan::make(&place.host, local, record, identity, even_so))
}

fn shares_an_address(record: &Record, local: &Local) -> bool {
    let noted: BTreeSet<&str> = record.files.keys().filter_map(|path| address_in(path)).collect();
    noted.is_empty()
        || local.files.keys().filter_map(|path| address_in(path)).any(|address| noted.contains(address))
}

/// Whether another place is known that this shop was put up at, whose files stay there.
pub fn other_places(place: &Destination, shop: &Path, identity: &Identity) -> Vec<String> {
    let places = record::places(shop, &|words| identity.bond(words));
    places.into_iter().filter(|words| words != place.words()).collect()
}

/// Keeps a copy of the shop's identity with the records, for a key that is lost later. Without one the owner is asked then.
pub fn keep_identity(shop: &Path, identity: &Identity) {
    if kept_identity(shop).as_ref() != Some(identity) {
        let _ = files::replace_private(&record::identity_file(shop), identity.reveal());
    }
}

/// That copy.
pub fn kept_identity(shop: &Path) -> Option<Identity> {
    let bytes = files::read_up_to(&record::identity_file(shop), 32).ok()?;
    bytes.try_into().ok().map(Identity::from_bytes)
}

fn unkept(error: &FileError) -> Problem {
    Problem::new(Code::OutputFailed, error.to_string())
        .hint("Benchlight keeps its records there: make the folder writable, then run this again")
}
