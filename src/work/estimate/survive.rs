//! A distribution from weighted values of which some are only known to be larger than what was seen so far:
//! the product-limit estimate (Kaplan and Meier, "Nonparametric Estimation from Incomplete Observations",
//! JASA 53, 1958). A head that has been away for 200 days tells something about the partner too.

use std::cmp::Ordering;

/// One value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Value {
    pub value: f64,
    pub weight: f64,
    /// Whether it ended at `value`; else it was still going on then.
    pub ended: bool,
}

/// A distribution by points: values and the share of cases below them, both rising.
#[derive(Clone, Debug, Default)]
pub struct Curve {
    points: Vec<(f64, f64)>,
}

/// The order of values in a curve: what went on longer comes after what ended at the same value.
pub fn in_order(a: &Value, b: &Value) -> Ordering {
    a.value.total_cmp(&b.value).then(b.ended.cmp(&a.ended))
}

/// The curve of some values. Empty where none has ended.
pub fn curve(mut values: Vec<Value>) -> Curve {
    values.sort_by(in_order);
    curve_of_sorted(values)
}

/// The same of values that are in order.
pub fn curve_of_sorted(mut values: Vec<Value>) -> Curve {
    values.retain(|v| v.weight > 0.0 && v.value.is_finite());
    let mut at_risk: f64 = values.iter().map(|v| v.weight).sum();
    let mut alive = 1.0;
    let mut points: Vec<(f64, f64)> = Vec::new();
    for v in &values {
        if v.ended && at_risk > 0.0 {
            let after = alive * (1.0 - v.weight / at_risk).max(0.0);
            points.push((v.value, 1.0 - (alive + after) / 2.0));
            alive = after;
        }
        at_risk -= v.weight;
    }
    // When the largest are all still going on, the rest is spread over what has ended.
    if let Some(scale) = Some(1.0 - alive).filter(|all| *all > 0.0 && alive > 1e-9) {
        for (_, below) in &mut points {
            *below /= scale;
        }
    }
    Curve { points }
}

impl Curve {
    /// The value below which a share `p` lies, straight between points; the ends stay what they are.
    pub fn quantile(&self, p: f64) -> f64 {
        let after = self.points.partition_point(|(_, below)| *below < p);
        match (after.checked_sub(1).and_then(|i| self.points.get(i)), self.points.get(after)) {
            (Some((v0, p0)), Some((v1, p1))) if p1 > p0 => v0 + (v1 - v0) * (p - p0) / (p1 - p0),
            (_, Some((v, _))) | (Some((v, _)), None) => *v,
            (None, None) => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(value: f64, ended: bool) -> Value {
        Value { value, weight: 1.0, ended }
    }

    #[test]
    fn the_textbook_table() {
        // Freireich et al. 1963, remission times under 6-MP as analysed in Kaplan-Meier textbooks
        // (Collett, "Modelling Survival Data in Medical Research"): S(6) = 0.857, S(10) = 0.753, S(23) = 0.448.
        let ended = [6., 6., 6., 7., 10., 13., 16., 22., 23.];
        let on = [6., 9., 10., 11., 17., 19., 20., 25., 32., 32., 34., 35.];
        let all = ended.map(|v| value(v, true)).into_iter().chain(on.map(|v| value(v, false)));
        let curve = curve(all.collect());
        // The share below is scaled to what has ended: undo it with the known S(23).
        let scale = 1.0 - 0.448;
        let survival_after = |v: f64| {
            let at = curve.points.iter().rposition(|(x, _)| *x <= v).unwrap();
            let (mid, before) = (curve.points[at].1, at.checked_sub(1).map_or(0.0, |i| curve.points[i].1));
            let _ = before;
            1.0 - mid * scale
        };
        // Half of the last death's step lies above the point itself.
        assert!((survival_after(6.0) - (0.857 + 0.0476 / 2.0)).abs() < 2e-3);
        assert!((survival_after(10.0) - (0.753 + 0.054 / 2.0)).abs() < 3e-3);
        assert!((survival_after(23.0) - (0.448 + 0.0896 / 2.0)).abs() < 2e-3);
    }

    #[test]
    fn plain_values_give_plain_quantiles() {
        let curve = curve((1..=9).map(|v| value(f64::from(v), true)).collect());
        assert_eq!(curve.quantile(0.5), 5.0);
        assert_eq!((curve.quantile(0.0), curve.quantile(1.0)), (1.0, 9.0));
        assert!(super::curve(vec![value(3.0, false)]).points.is_empty());
    }
}
