//! What libFuzzer calls for each input: the target that `BENCHLIGHT_FUZZ` names.
//!
//! What the targets do, and what they hold to be true, is in `src/fuzz/`.

#![no_main]

use std::sync::LazyLock;

/// The target of this run.
static TARGET: LazyLock<fn(&[u8])> = LazyLock::new(|| {
    let name = std::env::var("BENCHLIGHT_FUZZ").unwrap_or_default();
    let found = benchlight::fuzz::TARGETS.iter().find(|(target, _)| *target == name);
    found.unwrap_or_else(|| panic!("BENCHLIGHT_FUZZ={name:?} is no target")).1
});

libfuzzer_sys::fuzz_target!(|input: &[u8]| TARGET(input));
