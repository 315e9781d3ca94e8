//! Benchlight turns a taxidermy studio's job files and progress photos into its web site.
//!
//! Data runs one way: `read` -> `work` -> `render` -> `write`. DEVELOPERS.md has the map.

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
