//! Exact shares of money: an amount times a factor over a divisor, kept as a whole number and a
//! proper fraction until it is rounded once.
//!
//! `rust_decimal` holds 28 digits and rounds on its own where a product needs more; here the product
//! has 256 bits, so what comes out is the true quotient for every amount, count and rate.

use crate::base::money::Money;
use crate::model::TaxRounding;
use rust_decimal::Decimal;
use std::cmp::Ordering;

/// `whole + part / of` minor units, where `part < of`; `whole` is the floor, also below zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Exact {
    pub whole: i128,
    pub part: u128,
    pub of: u128,
}

/// No result is larger than this either way, so that sums of many lines stay exact.
const LARGEST: u128 = 10u128.pow(24);
/// Divisors stay below this, so that long division has a bit to spare.
const LARGEST_DIVISOR: u128 = u128::MAX >> 1;
/// What the fraction of a sum is cut to when no common divisor can be held.
const COARSE: u128 = 10u128.pow(18);

impl Exact {
    pub const ZERO: Exact = Exact { whole: 0, part: 0, of: 1 };

    /// `amount * times / over`; zero where `over` is zero.
    pub fn share(amount: i128, times: u128, over: u128) -> Exact {
        let over = over.min(LARGEST_DIVISOR);
        if over == 0 {
            return Exact::ZERO;
        }
        let (low, high) = amount.unsigned_abs().carrying_mul(times, 0);
        let (size, rest) = match divide(high, low, over) {
            Some((quotient, rest)) if quotient < LARGEST => (quotient, rest),
            _ => (LARGEST, 0),
        };
        let size = i128::try_from(size).unwrap_or(i128::MAX);
        match (amount < 0, rest) {
            (false, _) => Exact { whole: size, part: rest, of: over },
            (true, 0) => Exact { whole: -size, part: 0, of: over },
            (true, _) => Exact { whole: -size - 1, part: over - rest, of: over },
        }
    }

    /// An amount times a count as the owner wrote it.
    pub fn times(amount: Money, count: Decimal) -> Exact {
        let (size, scale) = parts(count);
        let signed = if count.is_sign_negative() { -amount } else { amount };
        Exact::share(signed.minor(), size, scale)
    }

    /// So many percent of an amount.
    pub fn percent(amount: Money, rate: Decimal) -> Exact {
        let (size, scale) = parts(rate);
        let signed = if rate.is_sign_negative() { -amount } else { amount };
        Exact::share(signed.minor(), size, scale.saturating_mul(100))
    }

    /// The sum. Exact while the common divisor fits into 127 bits, as it does for any number of lines
    /// under one rate; beyond that the fractions are cut to 18 digits.
    pub fn plus(self, other: Exact) -> Exact {
        let common = (self.of / gcd(self.of, other.of)).checked_mul(other.of);
        match common.filter(|c| *c <= LARGEST_DIVISOR) {
            Some(of) => self.over(of).plus_alike(other.over(of)),
            None => self.over(COARSE).plus_alike(other.over(COARSE)),
        }
    }

