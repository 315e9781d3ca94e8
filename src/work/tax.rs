//! Tax on the lines of a ledger: which rates and kinds is the shop's, how it is rounded too.
//!
//! The default, once on the whole and halves up, is the rule of the Streamlined Sales and Use Tax
//! Agreement, section 324. What is taxable where is for the shop and its adviser to say.

use crate::base::exact::{Exact, parts};
use crate::base::money::Money;
use crate::model::{MoneyRules, Rounding, Tax, TaxBy, TaxLine};
use rust_decimal::Decimal;

/// What tax is reckoned on: a line's kind and its amount after discounts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Taxable<'a> {
    pub kind: &'a str,
    pub net: Money,
}

/// One line for each tax that anything on the ledger is subject to, in the shop's order.
pub(super) fn reckon(rules: &MoneyRules, lines: &[Taxable<'_>]) -> Vec<TaxLine> {
    rules.taxes.iter().filter_map(|tax| one(rules, tax, lines)).collect()
}

fn one(rules: &MoneyRules, tax: &Tax, lines: &[Taxable<'_>]) -> Option<TaxLine> {
    let taxed: Vec<&Taxable<'_>> = lines.iter().filter(|line| is_on(tax, line)).collect();
    if taxed.is_empty() {
        return None;
    }
    let each = taxed.iter().map(|line| match tax.included {
        true => within(tax.rate, &included_rates(rules, line), line.net),
        false => Exact::percent(line.net, at_least_zero(tax.rate)),
    });
    Some(TaxLine {
        name: tax.name.clone(),
        rate: tax.rate.to_string(),
        base: taxed.iter().map(|line| line.net).sum(),
        amount: rounded_sum(each, rules.tax_by, rules.tax_rounding),
        included: tax.included,
    })
}

/// Rounded once on the whole, or on each line.
fn rounded_sum(each: impl Iterator<Item = Exact>, by: TaxBy, rounding: Rounding) -> Money {
    match by {
        TaxBy::Whole => each.fold(Exact::ZERO, Exact::plus).rounded(rounding),
        TaxBy::Line => each.map(|tax| tax.rounded(rounding)).sum(),
    }
}

fn is_on(tax: &Tax, line: &Taxable<'_>) -> bool {
    tax.on.iter().any(|kind| kind == line.kind)
}

/// The rates of all taxes that a line's price already includes.
fn included_rates(rules: &MoneyRules, line: &Taxable<'_>) -> Vec<Decimal> {
    let included = rules.taxes.iter().filter(|tax| tax.included && is_on(tax, line));
    included.map(|tax| tax.rate).collect()
}

/// The part of a price that is a tax already in it: `price * rate / (100 + all included rates)`.
fn within(rate: Decimal, included: &[Decimal], price: Money) -> Exact {
    let fractions: Vec<(u128, u128)> = included.iter().map(|r| parts(at_least_zero(*r))).collect();
    let (digits, own_scale) = parts(at_least_zero(rate));
    // Every rate over the finest scale among them.
    let scale = fractions.iter().map(|(_, scale)| *scale).fold(own_scale, u128::max);
    let scaled = |digits: u128, own: u128| digits.saturating_mul(scale / own.max(1));
    let hundred = scale.saturating_mul(100);
    let over = fractions.iter().fold(hundred, |sum, (digits, own)| sum.saturating_add(scaled(*digits, *own)));
    Exact::share(price, scaled(digits, own_scale), over)
}

/// Reading lets no rate below zero through; a program that builds its own shop must not break the sums.
fn at_least_zero(rate: Decimal) -> Decimal {
    rate.max(Decimal::ZERO)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{included, money, rules, tax};
    use super::*;

    fn lines<'a>(of: &[(&'a str, i128)]) -> Vec<Taxable<'a>> {
        of.iter().map(|(kind, net)| Taxable { kind, net: money(*net) }).collect()
    }

    fn amounts(rules: &MoneyRules, of: &[(&str, i128)]) -> Vec<(i128, i128)> {
        let taxes = reckon(rules, &lines(of));
        taxes.iter().map(|t| (t.base.minor(), t.amount.minor())).collect()
    }

    #[test]
    fn a_tax_is_on_the_kinds_that_it_names() {
        let mut rules = rules("USD");
        rules.taxes = vec![tax("State", "6.25", "work goods"), tax("City", "1", "goods")];
        assert_eq!(amounts(&rules, &[("work", 10_000), ("goods", 2000)]), [(12_000, 750), (2000, 20)]);
        assert_eq!(amounts(&rules, &[("work", 10_000)]), [(10_000, 625)]);
        assert_eq!(amounts(&rules, &[("shipping", 10_000)]), []);
        assert_eq!(reckon(&rules, &lines(&[("work", 1)]))[0].rate, "6.25");
    }

    #[test]
    fn once_on_the_whole_or_on_each_line() {
        let mut rules = rules("USD");
        rules.taxes = vec![tax("State", "5", "work")];
        let of = [("work", 10), ("work", 10), ("work", 10)];
        assert_eq!(amounts(&rules, &of), [(30, 2)], "1.5 goes up to 2");
        rules.tax_by = TaxBy::Line;
        assert_eq!(amounts(&rules, &of), [(30, 3)], "three times 0.5 up to 1");
        rules.tax_rounding = Rounding::HalfEven;
        assert_eq!(amounts(&rules, &of), [(30, 0)]);
    }

    #[test]
    fn included_taxes_share_the_price() {
        let mut rules = rules("EUR");
        rules.taxes = vec![included("VAT", "20", "work")];
        assert_eq!(amounts(&rules, &[("work", 12_000)]), [(12_000, 2000)]);
        rules.taxes.push(included("Levy", "5", "work"));
        // 12,500 = 10,000 + 20 % + 5 %.
        assert_eq!(amounts(&rules, &[("work", 12_500)]), [(12_500, 2000), (12_500, 500)]);
        // A line that only one of the two is on is divided by that one alone.
        rules.taxes[1].on = vec!["goods".into()];
        assert_eq!(amounts(&rules, &[("work", 12_000), ("goods", 10_500)]), [(12_000, 2000), (10_500, 500)]);
    }

    #[test]
    fn fractions_of_unlike_lines_are_added_before_rounding() {
        let mut rules = rules("EUR");
        rules.taxes = vec![included("VAT", "20", "work goods"), included("Levy", "5", "goods")];
        // 2 * 20/120 + 1 * 20/125 = 0.3333 + 0.16 = 0.4933 -> 0; 3 and 1: 0.5 + 0.16 -> 1.
        assert_eq!(amounts(&rules, &[("work", 2), ("goods", 1)])[0], (3, 0));
        assert_eq!(amounts(&rules, &[("work", 3), ("goods", 1)])[0], (4, 1));
    }

    #[test]
    fn zero_and_absurd_rates_are_borne() {
        let mut rules = rules("USD");
        rules.taxes = vec![tax("None", "0", "work"), included("None", "0", "work")];
        assert_eq!(amounts(&rules, &[("work", 999)]), [(999, 0), (999, 0)]);
        for rate in [Decimal::MAX, Decimal::MIN, Decimal::new(1, 28)] {
            for is_included in [false, true] {
                let odd = Tax { rate, included: is_included, ..tax("Odd", "1", "work") };
                rules.taxes = vec![odd, included("VAT", "0.0000000000000000000000000001", "work")];
                for net in [i128::MIN, -1, 0, 1, i128::MAX] {
                    let _ = amounts(&rules, &[("work", net)]);
                }
            }
        }
    }

    #[test]
    fn a_credit_is_taxed_as_its_charge_was() {
        let mut rules = rules("USD");
        for rounding in [Rounding::HalfUp, Rounding::HalfEven, Rounding::Up, Rounding::Down] {
            rules.tax_rounding = rounding;
            rules.taxes = vec![tax("State", "8.875", "work"), included("VAT", "19", "work")];
            for net in 0..400 {
                let (there, back) = (amounts(&rules, &[("work", net)]), amounts(&rules, &[("work", -net)]));
                for (charge, credit) in there.iter().zip(&back) {
                    assert_eq!(charge.1, -credit.1, "{net} {rounding:?}");
                }
            }
        }
    }
}
