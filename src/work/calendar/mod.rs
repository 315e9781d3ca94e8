//! The shop's calendars as pure functions of dates: when the bench is worked at, when a parcel leaves.
//!
//! What waits for these days, and for how long, is `estimate`'s.

pub mod bench;
pub mod parcels;

pub use bench::BenchCalendar;
