//! Invented shops whose truth is known, made NOT to match what the estimates assume: lognormal times, a
//! wandering pace, weeks of illness, partners with bad quarters, hopeful figures, moods at the bench, dates
//! written down late, wrong or not at all.
//!
//! Shops differ by kind and seed. `TUNED` kinds were looked at while the estimates were built; `HELD_OUT`
//! kinds were not.
#![allow(dead_code, unused_imports, reason = "tests and benches use different parts")]

mod kinds;
mod life;
mod luck;
mod routes;

pub use kinds::{HELD_OUT, Kind, TUNED};
pub use life::shop;
