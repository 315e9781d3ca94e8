//! Rough scores from measures, by published formulas and in exact arithmetic.
//!
//! Turkey: National Wild Turkey Federation ("How To Score Your Turkey"). White-tailed deer, typical, and bear skull:
//! Boone and Crockett Club ("Measuring and Scoring North American Big Game Trophies"). Fish: girth squared times
//! length by 800, the anglers' rule. None of this is an official score: the books want their own measurers, dried
//! skulls and witnesses.

use crate::model::measures::{Antlers, Measures, Score};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// Everything that can be reckoned from these measures.
pub(super) fn scores(measures: &Measures) -> Vec<Score> {
    let turkey = measures.weight.zip(measures.spurs).filter(|_| !measures.beards.is_empty());
    let turkey = turkey.map(|(weight, spurs)| turkey_score(weight, &measures.beards, spurs));
    let skull = measures.skull.map(|skull| Score::Skull { total: skull.length + skull.width });
    let fish = measures.length.zip(measures.girth);
    let fish = fish.and_then(|(length, girth)| fish_weight(length, girth, measures.divisor));
    [turkey, measures.antlers.as_ref().map(antlers), skull, fish].into_iter().flatten().collect()
}

/// Weight + 2 × beards + 10 × each spur.
fn turkey_score(weight: Decimal, beards: &[Decimal], spurs: [Decimal; 2]) -> Score {
    let beard: Decimal = beards.iter().sum();
    let spurs: Decimal = spurs.iter().sum();
    let total = weight + beard * Decimal::TWO + spurs * Decimal::TEN;
    Score::Turkey { total: total.normalize(), several: beards.len() > 1 }
}

/// Gross: spread credit, beams, points and girths. Net: less what the sides differ by and the abnormal points.
fn antlers(antlers: &Antlers) -> Score {
    let longer = antlers.beams[0].max(antlers.beams[1]);
    // Wider than the longer beam earns no more than the beam.
    let credit = antlers.spread.min(longer);
    let mut gross = credit;
    let mut differ = Decimal::ZERO;
    let mut pair = |right: Decimal, left: Decimal| {
        gross += right + left;
        differ += (right - left).abs();
    };
    pair(antlers.beams[0], antlers.beams[1]);
    let [right, left] = &antlers.points;
    for at in 0..right.len().max(left.len()) {
        // A point that one side lacks counts in full against the other.
        let point = |side: &[Decimal]| side.get(at).copied().unwrap_or_default();
        pair(point(right), point(left));
    }
    for (right, left) in antlers.girths[0].iter().zip(&antlers.girths[1]) {
        pair(*right, *left);
    }
    Score::Antlers { gross, net: gross - differ - antlers.abnormal }
}

