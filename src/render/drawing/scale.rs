//! A piece to scale beside a person and a doorway, from the front and from the side.
//!
//! All in millimetres, from the upper left corner.

use crate::model::{Room, StandsOn};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

/// What is drawn, and where.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ScaleDrawing {
    pub total_wide: u32,
    pub total_high: u32,
    /// The piece from the front.
    pub front: Rectangle,
    pub person: Rectangle,
    pub door: Rectangle,
    /// The wall that the piece is seen beside, as one edge.
    pub wall: u32,
    /// The piece from the side, with its back to the wall.
    pub side: Rectangle,
    pub on_wall: bool,
}

/// A rectangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Rectangle {
    pub left: u32,
    pub top: u32,
    pub wide: u32,
    pub high: u32,
}

/// A door's clear opening as commonly built in the United States, 30 by 80 inches. Common practice, no source.
const DOOR: (u32, u32) = (762, 2032);
/// A person of 5 feet 7 inches, between the mean heights of women and men in the United States (National
/// Center for Health Statistics, series 3, number 46: 63.5 and 69.0 inches), and as wide as shoulders commonly are.
const PERSON: (u32, u32) = (460, 1700);
/// Pieces hang with their middle at this height, about eye level, if the floor allows. Common practice, no source.
const EYE: u32 = 1500;
/// Space between and around what is drawn.
const GAP: u32 = 200;

impl ScaleDrawing {
    /// None for a unit whose length is not known, or a piece too large to be drawn sensibly.
    pub fn of(room: Room, unit: &str, place: StandsOn) -> Option<ScaleDrawing> {
        let [wide, high, deep] = [room.wide, room.high, room.deep].map(|size| millimetres(size, unit));
        let (wide, high, deep) = (wide?, high?, deep?);
        let on_wall = place == StandsOn::Wall;
        let raised = if on_wall { EYE.saturating_sub(high / 2) } else { 0 };
        let total_high = (high + raised).max(DOOR.1) + GAP;
        let standing = |left: u32, wide: u32, high: u32, raised: u32| Rectangle {
            left,
            top: total_high.saturating_sub(high + raised),
            wide,
            high,
        };
        let front = standing(GAP, wide, high, raised);
        let person = standing(front.left + wide + GAP, PERSON.0, PERSON.1, 0);
        let door = standing(person.left + person.wide + GAP, DOOR.0, DOOR.1, 0);
        let wall = door.left + door.wide + 2 * GAP;
        let side = standing(wall, deep, high, raised);
        let total_wide = wall + deep + GAP;
        Some(ScaleDrawing { total_wide, total_high, front, person, door, wall, side, on_wall })
    }

    /// The same with more room to the right and above, so that several are drawn to one scale.
    pub fn within(mut self, wide: u32, high: u32) -> ScaleDrawing {
        let lower = high.saturating_sub(self.total_high);
        for part in [&mut self.front, &mut self.person, &mut self.door, &mut self.side] {
            part.top += lower;
        }
        self.total_high += lower;
        self.total_wide = self.total_wide.max(wide);
        self
    }
}

/// A size of the owner's in millimetres: 1 in = 25.4 mm exactly (NIST Special Publication 811, appendix B.8).
fn millimetres(size: Decimal, unit: &str) -> Option<u32> {
    let tenths = match unit {
        "in" => 254,
        "cm" => 100,
        "mm" => 10,
        "ft" => 3048,
        "m" => 10_000,
        _ => return None,
    };
    let whole = size.checked_mul(Decimal::from(tenths))?.checked_div(Decimal::from(10))?.round().to_u32()?;
    (20..=6000).contains(&whole).then_some(whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(wide: i64, high: i64, deep: i64) -> Room {
        let [wide, high, deep] = [wide, high, deep].map(Decimal::from);
        Room { wide, high, deep }
    }

    #[test]
    fn drawings_are_to_scale_and_only_of_known_units() {
        let drawn = ScaleDrawing::of(room(32, 34, 30), "in", StandsOn::Floor).unwrap();
        assert_eq!((drawn.front.wide, drawn.front.high, drawn.side.wide), (813, 864, 762));
        // 6 ft 8 in = 80 in = 2032 mm.
        assert_eq!((drawn.door.high, drawn.total_high - drawn.door.top), (2032, 2032));
        assert_eq!(drawn.front.top + drawn.front.high, drawn.total_high, "it stands on the floor");
        for (size, unit) in [(room(32, 34, 30), "hands"), (room(0, 34, 30), "in"), (room(32, 34, 900), "in")]
        {
            assert_eq!(ScaleDrawing::of(size, unit, StandsOn::Floor), None);
        }
        let endless = Room { high: Decimal::MAX, ..room(1, 1, 1) };
        assert_eq!(ScaleDrawing::of(endless, "in", StandsOn::Wall), None);
    }

    #[test]
    fn what_hangs_has_its_middle_at_eye_level_and_stays_above_the_floor() {
        let drawn = ScaleDrawing::of(room(22, 42, 22), "in", StandsOn::Wall).unwrap();
        // An odd height leaves a millimetre over.
        assert!((drawn.front.top + drawn.front.high / 2).abs_diff(drawn.total_high - EYE) <= 1);
        let tall = ScaleDrawing::of(room(50, 150, 20), "in", StandsOn::Wall).unwrap();
        assert_eq!((tall.front.top, tall.front.top + tall.front.high), (GAP, tall.total_high));
    }

    #[test]
    fn several_share_one_scale_and_one_floor() {
        let small = ScaleDrawing::of(room(10, 10, 10), "in", StandsOn::Floor).unwrap();
        let before = small.clone();
        let placed = small.within(9000, 5000);
        assert_eq!((placed.total_wide, placed.total_high), (9000, 5000));
        assert_eq!((placed.front.high, placed.front.wide), (before.front.high, before.front.wide));
        assert_eq!(placed.front.top + placed.front.high, 5000);
        assert_eq!(placed.door.top + placed.door.high, 5000);
    }
}
