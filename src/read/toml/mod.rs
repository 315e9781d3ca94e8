//! TOML as owners write it: every key and value is taken out with its place, what is wrong with it gathered in plain words.
//!
//! `table` takes keys out of a file, `value` and `figures` say what a value means, `sheet` gathers what is wrong and tells
//! keys that nobody asked for, `syntax` and `slips` put what the parser stumbles over into words. What the keys are for is
//! for the readers of each kind of file.

mod figures;
mod sheet;
mod slips;
mod syntax;
pub(in crate::read) mod table;
pub(in crate::read) mod value;
