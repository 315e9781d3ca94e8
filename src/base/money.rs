//! Money, exactly: whole minor units (cents) of an ISO 4217 currency.
//!
//! Amounts are read from the owner's text digit by digit and never pass through a binary float.
//! What is charged, taxed or due is `work::ledger`'s; how it looks on a page is `render`'s.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Neg, Sub};

/// An ISO 4217 currency that money can be counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Currency(iso_currency::Currency);

impl Currency {
    /// The currency of a three-letter code such as `USD`; none for codes without a minor unit (gold, test codes).
    pub fn from_code(code: &str) -> Option<Currency> {
        let currency = iso_currency::Currency::from_code(code)?;
        currency.exponent().map(|_| Currency(currency))
    }

    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// Digits after the decimal point: 2 for USD, 0 for JPY, 3 for KWD.
    pub fn exponent(self) -> u32 {
        self.0.exponent().map_or(2, u32::from)
    }

    /// The customary sign, such as `$`.
    pub fn sign(self) -> String {
        self.0.symbol().symbol
    }
}

/// An amount in whole minor units; may be negative.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Hash)]
pub struct Money(i128);

/// Why a text is no amount of money.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MoneyError {
    /// Not a plain decimal number.
    NotANumber,
    /// More digits after the point than the currency has.
    TooFine,
    /// Over a thousand million units either way.
    TooLarge,
}

/// The largest amount that may be written: 10^9 units of a currency with three decimals.
pub const LARGEST: i128 = 1_000_000_000_000;

impl Money {
    pub const ZERO: Money = Money(0);

    pub fn from_minor(units: i128) -> Money {
        Money(units)
    }

    pub fn minor(self) -> i128 {
        self.0
    }

    pub fn is_negative(self) -> bool {
        self.0 < 0
    }

    pub fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// Reads `695`, `695.5`, `695.50` or `-20`: no exponent, no grouping, no finer than the currency.
    pub fn parse(text: &str, currency: Currency) -> Result<Money, MoneyError> {
        let exact = plain_decimal(text).ok_or(MoneyError::NotANumber)?;
        let minor = exact.checked_mul(Decimal::from(10u64.pow(currency.exponent())));
        let minor = minor.ok_or(MoneyError::TooLarge)?;
        if !minor.is_integer() {
            return Err(MoneyError::TooFine);
        }
        let units = minor.to_i128().filter(|u| u.abs() <= LARGEST);
        units.map(Money).ok_or(MoneyError::TooLarge)
    }

    /// `695.50`: a plain decimal with all of the currency's digits, for machine-readable output.
    pub fn plain(self, currency: Currency) -> String {
        let exponent = currency.exponent();
        let unit = 10u128.pow(exponent);
        let size = self.0.unsigned_abs();
        let sign = if self.0 < 0 { "-" } else { "" };
        match exponent {
            0 => format!("{sign}{size}"),
            _ => format!("{sign}{}.{:0width$}", size / unit, size % unit, width = exponent as usize),
        }
    }
}

/// A number written plainly (`12`, `12.5`, `-0.25`), read exactly.
pub fn plain_decimal(text: &str) -> Option<Decimal> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
    let all_digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    (all_digits(whole) && all_digits(part)).then(|| Decimal::from_str_exact(text).ok()).flatten()
}

impl Add for Money {
    type Output = Money;
    fn add(self, other: Money) -> Money {
        Money(self.0.saturating_add(other.0))
    }
}

impl Sub for Money {
    type Output = Money;
    fn sub(self, other: Money) -> Money {
        Money(self.0.saturating_sub(other.0))
    }
}

impl Neg for Money {
    type Output = Money;
    fn neg(self) -> Money {
        Money(self.0.saturating_neg())
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Money>>(amounts: I) -> Money {
        amounts.fold(Money::ZERO, Add::add)
    }
}

impl fmt::Debug for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} minor units", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn currency(code: &str) -> Currency {
        Currency::from_code(code).unwrap()
    }

    #[test]
    fn amounts_are_read_to_the_minor_unit() {
        let usd = currency("USD");
        for (text, minor) in [("695", 69500), ("695.5", 69550), ("695.50", 69550), ("-0.01", -1), ("0.1", 10)]
        {
            assert_eq!(Money::parse(text, usd), Ok(Money::from_minor(minor)), "{text}");
        }
        assert_eq!(Money::parse("1.005", usd), Err(MoneyError::TooFine));
        assert_eq!(Money::parse("1.005", currency("KWD")), Ok(Money::from_minor(1005)));
        assert_eq!(Money::parse("100.5", currency("JPY")), Err(MoneyError::TooFine));
        for bad in ["1e3", "1,000", "$5", "inf", "nan", "", ".5", "5.", "--1", "1_000", "٥"] {
            assert_eq!(Money::parse(bad, usd), Err(MoneyError::NotANumber), "{bad}");
        }
        assert_eq!(Money::parse("99999999999999", usd), Err(MoneyError::TooLarge));
        assert_eq!(Money::parse(&"9".repeat(40), usd), Err(MoneyError::NotANumber));
    }

    #[test]
    fn machine_readable_amounts_carry_all_digits() {
        assert_eq!(Money::from_minor(-5).plain(currency("USD")), "-0.05");
        assert_eq!(Money::from_minor(1005).plain(currency("KWD")), "1.005");
        assert_eq!(Money::from_minor(250).plain(currency("JPY")), "250");
    }

    #[test]
    fn sums_saturate_and_never_wrap() {
        let most = Money::from_minor(i128::MAX);
        assert_eq!(most + most, most);
    }
}
