//! Exact shares of money: an amount times a factor over a divisor, kept as a whole number and a
//! proper fraction until it is rounded once. The one place where money is rounded.
//!
//! All of it fits into 128 bits, because reading caps what is multiplied: no amount has more than [`super::money::LARGEST`] minor units, and no
//! rate or count has more than [`DECIMALS`] digits after the point. `rust_decimal` alone would not do: it holds 28 digits and rounds
//! on its own where a product needs more, and a third of a price is no decimal.

use super::money::Money;
use rust_decimal::Decimal;
use std::cmp::Ordering;

/// So many digits after the point a rate or a count may have.
pub const DECIMALS: u32 = 15;

/// How a share becomes whole minor units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// To the nearest, halves away from zero; the default. Streamlined Sales and Use Tax Agreement,
    /// section 324: carried to the third decimal place, up when that place is greater than four.
    HalfUp,
    HalfEven,
    Up,
    Down,
}

/// `whole + part / of` minor units, where `part < of`; `whole` is the floor, also below zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Exact {
    pub whole: i128,
    pub part: u128,
    pub of: u128,
}

/// No result is larger than this either way, so that sums of many lines stay exact.
const MOST: u128 = 10u128.pow(24);
/// What the fraction of a sum is cut to when no common divisor can be held.
const COARSE: u128 = 10u128.pow(CUT);
const CUT: u32 = 18;
/// Divisors stay below this, so that a digit more never overflows.
const LARGEST_DIVISOR: u128 = 10u128.pow(37);

impl Exact {
    pub const ZERO: Exact = Exact { whole: 0, part: 0, of: 1 };

    /// `amount * times / over`; zero where `over` is zero.
    pub fn share(amount: Money, times: u128, over: u128) -> Exact {
        let over = over.min(LARGEST_DIVISOR);
        if over == 0 {
            return Exact::ZERO;
        }
        // Within the caps no product overflows; beyond them the sums are absurd, and must only not break.
        let product = amount.minor().unsigned_abs().checked_mul(times);
        let (size, rest) = match product.map(|product| (product / over, product % over)) {
            Some((quotient, rest)) if quotient < MOST => (quotient, rest),
            _ => (MOST, 0),
        };
        let size = i128::try_from(size).unwrap_or(i128::MAX);
        match (amount.is_negative(), rest) {
            (false, _) => Exact { whole: size, part: rest, of: over },
            (true, 0) => Exact { whole: -size, part: 0, of: over },
            (true, _) => Exact { whole: -size - 1, part: over - rest, of: over },
        }
    }

    /// An amount times a count as the owner wrote it.
    pub fn times(amount: Money, count: Decimal) -> Exact {
        let (size, scale) = parts(count);
        let signed = if count.is_sign_negative() { -amount } else { amount };
        Exact::share(signed, size, scale)
    }

    /// So many percent of an amount.
    pub fn percent(amount: Money, rate: Decimal) -> Exact {
        let (size, scale) = parts(rate);
        let signed = if rate.is_sign_negative() { -amount } else { amount };
        Exact::share(signed, size, scale.saturating_mul(100))
    }

    /// The sum. Exact while the common divisor has no more than 37 digits, as it has for any number of lines
    /// under one rate; beyond that the fractions are cut to 18 digits.
    #[must_use]
    pub fn plus(self, other: Exact) -> Exact {
        let common = (self.of / gcd(self.of, other.of)).checked_mul(other.of);
        match common.filter(|c| *c <= LARGEST_DIVISOR) {
            Some(of) => self.over(of).plus_alike(other.over(of)),
            None => self.cut().plus_alike(other.cut()),
        }
    }

    /// The same over a multiple of its divisor.
    fn over(self, of: u128) -> Exact {
        Exact { part: self.part * (of / self.of), of, ..self }
    }

    /// The same with the fraction cut to 18 digits, digit by digit as on paper.
    fn cut(self) -> Exact {
        let (mut rest, mut part) = (self.part, 0);
        for _ in 0..CUT {
            part = part * 10 + rest * 10 / self.of;
            rest = rest * 10 % self.of;
        }
        Exact { part, of: COARSE, ..self }
    }

    fn plus_alike(self, other: Exact) -> Exact {
        let (part, of) = (self.part + other.part, self.of);
        let whole = self.whole.saturating_add(other.whole);
        match part >= of {
            true => Exact { whole: whole.saturating_add(1), part: part - of, of },
            false => Exact { whole, part, of },
        }
    }

    /// Whole minor units. `Up` is away from zero and `Down` towards it, so that a credit is rounded
    /// as its charge was.
    pub fn rounded(self, rounding: Rounding) -> Money {
        let to_half = self.part.cmp(&(self.of - self.part));
        let below_zero = self.whole < 0;
        let up = match rounding {
            Rounding::HalfUp => to_half == Ordering::Greater || to_half == Ordering::Equal && !below_zero,
            Rounding::HalfEven => {
                to_half == Ordering::Greater || to_half == Ordering::Equal && self.whole & 1 == 1
            }
            Rounding::Up => self.part > 0 && !below_zero,
            Rounding::Down => self.part > 0 && below_zero,
        };
        Money::from_minor(self.whole.saturating_add(i128::from(up)))
    }
}

/// Digits and divisor of a decimal without its sign: 6.25 is 625 over 100.
pub fn parts(decimal: Decimal) -> (u128, u128) {
    let short = decimal.normalize();
    (short.mantissa().unsigned_abs(), 10u128.pow(short.scale().min(28)))
}

/// Whether a rate or a count is coarse enough to be reckoned with exactly.
pub fn fits(decimal: Decimal) -> bool {
    decimal.normalize().scale() <= DECIMALS
}

fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b > 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::money::LARGEST;
    use Rounding::{Down, HalfEven, HalfUp, Up};

    const ALL: [Rounding; 4] = [HalfUp, HalfEven, Up, Down];

    fn share(amount: i128, times: u128, over: u128) -> Exact {
        Exact::share(Money::from_minor(amount), times, over)
    }

    fn rounded(amount: i128, times: u128, over: u128) -> [i128; 4] {
        ALL.map(|r| share(amount, times, over).rounded(r).minor())
    }

    #[test]
    fn each_rounding_does_what_its_name_says() {
        // Cross-read with the rounding modes of Python's `decimal` (ROUND_HALF_UP, _HALF_EVEN, _UP, _DOWN).
        assert_eq!(rounded(5, 1, 2), [3, 2, 3, 2]);
        assert_eq!(rounded(7, 1, 2), [4, 4, 4, 3]);
        assert_eq!(rounded(-5, 1, 2), [-3, -2, -3, -2]);
        assert_eq!(rounded(-1, 1, 3), [0, 0, -1, 0]);
        assert_eq!(rounded(-2, 1, 3), [-1, -1, -1, 0]);
        assert_eq!(rounded(4, 1, 2), [2; 4]);
        assert_eq!(rounded(-4, 1, 2), [-2; 4]);
        assert_eq!(rounded(0, 7, 3), [0; 4]);
    }

    /// Quotient and rest of `amount * times / over` with a product of 256 bits, bit by bit.
    fn widely(amount: u128, times: u128, over: u128) -> (u128, u128) {
        let (low, high) = amount.carrying_mul(times, 0);
        let (mut quotient, mut rest) = (0u128, 0u128);
        for bit in (0..256).rev() {
            let word = if bit < 128 { low >> bit } else { high >> (bit - 128) };
            rest = rest << 1 | (word & 1);
            quotient = quotient << 1 | u128::from(rest >= over);
            rest -= if rest >= over { over } else { 0 };
        }
        (quotient, rest)
    }

    #[test]
    fn what_reading_lets_through_is_exact_to_the_last_digit() {
        let largest = LARGEST.unsigned_abs();
        let finest = 10u128.pow(DECIMALS);
        // A thousand lines of the largest amount together, as what a percentage is of and what a discount is shared over.
        let all = 1000 * largest;
        let extremes = [
            // The largest price times the largest count with all its digits; reading bounds a count by a million.
            (largest, 1_000_000 * finest - 1, finest),
            // A hundred percent less the last digit, of all lines.
            (all, 100 * finest - 1, 100 * finest),
            // A tax that is in the price, beside nine others of a hundred percent.
            (all, 100 * finest - 1, 1100 * finest - 7),
            // A line's part of a discount over all of them.
            (largest - 1, all - 1, all - 3),
        ];
        let mut all_together = 0;
        let mut check = |amount: u128, times: u128, over: u128| {
            let exact = share(amount as i128, times, over);
            let (quotient, rest) = widely(amount, times, over);
            if quotient < MOST {
                assert_eq!((exact.whole as u128, exact.part, exact.of), (quotient, rest, over));
                all_together += 1;
            }
        };
        for (amount, times, over) in extremes {
            check(amount, times, over);
            // And what the dice make of them (splitmix64).
            let mut state = 17u64;
            let mut dice = |below: u128| {
                state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
                let mixed = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
                u128::from(mixed) * 0x94d0_49bb_1331_11eb % below
            };
            for _ in 0..5000 {
                check(dice(amount) + 1, dice(times) + 1, dice(over) + 1);
            }
        }
        assert!(all_together > 15_000, "{all_together}");
    }

    #[test]
    fn what_is_too_fine_to_be_exact_is_not_let_through() {
        let fits = |text: &str| super::fits(Decimal::from_str_exact(text).unwrap());
        assert!(fits("33.333333333333333") && fits("6.25000000000000000000000000"));
        assert!(!fits("33.3333333333333333"));
    }

    #[test]
    fn no_value_is_too_much() {
        for amount in [i128::MIN, i128::MAX, -1, 0, 1] {
            for times in [0, 1, u128::MAX] {
                for over in [0, 1, 3, u128::MAX] {
                    let exact = share(amount, times, over);
                    for rounding in ALL {
                        assert!(exact.rounded(rounding).minor().unsigned_abs() <= MOST);
                    }
                    let _ = exact.plus(share(amount, 5, 7)).rounded(HalfUp);
                }
            }
            let _ = Exact::times(Money::from_minor(amount), Decimal::MAX);
            let _ = Exact::percent(Money::from_minor(amount), Decimal::MIN);
        }
    }

    #[test]
    fn sums_of_fractions_carry() {
        let third = share(1, 1, 3);
        let sixth = share(1, 1, 6);
        let half = third.plus(sixth);
        assert_eq!((half.whole, half.part * 2), (0, half.of));
        assert_eq!(half.rounded(HalfUp).minor(), 1);
        assert_eq!(half.plus(half).whole, 1);
        // -1/3 - 1/6 is exactly -1/2: away from zero.
        let minus = share(-1, 1, 3).plus(share(-1, 1, 6));
        assert_eq!(minus.rounded(HalfUp).minor(), -1);
        assert_eq!(minus.rounded(HalfEven).minor(), 0);
    }

    #[test]
    fn a_sum_without_a_common_divisor_is_cut_to_eighteen_digits() {
        let (near, far) = (10u128.pow(30) + 57, 10u128.pow(29) + 319);
        let sum = share(1, near / 3, near).plus(share(2, far / 3, far));
        // 0.333… and 0.666…, each cut.
        assert_eq!((sum.whole, sum.part, sum.of), (0, 999_999_999_999_999_999, COARSE));
    }
}
