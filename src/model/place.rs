//! Places of jobs in the two lists that hold them, each a type of its own, so that neither is taken for the other.

use super::{Job, Shop, Worked, WorkedJob};

/// A place in `Shop::jobs`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct InShop(usize);

/// A place in `Worked::jobs`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct InWorked(usize);

impl InShop {
    pub fn new(place: usize) -> InShop {
        InShop(place)
    }
}

#[cfg(test)]
impl InWorked {
    pub fn new(place: usize) -> InWorked {
        InWorked(place)
    }
}

impl Shop {
    /// The job at a place.
    pub fn job(&self, place: InShop) -> Option<&Job> {
        self.jobs.get(place.0)
    }
}

impl Worked {
    /// The job at a place.
    pub fn job(&self, place: InWorked) -> Option<&WorkedJob> {
        self.jobs.get(place.0)
    }

    /// All jobs with their places.
    pub fn placed(&self) -> impl Iterator<Item = (InWorked, &WorkedJob)> {
        self.jobs.iter().enumerate().map(|(place, job)| (InWorked(place), job))
    }
}