    /// The same with another divisor; cut where the fraction cannot be expressed in it.
    fn over(self, of: u128) -> Exact {
        let (low, high) = self.part.carrying_mul(of, 0);
        let part = divide(high, low, self.of).map_or(0, |(quotient, _)| quotient);
        Exact { whole: self.whole, part, of }
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
    pub fn rounded(self, rounding: TaxRounding) -> Money {
        let to_half = self.part.cmp(&(self.of - self.part));
        let below_zero = self.whole < 0;
        let up = match rounding {
            TaxRounding::HalfUp => to_half == Ordering::Greater || to_half == Ordering::Equal && !below_zero,
            TaxRounding::HalfEven => {
                to_half == Ordering::Greater || to_half == Ordering::Equal && self.whole & 1 == 1
            }
            TaxRounding::Up => self.part > 0 && !below_zero,
            TaxRounding::Down => self.part > 0 && below_zero,
        };
        Money::from_minor(self.whole.saturating_add(i128::from(up)))
    }
}

/// Digits and divisor of a decimal without its sign: 6.25 is 625 over 100.
pub(super) fn parts(decimal: Decimal) -> (u128, u128) {
    let short = decimal.normalize();
    (short.mantissa().unsigned_abs(), 10u128.pow(short.scale().min(28)))
}

/// Quotient and rest of `high * 2^128 + low`, bit by bit; none where the quotient has over 128 bits.
fn divide(high: u128, low: u128, over: u128) -> Option<(u128, u128)> {
    if high == 0 {
        return Some((low.checked_div(over)?, low.checked_rem(over)?));
    }
    if high >= over {
        return None;
    }
    let (mut quotient, mut rest) = (0u128, high);
    for bit in (0..128).rev() {
        rest = rest << 1 | (low >> bit & 1);
        quotient <<= 1;
        if rest >= over {
            rest -= over;
            quotient |= 1;
        }
    }
    Some((quotient, rest))
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
    use TaxRounding::{Down, HalfEven, HalfUp, Up};

    fn rounded(amount: i128, times: u128, over: u128) -> [i128; 4] {
        let exact = Exact::share(amount, times, over);
        [HalfUp, HalfEven, Up, Down].map(|r| exact.rounded(r).minor())
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

    #[test]
    fn products_beyond_128_bits_are_exact() {
        // (10^24 * 10^20) / 10^22 = 10^22, though the product needs 147 bits.
        let exact = Exact::share(10i128.pow(24), 10u128.pow(20), 10u128.pow(22));
        assert_eq!(exact, Exact { whole: 10i128.pow(22), part: 0, of: 10u128.pow(22) });
        // One minor unit more in the dividend shows up in the rest.
        let odd = Exact::share(10i128.pow(24) + 1, 10u128.pow(20), 10u128.pow(22));
        assert_eq!((odd.whole, odd.part), (10i128.pow(22), 10u128.pow(20)));
        let count = Decimal::from_str_exact("7.0000000000000000000000000005").unwrap();
        let exact = Exact::times(Money::from_minor(1_000_000_000_000), count);
        assert_eq!((exact.whole, exact.part > 0), (7_000_000_000_000, true));
        assert_eq!(exact.rounded(Up), Money::from_minor(7_000_000_000_001));
    }

    #[test]
    fn no_value_is_too_much() {
        for amount in [i128::MIN, i128::MAX, -1, 0, 1] {
            for times in [0, 1, u128::MAX] {
                for over in [0, 1, 3, u128::MAX] {
                    let exact = Exact::share(amount, times, over);
                    for rounding in [HalfUp, HalfEven, Up, Down] {
                        assert!(exact.rounded(rounding).minor().unsigned_abs() <= LARGEST);
                    }
                    let _ = exact.plus(Exact::share(amount, 5, 7)).rounded(HalfUp);
                }
            }
            let _ = Exact::times(Money::from_minor(amount), Decimal::MAX);
            let _ = Exact::percent(Money::from_minor(amount), Decimal::MIN);
        }
    }

    #[test]
    fn sums_of_fractions_carry() {
        let third = Exact::share(1, 1, 3);
        let sixth = Exact::share(1, 1, 6);
        let half = third.plus(sixth);
        assert_eq!((half.whole, half.part * 2), (0, half.of));
        assert_eq!(half.rounded(HalfUp).minor(), 1);
        assert_eq!(half.plus(half).whole, 1);
        // -1/3 - 1/6 is exactly -1/2: away from zero.
        let minus = Exact::share(-1, 1, 3).plus(Exact::share(-1, 1, 6));
        assert_eq!(minus.rounded(HalfUp).minor(), -1);
        assert_eq!(minus.rounded(HalfEven).minor(), 0);
    }
}
