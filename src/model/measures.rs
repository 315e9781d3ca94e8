//! What was measured on a piece, exactly: decimals that hold sixteenths and ounces without loss.

use rust_decimal::Decimal;

/// `[measures]` of a job, in inches and pounds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Measures {
    /// Whether the customer's page shows them.
    pub show: bool,
    /// Pounds; an ounce is a sixteenth.
    pub weight: Option<Decimal>,
    /// Each beard.
    pub beards: Vec<Decimal>,
    /// Right and left spur.
    pub spurs: Option<[Decimal; 2]>,
    pub antlers: Option<Antlers>,
    pub skull: Option<Skull>,
    pub length: Option<Decimal>,
    pub girth: Option<Decimal>,
    /// What girth times girth times length is divided by.
    pub divisor: u32,
}

/// The antlers of a deer, right side first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Antlers {
    /// Inside spread of the main beams.
    pub spread: Decimal,
    pub beams: [Decimal; 2],
    /// Normal points from the brow tine on (G1, G2 …) of each side.
    pub points: [Vec<Decimal>; 2],
    /// The four girths of each beam (H1 to H4).
    pub girths: [[Decimal; 4]; 2],
    /// Total of the points that are not normal.
    pub abnormal: Decimal,
}

/// A bear's skull without the lower jaw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Skull {
    pub length: Decimal,
    pub width: Decimal,
}

/// What follows from measures by a published formula. Rough, never official.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Score {
    /// Weight, beards and spurs; `several` where there is more than one beard.
    Turkey {
        total: Decimal,
        several: bool,
    },
    /// Before and after what differs between the sides and the abnormal points.
    Antlers {
        gross: Decimal,
        net: Decimal,
    },
    Skull {
        total: Decimal,
    },
    /// An estimate of the weight in whole ounces.
    FishWeight {
        ounces: u32,
    },
}
