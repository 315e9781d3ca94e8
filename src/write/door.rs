//! The door through which the room `fuzz` hands bytes to the record of what was written.
//!
//! There for tests and fuzzers alone.

use super::record::Record;
use std::path::Path;

/// The paths of the record that lies there, once saved and read again; none if it is no record.
pub fn recorded(file: &Path) -> Vec<String> {
    let Some(record) = Record::load(file) else { return Vec::new() };
    let _ = record.save(file);
    let again = Record::load(file);
    assert!(again.as_ref() == Some(&record), "saved and read again it is the same");
    record.files.into_keys().collect()
}
