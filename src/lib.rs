//! Benchlight turns a taxidermy studio's job files and progress photos into its web site.
//!
//! Data runs one way: `read` -> `work` -> `render` -> `write`. DEVELOPERS.md has the map. The rooms are the library's own, so that
//! the compiler tells what nobody uses; tests and benches come in by `door`.

// Tests lay out what they need, and print what they saw.
#![cfg_attr(test, allow(clippy::disallowed_methods, clippy::disallowed_macros))]

// So that `tests/builder/bare.rs` can be a part of the tests inside too.
#[cfg(test)]
extern crate self as benchlight;

mod base;
pub mod cli;
mod command;
#[doc(hidden)]
pub mod door;
#[cfg(any(test, fuzzing))]
pub mod fuzz;
mod model;
mod photo;
mod post;
mod problem;
mod read;
mod render;
mod seal;
mod serve;
mod watch;
mod work;
mod write;
