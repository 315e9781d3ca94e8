//! Three figures as a distribution: the beta of PERT, by its quantiles.
//!
//! Malcolm, Roseboom, Clark and Fazar, "Application of a Technique for Research and Development Program
//! Evaluation", Operations Research 7(5), 1959: mean (a + 4m + b) / 6, variance ((b - a) / 6)^2. The beta on
//! [a, b] with just these two moments is taken.

use crate::model::Likely;

/// How many quantiles stand for a distribution, in the middle of as many equal shares.
pub const SHARES: usize = 256;

/// The mean of three figures.
pub fn mean(figures: Likely<impl Into<u32>>) -> f64 {
    let [least, likely, most] = ordered(figures);
    (least + 4.0 * likely + most) / 6.0
}

/// The figures as numbers, put in order should the owner have mixed them up.
fn ordered(figures: Likely<impl Into<u32>>) -> [f64; 3] {
    let mut three = [figures.least.into(), figures.likely.into(), figures.most.into()];
    three.sort_unstable();
    three.map(f64::from)
}

/// The two shape parameters of the beta on [0, 1] for three figures; none where least and most are equal.
pub fn shape(figures: Likely<impl Into<u32> + Copy>) -> Option<(f64, f64)> {
    let [least, _, most] = ordered(figures);
    if most <= least {
        return None;
    }
    let middle = (mean(figures) - least) / (most - least);
    // From the mean and a variance of 1/36.
    let both = 36.0 * middle * (1.0 - middle) - 1.0;
    Some((middle * both, (1.0 - middle) * both))
}

/// The quantiles at (i + 1/2) / 256.
pub fn quantiles(figures: Likely<impl Into<u32> + Copy>) -> Vec<f64> {
    let [least, likely, most] = ordered(figures);
    let Some((a, b)) = shape(figures) else { return vec![likely; SHARES] };
    let beta = Beta::new(a, b);
    let mut from = 0.0;
    let at = |i: usize| (i as f64 + 0.5) / SHARES as f64;
    (0..SHARES)
        .map(|i| {
            from = beta.quantile(at(i), from);
            least + (most - least) * from
        })
        .collect()
}

/// A beta distribution on [0, 1].
#[derive(Clone, Copy, Debug)]
pub struct Beta {
    a: f64,
    b: f64,
    /// Logarithm of the beta function of both.
    ln_both: f64,
}

impl Beta {
    pub fn new(a: f64, b: f64) -> Beta {
        Beta { a, b, ln_both: ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b) }
    }

    /// The share of cases at or below `x`.
    pub fn below(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return 0.0;
        }
        if x >= 1.0 {
            return 1.0;
        }
        let front = (self.a * x.ln() + self.b * (1.0 - x).ln() - self.ln_both).exp();
        // The fraction converges quickly on this side of the mean only (DLMF 8.17.22).
        if x < (self.a + 1.0) / (self.a + self.b + 2.0) {
            front * fraction(self.a, self.b, x) / self.a
        } else {
            1.0 - front * fraction(self.b, self.a, 1.0 - x) / self.b
        }
    }

    fn density(&self, x: f64) -> f64 {
        ((self.a - 1.0) * x.ln() + (self.b - 1.0) * (1.0 - x).ln() - self.ln_both).exp()
    }

    /// The value below which a share `p` lies, at or above `from`: Newton's steps, kept in a bracket.
    pub fn quantile(&self, p: f64, from: f64) -> f64 {
        let (mut low, mut high) = (from, 1.0);
        let mut x = if from > 0.0 { (from + 1e-3).min(0.999) } else { self.a / (self.a + self.b) };
        for _ in 0..60 {
            let off = self.below(x) - p;
            if off > 0.0 {
                high = x
            } else {
                low = x
            }
            let step = x - off / self.density(x);
            let next = if step > low && step < high { step } else { (low + high) / 2.0 };
            if (next - x).abs() < 1e-10 {
                return next;
            }
            x = next;
        }
        x
    }
}

/// The continued fraction of the incomplete beta function (DLMF 8.17.22), by Lentz's method.
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    let tiny = 1e-300;
    let safe = |v: f64| if v.abs() < tiny { tiny } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / safe(1.0 - (a + b) * x / (a + 1.0));
    let mut value = d;
    for m in 1..300 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / safe(1.0 + even * d);
        c = safe(1.0 + even / c);
        value *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / safe(1.0 + odd * d);
        c = safe(1.0 + odd / c);
        value *= d * c;
        if (d * c - 1.0).abs() < 1e-14 {
            break;
        }
    }
    value
}

/// Logarithm of the gamma function for positive numbers: Stirling's series (DLMF 5.11.1) after shifting up.
fn ln_gamma(x: f64) -> f64 {
    let mut shifted = x;
    let mut less = 0.0;
    while shifted < 12.0 {
        less += shifted.ln();
        shifted += 1.0;
    }
    let r = 1.0 / (shifted * shifted);
    let series = (1.0 / 12.0 - r * (1.0 / 360.0 - r * (1.0 / 1260.0 - r / 1680.0))) / shifted;
    (shifted - 0.5) * shifted.ln() - shifted + 0.5 * (2.0 * std::f64::consts::PI).ln() + series - less
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figures(least: u32, likely: u32, most: u32) -> Likely<u32> {
        Likely { least, likely, most }
    }

    #[test]
    fn gamma_of_known_places() {
        // Gamma(1/2) = sqrt(pi), Gamma(5) = 24 (DLMF 5.4).
        assert!((ln_gamma(0.5) - std::f64::consts::PI.sqrt().ln()).abs() < 1e-12);
        assert!((ln_gamma(5.0) - 24f64.ln()).abs() < 1e-12);
    }

    #[test]
    fn moments_are_those_of_the_paper() {
        // Malcolm et al. 1959: mean (a + 4m + b) / 6, variance ((b - a) / 6)^2.
        for three in [figures(150, 240, 420), figures(0, 10, 100), figures(60, 60, 600), figures(5, 95, 95)] {
            let all = quantiles(three);
            let mean = all.iter().sum::<f64>() / all.len() as f64;
            let wide = f64::from(three.most - three.least);
            let variance = all.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / all.len() as f64;
            assert!((mean - super::mean(three)).abs() < 0.002 * wide, "{three:?}: {mean}");
            // 256 shares cut the outermost tails off a little.
            assert!((variance.sqrt() - wide / 6.0).abs() < 0.004 * wide, "{three:?}: {}", variance.sqrt());
            assert!(all.is_sorted());
        }
    }

    #[test]
    fn figures_that_are_equal_or_mixed_up_are_no_trouble() {
        assert_eq!(shape(figures(7, 7, 7)), None);
        assert_eq!(quantiles(figures(7, 7, 7)), vec![7.0; SHARES]);
        assert_eq!(shape(figures(9, 1, 4)), shape(figures(1, 4, 9)));
    }
}
