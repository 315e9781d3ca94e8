//! Rank 3: `Shop` and a day become `Worked`; no disk, no clock.

pub mod calendar;
pub mod estimate;
pub mod replay;
