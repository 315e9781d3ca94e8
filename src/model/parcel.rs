//! What goes into the next parcel to a partner, and what has to stay. For the owner and the partner; never
//! published.

use super::InWorked;
use crate::base::day::Day;

/// The packing list of one parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackingList {
    /// The partner's key in `partners.toml`.
    pub partner: String,
    /// The day on which the parcel leaves; none where it waits for a number of pieces that is not there yet.
    pub leaves: Option<Day>,
    /// The number of pieces that it waits for, where it waits for one.
    pub pieces: Option<u32>,
    /// What can go, first in line first.
    pub goes: Vec<Packed>,
    /// What cannot go, what is nearest to it first.
    pub stays: Vec<Staying>,
    /// What the partner has, and since when.
    pub there: Vec<(InWorked, Day)>,
}

/// A part of a piece that can go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packed {
    pub at: InWorked,
    /// The away step.
    pub step: String,
    /// The word under `[reached]` that says that it left.
    pub sent: String,
    /// Since when it could go.
    pub since: Day,
}

/// A part of a piece that goes to this partner one day, but not now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Staying {
    pub at: InWorked,
    pub step: String,
    pub why: StaysFor,
}

/// Why it stays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StaysFor {
    /// All else is done; these gates are not met.
    Gates(Vec<String>),
    /// Steps before it are not reached; then the gates that are not met either.
    Steps(Vec<String>, Vec<String>),
}
