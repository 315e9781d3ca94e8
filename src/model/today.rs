//! The one clock of a pass.

use crate::base::day::Day;

/// The day that a pass takes for today, fixed at its start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Today {
    pub day: Day,
    /// Whether the owner asked for this day (`--as-of`): then what is dated later is not an error,
    /// it is simply not known yet.
    pub asked: bool,
}
