//! The door through which the room `fuzz` reads how everything stood after the last pass.
//!
//! There for tests and fuzzers alone.

use super::last_pass::LastPass;
use crate::base::day::Day;
use crate::model::Today;
use std::path::Path;

/// Reads what the last pass left in the shop's hidden folder.
pub fn last_pass(shop: &Path) {
    let Some(day) = Day::new(2026, 5, 20) else { return };
    if let Some(before) = LastPass::before(shop, shop, Some(0)) {
        let _ = before.on(Today { day, asked: true }).last(shop, shop);
    }
}