/// To the nearest ounce, halves up.
fn fish_weight(length: Decimal, girth: Decimal, divisor: u32) -> Option<Score> {
    let ounces = (girth * girth * length * Decimal::from(16)).checked_div(Decimal::from(divisor))?;
    let half_up = rust_decimal::RoundingStrategy::MidpointAwayFromZero;
    Some(Score::FishWeight { ounces: ounces.round_dp_with_strategy(0, half_up).to_u32()? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::measures::Skull;

    /// Whole inches and eighths.
    fn eighths(whole: i64, parts: i64) -> Decimal {
        Decimal::from(whole * 8 + parts) / Decimal::from(8)
    }

    fn sixteenths(whole: i64, parts: i64) -> Decimal {
        Decimal::from(whole * 16 + parts) / Decimal::from(16)
    }

    fn dec(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    fn measures() -> Measures {
        Measures { divisor: 800, ..Measures::default() }
    }

    #[test]
    fn turkeys_as_published() {
        // "How To Score Your Turkey", a hunters' magazine: 21.4 lb, beard 10.5, spurs 1.25 and 1.25 make 67.4.
        let published = Measures {
            weight: Some(dec("21.4")),
            beards: vec![dec("10.5")],
            spurs: Some([dec("1.25"), dec("1.25")]),
            ..measures()
        };
        assert_eq!(scores(&published), [Score::Turkey { total: dec("67.4"), several: false }]);
        // "Want To Score Your Turkey?": 20 lb 7 oz is 20.4375, 11 3/16 is 11.1875. With spurs of 1 4/16 and 1 3/16
        // worked by hand: 20.4375 + 22.375 + 12.5 + 11.875.
        let converted = Measures {
            weight: Some(sixteenths(20, 7)),
            beards: vec![sixteenths(11, 3)],
            spurs: Some([sixteenths(1, 4), sixteenths(1, 3)]),
            ..measures()
        };
        assert_eq!(scores(&converted), [Score::Turkey { total: dec("67.1875"), several: false }]);
        // The same page: several beards are added up, and the bird is listed apart.
        let several = Measures { beards: vec![sixteenths(11, 3), sixteenths(4, 0)], ..converted };
        assert_eq!(scores(&several), [Score::Turkey { total: dec("75.1875"), several: true }]);
    }

    /// A hunter's own sheet, published in a forum ("forum sheet"), whose sums were checked by hand: sides 60 5/8 and 63 4/8.
    fn sheet() -> Antlers {
        Antlers {
            spread: eighths(17, 4),
            beams: [eighths(21, 7), eighths(21, 6)],
            points: [
                vec![eighths(3, 4), eighths(7, 4), eighths(6, 5), eighths(3, 4)],
                vec![eighths(4, 0), eighths(8, 5), eighths(7, 1), eighths(3, 4)],
            ],
            girths: [
                [eighths(4, 5), eighths(4, 5), eighths(4, 5), eighths(3, 6)],
                [eighths(4, 7), eighths(4, 6), eighths(4, 6), eighths(4, 1)],
            ],
            abnormal: eighths(3, 3),
        }
    }

    #[test]
    fn a_published_score_sheet_of_a_deer_holds() {
        let want = Score::Antlers { gross: eighths(141, 5), net: eighths(135, 1) };
        assert_eq!(antlers(&sheet()), want);
    }

    #[test]
    fn spread_earns_no_more_than_the_longer_beam_and_a_lone_point_counts_against() {
        let wide = Antlers { spread: eighths(30, 0), ..sheet() };
        // 21 7/8 instead of 17 4/8.
        assert_eq!(antlers(&wide), Score::Antlers { gross: eighths(146, 0), net: eighths(139, 4) });
        let mut lone = sheet();
        lone.points[0].push(eighths(2, 0));
        // Two inches more, and the same two inches less.
        assert_eq!(antlers(&lone), Score::Antlers { gross: eighths(143, 5), net: eighths(135, 1) });
    }

    #[test]
    fn skulls_and_fish_as_published() {
        // By hand from the rule of the manual's chapter on bears: 12 3/16 + 7 10/16 = 19 13/16.
        let skull = Skull { length: sixteenths(12, 3), width: sixteenths(7, 10) };
        let bear = Measures { skull: Some(skull), ..measures() };
        assert_eq!(scores(&bear), [Score::Skull { total: sixteenths(19, 13) }]);
        let fish = |length: &str, girth: &str| {
            let fish = Measures { length: Some(dec(length)), girth: Some(dec(girth)), ..measures() };
            scores(&fish)
        };
        // "Calculating Fish Weight": girth 15, length 29 make 8 lb 3 oz.
        assert_eq!(fish("29", "15"), [Score::FishWeight { ounces: 8 * 16 + 3 }]);
        // "How to weigh a fish": girth 16, length 31 make 9 lb 15 oz.
        assert_eq!(fish("31", "16"), [Score::FishWeight { ounces: 9 * 16 + 15 }]);
    }

    #[test]
    fn half_a_set_of_measures_has_no_score() {
        let half = Measures { weight: Some(dec("20")), spurs: Some([dec("1"), dec("1")]), ..measures() };
        assert_eq!(scores(&half), []);
        assert_eq!(scores(&Measures { girth: Some(dec("15")), ..measures() }), []);
    }
}
