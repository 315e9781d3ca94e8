//! Sums of a job's lines that can hardly be meant: more given back than was paid, more taken off than charged.
//!
//! Both are only told; the ledger itself is `work`'s.

use super::lines::Lines;
use crate::base::exact::Exact;
use crate::base::money::{Currency, Money};
use crate::model::{Less, Rounding};
use crate::problem::Code;
use crate::read::toml::table::Table;
use crate::read::toml::value::Value;

/// Tells of the first discount, read from `tables`, that takes off more than the charges come to.
pub(in crate::read) fn tell_discounts(lines: &Lines, tables: &[Table<'_>], currency: Currency) {
    let gross: Money = lines.charges.iter().map(|charge| charge.amount.comes_to()).sum();
    let mut taken = Money::ZERO;
    for (discount, table) in lines.discounts.iter().zip(tables) {
        let asked = match discount.less {
            Less::Flat(amount) => amount,
            Less::Percent(percent) => Exact::percent(gross, percent).rounded(Rounding::HalfUp),
        };
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

/// Tells of the first refund, read from `tables`, with which more was given back than was ever paid.
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
        let hint = "check whether a payment is missing, or a refund is here twice";
        if let Some(value) = amount_of(table) {
            value.bad(Code::RefundTooLarge, message, hint);
        }
        return;
    }
}

fn amount_of<'a>(table: &Table<'a>) -> Option<Value<'a>> {
    table.get("amount").or_else(|| table.get("percent"))
}
