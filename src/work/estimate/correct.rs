//! Windows corrected by how the shop's past windows held.
//!
//! Each estimate that was replayed for a past day is compared with what came of it: how many window widths off
//! it was, on a logarithmic scale of days. The windows of today are moved and stretched so that such misses,
//! weighted by how near they are in horizon and time, would have been covered as often as promised
//! (conformalized quantile regression: Romano, Patterson and Candès, NeurIPS 32, 2019; with the product-limit
//! estimate for pieces that are still open, and a plain bell curve as long as there is little past).

use super::chance::normal;
use super::survive::{Value, curve_of_sorted, in_order};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Days are looked at as ln(days + this): an error of two days matters at once, not in a year.
const SOFT: f64 = 6.0;
/// A window narrower than this on that scale does not count as one.
const NARROW: f64 = 0.10;
/// The bell curve weighs as much as so many past days of estimating.
const BELL: f64 = 10.0;
/// It is taken that much wider than the trials say: what all pieces share and no trial knows.
const BELL_WIDTH: f64 = 1.0;
/// How near in horizon a past estimate must be to count fully (of ln days).
const NEAR: f64 = 0.7;
/// Days after which the weight of a past estimate has halved.
const HALF_LIFE: f64 = 300.0;
/// What all pieces of one past day together weigh at most.
const DAY_WEIGHT: f64 = 1.0;

/// A replayed estimate and what came of it.
#[derive(Clone, Copy, Debug)]
pub struct PastEstimate {
    /// Days since it was made.
    pub age: u32,
    /// What the trials said.
    pub days: [u16; 3],
    /// Days until it was ready, or until today where it is not.
    pub came: i64,
    pub ended: bool,
    /// How many other estimates were made on that day.
    pub made: usize,
}

/// What past estimates teach about windows.
#[derive(Clone, Debug, Default)]
pub struct Correction {
    /// Horizon (ln), misses in widths, weight, whether it ended; by the misses.
    misses: Vec<(f64, Value)>,
    /// What was worked out before: how far off, in widths, by the likely day.
    known: BTreeMap<u16, [f64; 3]>,
}

impl Correction {
    pub fn from(seen: &[PastEstimate]) -> Correction {
        let miss = |s: &PastEstimate| {
            let weight = DAY_WEIGHT / s.made.max(1) as f64 * 0.5f64.powf(f64::from(s.age) / HALF_LIFE);
            let value = Value { value: Scale::of(s.days).widths(s.came as f64), weight, ended: s.ended };
            (Scale::of(s.days).middle, value)
        };
        let mut misses: Vec<(f64, Value)> = seen.iter().map(miss).collect();
        misses.sort_by(|(_, a), (_, b)| in_order(a, b));
        Correction { misses, known: BTreeMap::new() }
    }

    /// Works out at once what these windows need.
    pub fn have_at_hand(&mut self, windows: impl Iterator<Item = [u16; 3]>) {
        let likely: BTreeSet<u16> = windows.map(|days| days[1]).collect();
        let new: Vec<u16> = likely.into_iter().filter(|day| !self.known.contains_key(day)).collect();
        let worked: Vec<(u16, [f64; 3])> =
            new.into_par_iter().map(|likely| (likely, self.widths_off(likely))).collect();
        self.known.extend(worked);
    }

    /// The corrected window.
    pub fn apply(&self, days: [u16; 3]) -> [u16; 3] {
        let scale = Scale::of(days);
        let off = self.known.get(&days[1]).copied().unwrap_or_else(|| self.widths_off(days[1]));
        let mut three = off.map(|off| scale.days(off));
        three.sort_unstable();
        three
    }

