//! The rendered site, made of an example shop that is laid out in memory.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on fails")]

mod check;
mod example;
mod injection;
mod pictures;
mod privacy;
mod site;
