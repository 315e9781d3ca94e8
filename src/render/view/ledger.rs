//! The ledger as a table that a person can check.

use crate::base::money::Money;
use crate::model::{LedgerLine, LedgerLineKind, StoragePer, WorkedJob};
use crate::render::dates::DayWords;
use crate::render::desk::Desk;
use serde::Serialize;

/// What was charged, what was paid, what is due.
#[derive(Debug, Serialize)]
pub struct LedgerView {
    pub lines: Vec<LineView>,
    pub taxes: Vec<TaxView>,
    pub total: String,
    /// Payments and refunds, then what was written off.
    pub payments: Vec<LineView>,
    pub paid: String,
    /// What is due or, where the shop owes, what it owes.
    pub due: String,
    /// `owed`, `even`, `settled` (even, but not all of it was paid) or `over`.
    pub balance: &'static str,
    pub deposit: Option<DepositView>,
}

/// A line.
#[derive(Debug, Serialize)]
pub struct LineView {
    pub kind: &'static str,
    pub what: String,
    pub on: Option<DayWords>,
    pub each: Option<EachView>,
    pub amount: String,
}

/// How a line was reckoned.
#[derive(Debug, Serialize)]
pub struct EachView {
    pub count: String,
    pub price: String,
}

/// A tax.
#[derive(Debug, Serialize)]
pub struct TaxView {
    pub name: String,
    pub rate: String,
    pub base: String,
    pub amount: String,
    pub included: bool,
}

/// The deposit that was asked.
#[derive(Debug, Serialize)]
pub struct DepositView {
    pub asked: String,
    pub met: Option<DayWords>,
    /// What is missing, if anything is.
    pub missing: Option<String>,
}

impl LedgerView {
    pub fn of(desk: &Desk<'_>, job: &WorkedJob) -> LedgerView {
        let ledger = &job.ledger;
        let taxes = ledger.taxes.iter().map(|tax| TaxView {
            name: tax.name.clone(),
            rate: desk.theme.amounts.number(&tax.rate),
            base: desk.money(tax.base),
            amount: desk.money(tax.amount),
            included: tax.included,
        });
        LedgerView {
            lines: ledger.lines.iter().map(|line| line_view(desk, line)).collect(),
            taxes: taxes.collect(),
            total: desk.money(ledger.total),
            payments: ledger
                .payments
                .iter()
                .chain(&ledger.write_offs)
                .map(|line| line_view(desk, line))
                .collect(),
            paid: desk.money(ledger.paid),
            due: desk.money(size(ledger.due)),
            balance: match ledger.due {
                due if due.is_positive() => "owed",
                due if due.is_negative() => "over",
                _ if ledger.written_off.is_positive() => "settled",
                _ => "even",
            },
            deposit: ledger.deposit_asked.is_positive().then(|| deposit(desk, job)),
        }
    }
}

fn deposit(desk: &Desk<'_>, job: &WorkedJob) -> DepositView {
    let missing = job.ledger.deposit_asked - job.ledger.paid;
    DepositView {
        asked: desk.money(job.ledger.deposit_asked),
        met: job.ledger.deposit_met.map(|day| desk.theme.dates.day(day)),
        missing: (missing.is_positive() && job.ledger.deposit_met.is_none()).then(|| desk.money(missing)),
    }
}

/// A line with the sign that it has in the sum: what lessens the debt is shown below zero.
fn line_view(desk: &Desk<'_>, line: &LedgerLine) -> LineView {
    let amount = match line.kind {
        LedgerLineKind::Discount | LedgerLineKind::Payment | LedgerLineKind::WrittenOff => -size(line.amount),
        LedgerLineKind::Refund => size(line.amount),
        LedgerLineKind::Charge | LedgerLineKind::Storage => line.amount,
    };
    let each = line.each.as_ref().map(|(price, count)| EachView {
        count: desk.theme.amounts.number(count),
        price: desk.money(*price),
    });
    LineView {
        kind: match line.kind {
            LedgerLineKind::Charge => "charge",
            LedgerLineKind::Discount => "discount",
            LedgerLineKind::Storage => "storage",
            LedgerLineKind::Payment => "payment",
            LedgerLineKind::Refund => "refund",
            LedgerLineKind::WrittenOff => "written-off",
        },
        what: line.what.clone(),
        on: line.on.map(|day| desk.theme.dates.day(day)),
        each,
        amount: desk.money(amount),
    }
}

fn size(amount: Money) -> Money {
    if amount.is_negative() { -amount } else { amount }
}

/// The rule for pieces that are not collected.
#[derive(Debug, Serialize)]
pub struct StorageView {
    pub grace: u32,
    pub fee: String,
    /// `day`, `week`, `month` or `once`.
    pub per: &'static str,
    pub cap: Option<String>,
}

impl StorageView {
    pub fn of(desk: &Desk<'_>) -> Option<StorageView> {
        let rule = desk.shop.studio.money.storage.as_ref()?;
        Some(StorageView {
            grace: rule.grace,
            fee: desk.money(rule.fee),
            per: match rule.per {
                StoragePer::Day => "day",
                StoragePer::Week => "week",
                StoragePer::Month => "month",
                StoragePer::Once => "once",
            },
            cap: rule.cap.map(|cap| desk.money(cap)),
        })
    }
}