    /// How many widths off the three days are to be for a window with this likely day.
    fn widths_off(&self, likely: u16) -> [f64; 3] {
        let middle = horizon(likely);
        const COUNT: usize = 40;
        let bell = (0..COUNT).map(|i| Value {
            value: BELL_WIDTH * normal((i as f64 + 0.5) / COUNT as f64) / normal(0.9),
            weight: BELL / COUNT as f64,
            ended: true,
        });
        let own = self.misses.iter().map(|(horizon, miss)| {
            let off = (horizon - middle) / NEAR;
            Value { weight: miss.weight * own_weight(off), ..*miss }
        });
        let curve = curve_of_sorted(merged(bell, own));
        [0.1, 0.5, 0.9].map(|p| curve.quantile(p))
    }
}

fn own_weight(off: f64) -> f64 {
    (-0.5 * off * off).exp()
}

/// Two lists that are in order as one; where neither comes first, the first list's does.
fn merged(first: impl Iterator<Item = Value>, second: impl Iterator<Item = Value>) -> Vec<Value> {
    let (mut first, mut second) = (first.peekable(), second.peekable());
    let mut all = Vec::with_capacity(first.size_hint().0 + second.size_hint().0);
    loop {
        let next = match (first.peek(), second.peek()) {
            (Some(a), Some(b)) if in_order(a, b).is_le() => first.next(),
            (Some(_), None) => first.next(),
            _ => second.next(),
        };
        let Some(next) = next else { return all };
        all.push(next);
    }
}

/// A day on the logarithmic scale.
fn horizon(day: u16) -> f64 {
    (f64::from(day) + SOFT).ln()
}

/// A window on the logarithmic scale.
struct Scale {
    middle: f64,
    up: f64,
    down: f64,
}

impl Scale {
    fn of(days: [u16; 3]) -> Scale {
        let [low, middle, high] = days.map(horizon);
        Scale { middle, up: (high - middle).max(NARROW), down: (middle - low).max(NARROW) }
    }

    /// How many widths a day is off the middle.
    fn widths(&self, days: f64) -> f64 {
        let off = (days.max(0.0) + SOFT).ln() - self.middle;
        if off > 0.0 { off / self.up } else { off / self.down }
    }

    fn days(&self, widths: f64) -> u16 {
        let off = if widths > 0.0 { widths * self.up } else { widths * self.down };
        ((self.middle + off).exp() - SOFT).round().clamp(0.0, 3653.0) as u16
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Forty estimates of 60, 100 and 150 days, ten days apart, and what came of them.
    fn past(came: impl Fn(u32) -> i64) -> Vec<PastEstimate> {
        let seen = |n: u32| PastEstimate {
            age: 150 + 10 * n,
            days: [60, 100, 150],
            came: came(n),
            ended: true,
            made: 1,
        };
        (0..40).map(seen).collect()
    }

    fn corrected(seen: &[PastEstimate]) -> [u16; 3] {
        Correction::from(seen).apply([60, 100, 150])
    }

    #[test]
    fn without_a_past_windows_stay_as_the_trials_say() {
        let [low, middle, high] = corrected(&[]);
        assert!(
            low.abs_diff(60) <= 2 && middle.abs_diff(100) <= 2 && high.abs_diff(150) <= 3,
            "{low} {middle} {high}"
        );
    }

    #[test]
    fn windows_follow_what_came_of_them() {
        let [low, middle, high] = corrected(&past(|_| 140));
        assert!(low > 70 && middle > 120 && high < 190, "always later: {low} {middle} {high}");
        let [low, _, high] = corrected(&past(|n| if n % 2 == 0 { 100 } else { 104 }));
        assert!(high - low < 75, "always near: {low} {high}");
        let [low, _, high] = corrected(&past(|n| [30, 60, 100, 170, 260][n as usize % 5]));
        assert!(high - low > 130, "all over the place: {low} {high}");
    }

    #[test]
    fn what_is_still_open_counts_as_longer() {
        let mut seen = past(|_| 100);
        for late in seen.iter_mut().step_by(2) {
            (late.came, late.ended) = (150, false);
        }
        let all_ended = corrected(&past(|_| 100));
        assert!(corrected(&seen)[2] > all_ended[2] + 20);
    }
}
