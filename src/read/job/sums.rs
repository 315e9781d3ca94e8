//! Sums of a job's lines that can hardly be meant: more given back than was paid, more taken off than charged.
//!
//! Both are only told; the ledger itself is `work`'s.

use super::lines::Lines;
use crate::base::money::{Currency, Money};
use crate::model::{Amount, Less};
use crate::problem::Code;
use crate::read::toml::table::Table;
use crate::read::toml::value::Value;
use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};

/// RouteTexts of the first discount, read from `tables`, that takes off more than the charges come to.
pub(in crate::read) fn tell_discounts(lines: &Lines, tables: &[Table<'_>], currency: Currency) {
    // What no decimal can hold is told by nobody here: such sums are not money.
    let charges: Option<Vec<Money>> = lines.charges.iter().map(|charge| come_to(charge.amount)).collect();
    let Some(charges) = charges else { return };
    let gross: Money = charges.into_iter().sum();
    let mut taken = Money::ZERO;
    for (discount, table) in lines.discounts.iter().zip(tables) {
        let asked = match discount.less {
            Less::Flat(amount) => Some(amount),
            Less::Percent(percent) => share(gross, percent),
        };
        let Some(asked) = asked else { return };
        let first = taken == Money::ZERO;
        taken = taken + asked;
        if taken <= gross {
            continue;
        }
        let what = if first { "the discount is" } else { "all discounts together are" };
        let message = format!("{what} larger than the charges, which come to {}", gross.plain(currency));
        let hint = "look whether a charge is missing; no more is taken off than was charged";
        if let Some(value) = amount_of(table) {
            value.bad(Code::DiscountTooLarge, message, hint);
        }
        return;
    }
}

/// RouteTexts of the first refund, read from `tables`, with which more was given back than was ever paid.
pub(in crate::read) fn tell_refunds(lines: &Lines, tables: &[Table<'_>], currency: Currency) {
    let paid: Money = lines.payments.iter().map(|payment| payment.amount).sum();
    let mut back = Money::ZERO;
    for (refund, table) in lines.refunds.iter().zip(tables) {
        back = back + refund.amount;
        if back <= paid {
            continue;
        }
        let (back, paid) = (back.plain(currency), paid.plain(currency));
        let message = format!("{back} was given back, but only {paid} was ever paid");
        let hint = "look whether a payment is missing, or a refund stands here twice";
        if let Some(value) = amount_of(table) {
            value.bad(Code::RefundTooLarge, message, hint);
        }
        return;
    }
}

fn amount_of<'a>(table: &Table<'a>) -> Option<Value<'a>> {
    table.get("amount").or_else(|| table.get("percent"))
}

fn come_to(amount: Amount) -> Option<Money> {
    match amount {
        Amount::Flat(amount) => Some(amount),
        Amount::Each { each, count } => share(each, count.checked_mul(Decimal::ONE_HUNDRED)?),
    }
}

/// So many percent of an amount, halves away from zero.
fn share(amount: Money, percent: Decimal) -> Option<Money> {
    let exact = Decimal::try_from_i128_with_scale(amount.minor(), 2).ok()?.checked_mul(percent)?;
    let whole = exact.round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
    whole.to_i128().map(Money::from_minor)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_rounded_like_the_ledgers() {
        let money = Money::from_minor;
        let percent = |text: &str| Decimal::from_str_exact(text).unwrap();
        assert_eq!(share(money(101), percent("2.5")), Some(money(3)));
        assert_eq!(share(money(1), percent("50")), Some(money(1)));
        assert_eq!(share(money(i128::MAX), percent("50")), None);
        let each = Amount::Each { each: money(425), count: percent("12.5") };
        assert_eq!(come_to(each), Some(money(5313)));
        assert_eq!(come_to(Amount::Each { each: money(1), count: Decimal::MAX }), None);
    }
}
