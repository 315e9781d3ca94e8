//! The lines of a job's ledger as written: `[[charge]]`, `[[discount]]`, `[[paid]]`, `[[refund]]`,
//! `[[written-off]]`.
//!
//! What they come to is `work`'s; sums that can hardly be meant are told by `sums`.

use super::sums;
use crate::base::day::Day;
use crate::base::money::{Currency, LARGEST};
use crate::base::private::Private;
use crate::base::words::ticked;
use crate::model::{Amount, Charge, Discount, Less, Payment, WriteOff};
use crate::problem::Code;
use crate::read::toml::table::Table;
use crate::read::toml::value::Value;

/// What to do about a write-off of nothing or less.
const OFF_HINT: &str = "write what you will not ask for any more, without a minus, or take the line out";

/// All lines of one job.
#[derive(Debug, Default)]
pub(in crate::read) struct Lines {
    pub charges: Vec<Charge>,
    pub discounts: Vec<Discount>,
    pub payments: Vec<Payment>,
    pub refunds: Vec<Payment>,
    pub write_offs: Vec<WriteOff>,
}

/// Takes the lines; one without a day of its own is of the day on which the piece was taken in.
pub(in crate::read) fn take(root: &Table<'_>, taken_in: Option<Day>, currency: Currency) -> Lines {
    let (charged, less) = (root.tables("charge", "a charge"), root.tables("discount", "a discount"));
    let (paid, back) = (root.tables("paid", "a payment"), root.tables("refund", "a refund"));
    let off = root.tables("written-off", "a write-off");
    let lines = Lines {
        charges: charged.iter().filter_map(|t| charge(t, taken_in, currency)).collect(),
        discounts: less.iter().filter_map(|t| discount(t, taken_in, currency)).collect(),
        payments: paid.iter().filter_map(|t| payment(t, currency)).collect(),
        refunds: back.iter().filter_map(|t| payment(t, currency)).collect(),
        write_offs: off.iter().filter_map(|t| write_off(t, taken_in, currency)).collect(),
    };
    // Where a line could not be read nothing is known of the sums.
    if (charged.len(), less.len()) == (lines.charges.len(), lines.discounts.len()) {
        sums::tell_discounts(&lines, &less, currency);
    }
    if (paid.len(), back.len()) == (lines.payments.len(), lines.refunds.len()) {
        sums::tell_refunds(&lines, &back, currency);
    }
    lines
}

fn charge(table: &Table<'_>, taken_in: Option<Day>, currency: Currency) -> Option<Charge> {
    let what = table.needed_text("what");
    let flat = table.get("amount");
    let (each, count) = (table.get("each"), table.get("count"));
    let amount = match (&flat, &each, &count) {
        (Some(flat), None, None) => flat.price(currency).map(Amount::Flat),
        (Some(_), Some(other), _) | (Some(_), None, Some(other)) => {
            tell_beside(other, "amount", "keep `amount`, or keep `each` and `count`");
            None
        }
        (None, Some(each), Some(count)) => {
            let amount = each.price(currency).zip(count.measure());
            let amount = amount.map(|(each, count)| Amount::Each { each, count });
            let fits = amount.filter(|amount| amount.comes_to().minor() <= LARGEST);
            if amount.is_some() && fits.is_none() {
                let message = format!("`each` times {} is too large to be right", ticked(count.written()));
                count.bad(Code::BadMoney, message, "look for a digit too many");
            }
            fits
        }
        (None, Some(_), None) => {
            table.missing("count", "count = 12");
            None
        }
        (None, None, Some(_)) => {
            table.missing("each", "each = 4.25");
            None
        }
        (None, None, None) => {
            table.missing("amount", "amount = 695");
            None
        }
    };
    let kind = match table.get("kind") {
        Some(value) => value.address_word(),
        None => Some("work".to_owned()),
    };
    let on = day(table, taken_in);
    table.finish();
    Some(Charge { what: what?, amount: amount?, kind: kind?, on: on? })
}

fn discount(table: &Table<'_>, taken_in: Option<Day>, currency: Currency) -> Option<Discount> {
    let what = table.needed_text("what");
    let (flat, percent) = (table.get("amount"), table.get("percent"));
    let less = match (&flat, &percent) {
        (Some(_), Some(percent)) => {
            tell_beside(percent, "amount", "keep one of the two");
            None
        }
        (Some(flat), None) => flat.price(currency).map(Less::Flat),
        (None, Some(percent)) => percent.percent().map(Less::Percent),
        (None, None) => {
            table.missing("amount", "amount = 50");
            None
        }
    };
    let on = day(table, taken_in);
    table.finish();
    Some(Discount { what: what?, less: less?, on: on? })
}

fn payment(table: &Table<'_>, currency: Currency) -> Option<Payment> {
    let on = table.need("on", "on = 2026-05-02");
    let (day, place) = (on.as_ref().and_then(Value::date), on.map(|value| value.span()));
    let amount = table.need("amount", "amount = 400").and_then(|value| value.sum(currency));
    let how = table.text("how");
    table.finish();
    Some(Payment { on: day?, on_at: place?, amount: amount?, how })
}

fn write_off(table: &Table<'_>, taken_in: Option<Day>, currency: Currency) -> Option<WriteOff> {
    let on = table.need("on", "on = 2026-05-02");
    let day = on.as_ref().and_then(|value| not_before(value, taken_in));
    let amount = table.need("amount", "amount = 40");
    let sum = amount.as_ref().and_then(|value| value.sum_or(currency, OFF_HINT));
    let why = table.needed_text("why");
    table.finish();
    let (on_at, amount_at) = (on?.span(), amount?.span());
    Some(WriteOff { on: day?, on_at, amount: sum?, amount_at, why: Private::new(why?) })
}

/// A date that cannot lie before the piece was there.
fn not_before(value: &Value<'_>, taken_in: Option<Day>) -> Option<Day> {
    let day = value.date()?;
    let Some(taken_in) = taken_in.filter(|taken_in| day < *taken_in) else { return Some(day) };
    let message = format!("a write-off is dated {day}, before the piece was taken in on {taken_in}");
    value.bad(Code::BeforeTakenIn, message, "mend this date or `taken-in`");
    None
}

fn day(table: &Table<'_>, taken_in: Option<Day>) -> Option<Day> {
    match table.get("on") {
        Some(value) => value.date(),
        None => taken_in,
    }
}

fn tell_beside(value: &Value<'_>, beside: &str, hint: &str) {
    value.bad(
        Code::BadValue,
        format!("{} cannot go together with {}", ticked(value.key), ticked(beside)),
        hint,
    );
}
