//! Bench time, kept as whole minutes so that sums are exact and the same on every machine.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::{Deserialize, Serialize};

/// A span of hands-on time in whole minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct Minutes(pub u32);

impl From<Minutes> for u32 {
    fn from(minutes: Minutes) -> u32 {
        minutes.0
    }
}

impl Minutes {
    /// Reads hours as the owner writes them (`0.75`, `2`): at most 10,000, to the nearest minute.
    pub fn from_hours(text: &str) -> Option<Minutes> {
        let hours = Decimal::from_str_exact(text).ok()?;
        if hours.is_sign_negative() || hours > Decimal::from(10_000) {
            return None;
        }
        (hours * Decimal::from(60)).round().to_u32().map(Minutes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_become_minutes() {
        assert_eq!(Minutes::from_hours("0.75"), Some(Minutes(45)));
        assert_eq!(Minutes::from_hours("2"), Some(Minutes(120)));
        for bad in ["-1", "10001", "1e3", "nan", ""] {
            assert_eq!(Minutes::from_hours(bad), None, "{bad}");
        }
    }
}
