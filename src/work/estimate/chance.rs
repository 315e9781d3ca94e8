//! Random numbers that belong to a thing and a trial, not to a moment: the same job, step and trial get the
//! same number in every pass, on every thread, so an edit to one job leaves the luck of all others alone.

/// Mixes the bits of a number (the finalizer of SplitMix64: Steele, Lea and Flood, "Fast Splittable
/// Pseudorandom Number Generators", OOPSLA 2014).
#[inline]
pub fn mix(number: u64) -> u64 {
    let a = (number ^ (number >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let b = (a ^ (a >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    b ^ (b >> 31)
}

/// A number of its own for each pair.
#[inline]
pub fn pair(a: u64, b: u64) -> u64 {
    mix(a ^ mix(b.wrapping_add(0x9e37_79b9_7f4a_7c15)))
}

/// A number that stays the same for a name.
pub fn of_name(name: &str) -> u64 {
    name.bytes().fold(0xcbf2_9ce4_8422_2325, |so_far, byte| pair(so_far, u64::from(byte)))
}

/// A share between 0 and 1, both left out.
#[inline]
pub fn share(number: u64) -> f64 {
    ((number >> 12) as f64 + 0.5) / (1u64 << 52) as f64
}

/// The standard normal quantile: the rational approximation of Acklam (2003), whose relative error is
/// published as below 1.15e-9.
pub fn normal(p: f64) -> f64 {
    const A: [f64; 6] = [
        -3.969683028665376e1,
        2.209460984245205e2,
        -2.759285104469687e2,
        1.38357751867269e2,
        -3.066479806614716e1,
        2.506628277459239,
    ];
    const B: [f64; 5] = [
        -5.447609879822406e1,
        1.615858368580409e2,
        -1.556989798598866e2,
        6.680131188771972e1,
        -1.328068155288572e1,
    ];
    const C: [f64; 6] = [
        -7.784894002430293e-3,
        -3.223964580411365e-1,
        -2.400758277161838,
        -2.549732539343734,
        4.374664141464968,
        2.938163982698783,
    ];
    const D: [f64; 4] = [7.784695709041462e-3, 3.224671290700398e-1, 2.445134137142996, 3.754408661907416];
    let p = p.clamp(1e-12, 1.0 - 1e-12);
    let horner = |terms: &[f64], x: f64| terms.iter().fold(0.0, |sum, term| sum * x + term);
    let tail = |p: f64| {
        let q = (-2.0 * p.ln()).sqrt();
        horner(&C, q) / (horner(&D, q) * q + 1.0)
    };
    if p < 0.02425 {
        tail(p)
    } else if p > 1.0 - 0.02425 {
        -tail(1.0 - p)
    } else {
        let q = p - 0.5;
        let r = q * q;
        horner(&A, r) * q / (horner(&B, r) * r + 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_quantiles_of_the_tables() {
        // Abramowitz and Stegun, table 26.5 (probit): 0.9 -> 1.28155, 0.975 -> 1.95996, 0.999 -> 3.09023.
        for (p, z) in [(0.5, 0.0), (0.9, 1.281_55), (0.975, 1.959_96), (0.999, 3.090_23), (0.1, -1.281_55)] {
            assert!((normal(p) - z).abs() < 1e-5, "{p}: {}", normal(p));
        }
    }

    #[test]
    fn splitmix_gives_the_published_numbers() {
        // The reference generator's first output for seed 1234567 (Rosetta Code, "Pseudo-random numbers/Splitmix64").
        assert_eq!(mix(1_234_567u64.wrapping_add(0x9e37_79b9_7f4a_7c15)), 6_457_827_717_110_365_317);
    }

    #[test]
    fn names_have_numbers_of_their_own() {
        assert_ne!(of_name("26-041"), of_name("26-042"));
        assert_eq!(of_name("26-041"), of_name("26-041"));
        assert!((0.0..1.0).contains(&share(u64::MAX)) && share(0) > 0.0);
    }
}
