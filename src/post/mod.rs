//! Rank 3: the finished site from `public/` to the host, only what changed, in an order in which a visitor meets
//! whole pages at any moment.
//!
//! `Local` is what lies in `public/`, `Place` is the host behind a few calls, `Record` is what we put there. `plan`
//! compares the three, `carry_out` does it and looks at the host again. Everything that waits (`async`) stays in this
//! room. What is in `public/` is `write`'s business, who calls when is `command`'s. Why the order is as it is: DEVELOPERS.md.

mod carry_out;
mod check;
#[cfg(any(test, fuzzing))]
pub mod door;
mod headers;
mod host;
mod local;
mod ours;
mod place;
mod plan;
mod record;
mod secrets;
mod trouble;

pub use carry_out::{Report, carry_out};
pub use local::Local;
pub use place::Place;
pub use plan::Plan;
pub use secrets::{is_open, key_file};

use crate::base::files::FileError;
use crate::problem::{Code, Problem};
use record::Record;
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

/// Looks at the host and says what has to be done there; changes nothing.
///
/// # Errors
/// The host cannot be reached or refuses, or somebody else's file is in the way.
pub fn plan(place: &Place, local: &Local, shop: &Path) -> Result<Plan, Problem> {
    let record = Record::load(shop, place.words());
    place.wait(plan::make(&place.host, local, record))
}

/// Whether another place is known that this shop was put up at, whose files stay there.
pub fn other_places(place: &Place, shop: &Path) -> Vec<String> {
    record::places(shop).into_iter().filter(|words| words != place.words()).collect()
}

fn unkept(error: &FileError) -> Problem {
    Problem::new(Code::OutputFailed, error.to_string())
        .hint("Benchlight keeps its records there: make the folder writable, then run this again")
}
