//! All tests that use the library or the program from outside.

mod bad;
mod mutations;
mod reading;
