//! Benchlight turns a taxidermy studio's job files and progress photos into its web site.
//!
//! Data runs one way: `read` -> `work` -> `render` -> `write`. DEVELOPERS.md has the map.

// Tests lay out what they need, and print what they saw.
#![cfg_attr(test, allow(clippy::disallowed_methods, clippy::disallowed_macros))]

// So that `tests/builder/bare.rs` can be a part of the tests inside too.
#[cfg(test)]
extern crate self as benchlight;

pub mod base;
pub mod cli;
pub mod command;
#[cfg(any(test, fuzzing))]
pub mod fuzz;
pub mod model;
pub mod photo;
pub mod post;
pub mod problem;
pub mod read;
pub mod render;
pub mod seal;
pub mod serve;
pub mod watch;
pub mod work;
pub mod write;
