//! Money and numbers in words, by the patterns of `words.toml`.

use super::theme::{Words, fill};
use crate::base::money::{Currency, Money};
use crate::problem::Problems;
use rust_decimal::Decimal;

/// How amounts are written.
#[derive(Debug)]
pub struct Amounts {
    decimal: String,
    group: String,
    amount: String,
    negative: String,
}

impl Amounts {
    /// The patterns, tried out so that none fails later.
    pub fn read(words: &Words) -> Result<Amounts, Problems> {
        let amounts = Amounts {
            decimal: words.plain("amount.decimal")?,
            group: words.plain("amount.group")?,
            amount: words.plain("amount.amount")?,
            negative: words.plain("amount.negative")?,
        };
        for (pattern, gap) in [(&amounts.amount, "digits"), (&amounts.negative, "amount")] {
            let tried = fill(pattern, &|name| [gap, "sign"].contains(&name).then(String::new));
            let shows = pattern.contains(&format!("{{{gap}}}"));
            if tried.is_err() || !shows {
                return Err(words.problem(format!("an amount's pattern needs `{{{gap}}}`: `{pattern}`")));
            }
        }
        Ok(amounts)
    }

    /// `$1,234.50`
    pub fn money(&self, money: Money, currency: Currency) -> String {
        let size = if money.is_negative() { -money } else { money };
        let digits = self.number(&size.plain(currency));
        let written = fill(&self.amount, &|name| match name {
            "sign" => Some(currency.sign()),
            "digits" => Some(digits.clone()),
            _ => None,
        });
        let written = written.unwrap_or_else(|_| digits.clone());
        if !money.is_negative() {
            return written;
        }
        let below = fill(&self.negative, &|name| (name == "amount").then(|| written.clone()));
        below.unwrap_or_else(|_| money.plain(currency))
    }

    /// A plain decimal such as `1234.50` with the theme's signs.
    pub fn number(&self, plain: &str) -> String {
        let (whole, part) = plain.split_once('.').map_or((plain, None), |(w, p)| (w, Some(p)));
        let mut out = String::new();
        for (at, digit) in whole.chars().enumerate() {
            let left = whole.len() - at;
            if at > 0 && left % 3 == 0 && out.ends_with(|c: char| c.is_ascii_digit()) {
                out.push_str(&self.group);
            }
            out.push(digit);
        }
        if let Some(part) = part {
            out.push_str(&self.decimal);
            out.push_str(part);
        }
        out
    }

    /// A measure or a count, without idle zeros.
    pub fn measure(&self, value: Decimal) -> String {
        self.number(&value.normalize().to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::Source;

    fn amounts(text: &str) -> Amounts {
        Amounts::read(&Words::read(Source::new("words.toml", text)).unwrap()).unwrap()
    }

    const US: &str =
        "[amount]\ndecimal = \".\"\ngroup = \",\"\namount = \"{sign}{digits}\"\nnegative = \"−{amount}\"\n";
    const DE: &str =
        "[amount]\ndecimal = \",\"\ngroup = \".\"\namount = \"{digits} {sign}\"\nnegative = \"-{amount}\"\n";

    #[test]
    fn signs_and_groups_follow_the_theme() {
        let (usd, eur) = (Currency::from_code("USD").unwrap(), Currency::from_code("EUR").unwrap());
        let (jpy, kwd) = (Currency::from_code("JPY").unwrap(), Currency::from_code("KWD").unwrap());
        let us = amounts(US);
        for (minor, want) in [(69550, "$695.50"), (123456789, "$1,234,567.89"), (-5, "−$0.05"), (0, "$0.00")]
        {
            assert_eq!(us.money(Money::from_minor(minor), usd), want);
        }
        assert_eq!(us.money(Money::from_minor(100000), jpy), "¥100,000");
        assert!(us.money(Money::from_minor(1234567), kwd).ends_with("1,234.567"));
        assert_eq!(amounts(DE).money(Money::from_minor(-123456), eur), "-1.234,56 €");
        assert_eq!(us.number("999"), "999");
        assert_eq!(us.number("-1000"), "-1,000");
        assert_eq!(us.measure("32.50".parse().unwrap()), "32.5");
    }
}
