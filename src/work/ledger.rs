//! The ledger: what was charged, less discounts, with storage and tax, against what was paid and what
//! was written off.
//!
//! All amounts are whole minor units; every fraction is rounded once, by a named rule. Discounts and refunds
//! stand in the lines as negative amounts, so that the shown parts add up to the shown sums.

use super::deposit::Deposit;
use super::known::Known;
use super::tax::{self, Taxable};
use super::{discount, storage};
use crate::base::day::Day;
use crate::base::money::Money;
use crate::model::{Amount, Charge, Discount, Ledger, LedgerLine, LineKind, MoneyRules, Payment, TaxLine};

/// Charges less discounts, storage and tax: what is asked, before anything is paid.
#[derive(Clone, Debug, Default)]
pub(super) struct Bill {
    pub lines: Vec<LedgerLine>,
    pub taxes: Vec<TaxLine>,
    pub total: Money,
}

/// The whole ledger of a job. `storage_from` is the day that its grace counts from, once the customer was told.
pub(super) fn reckon(
    rules: &MoneyRules,
    known: &Known<'_>,
    storage_from: Option<Day>,
    deposit: &Deposit,
) -> Ledger {
    let until = known.collected().map_or(known.day, |mark| mark.day);
    let storage =
        rules.storage.as_ref().zip(storage_from).and_then(|(s, from)| storage::line(s, from, until));
    let charges: Vec<&Charge> = known.charges().collect();
    let discounts: Vec<&Discount> = known.discounts().collect();
    let bill = bill(rules, &charges, &discounts, storage);
    let payments = payments(known);
    let paid: Money = payments.iter().map(|line| line.amount).sum();
    let write_offs = write_offs(known);
    let written_off: Money = write_offs.iter().map(|line| line.amount).sum();
    Ledger {
        lines: bill.lines,
        taxes: bill.taxes,
        total: bill.total,
        due: bill.total - paid - written_off,
        payments,
        paid,
        write_offs,
        written_off,
        deposit_asked: deposit.asked,
        deposit_met: deposit.met,
    }
}

/// What these charges and discounts come to with tax.
pub(super) fn bill(
    rules: &MoneyRules,
    charges: &[&Charge],
    discounts: &[&Discount],
    storage: Option<LedgerLine>,
) -> Bill {
    let amounts: Vec<Money> = charges.iter().map(|charge| charge.amount.comes_to()).collect();
    let less = discount::amounts(discounts.iter().copied(), amounts.iter().copied().sum());
    let shares = discount::apportioned(less.iter().copied().sum(), &amounts);

    let nets = amounts.iter().zip(&shares).map(|(amount, share)| *amount - *share);
    let mut taxable: Vec<Taxable<'_>> =
        charges.iter().zip(nets).map(|(charge, net)| Taxable { kind: &charge.kind, net }).collect();
    taxable.extend(storage.iter().map(|line| Taxable { kind: storage::KIND, net: line.amount }));
    let taxes = tax::reckon(rules, &taxable);

    let charged = charges.iter().zip(&amounts).map(|(charge, amount)| charge_line(charge, *amount));
    let taken_off = discounts.iter().zip(&less).map(|(discount, less)| discount_line(discount, *less));
    let lines: Vec<LedgerLine> = charged.chain(taken_off).chain(storage).collect();
    let added: Money = taxes.iter().filter(|tax| !tax.included).map(|tax| tax.amount).sum();
    let total = lines.iter().map(|line| line.amount).sum::<Money>() + added;
    Bill { lines, taxes, total }
}

fn charge_line(charge: &Charge, amount: Money) -> LedgerLine {
    let each = match charge.amount {
        Amount::Flat(_) => None,
        Amount::Each { each, count } => Some((each, count.to_string())),
    };
    LedgerLine { kind: LineKind::Charge, what: charge.what.clone(), on: Some(charge.on), each, amount }
}

fn discount_line(discount: &Discount, less: Money) -> LedgerLine {
    LedgerLine {
        kind: LineKind::Discount,
        what: discount.what.clone(),
        on: Some(discount.on),
        each: None,
        amount: -less,
    }
}

/// Payments and refunds by day; on one day payments come first, each in the owner's order.
fn payments(known: &Known<'_>) -> Vec<LedgerLine> {
    let line = |kind, payment: &Payment, amount| LedgerLine {
        kind,
        what: payment.how.clone().unwrap_or_default(),
        on: Some(payment.on),
        each: None,
        amount,
    };
    let paid = known.payments().map(|p| line(LineKind::Payment, p, p.amount));
    let refunded = known.refunds().map(|p| line(LineKind::Refund, p, -p.amount));
    let mut all: Vec<LedgerLine> = paid.chain(refunded).collect();
    all.sort_by_key(|line| line.on);
    all
}

/// What was written off, by day. The owner's reason stays with the owner, so the lines carry no words.
fn write_offs(known: &Known<'_>) -> Vec<LedgerLine> {
    let line = |amount, on| LedgerLine {
        kind: LineKind::WrittenOff,
        what: String::new(),
        on: Some(on),
        each: None,
        amount,
    };
    let mut all: Vec<LedgerLine> = known.write_offs().map(|one| line(one.amount, one.on)).collect();
    all.sort_by_key(|line| line.on);
    all
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;
    use crate::model::{Less, Shop, Storage, StoragePer, TaxBy};
    use rust_decimal::Decimal;

    fn ledger(rules: MoneyRules, job: JobMaker, today: &str) -> Ledger {
        let mut shop: Shop = shop();
        shop.studio.money = rules;
        single(shop, job, as_of(today)).ledger
    }

    fn base() -> JobMaker {
        job("26-001", "2026-01-05")
    }

    fn each(minor: i128, count: &str) -> Amount {
        Amount::Each { each: money(minor), count: percent(count) }
    }

    #[test]
    fn charges_less_payments_are_due() {
        let made = base()
            .charge(69_500, "2026-01-05")
            .line("goods", each(425, "12"), "2026-01-05")
            .paid(40_000, "2026-01-05")
            .refunded(500, "2026-01-07");
        let ledger = ledger(rules("USD"), made, "2026-06-01");
        assert_eq!((ledger.total, ledger.paid, ledger.due), (money(74_600), money(39_500), money(35_100)));
        assert_eq!(ledger.lines[1].each, Some((money(425), "12".into())));
        let kinds: Vec<_> = ledger.payments.iter().map(|l| (l.kind, l.amount)).collect();
        assert_eq!(kinds, [(LineKind::Payment, money(40_000)), (LineKind::Refund, money(-500))]);
        assert_eq!(ledger.payments[0].what, "check");
    }

    #[test]
    fn each_times_count_is_rounded_half_away_from_zero() {
        for (minor, count, want) in [
            (425, "1.1", 468),
            (5, "0.5", 3),
            (-5, "0.5", -3),
            (5, "-0.5", -3),
            (5, "0", 0),
            (333, "0.333", 111),
        ] {
            let made = base().line("work", each(minor, count), "2026-01-05");
            assert_eq!(ledger(rules("USD"), made, "2026-06-01").total, money(want), "{minor} x {count}");
        }
    }

    #[test]
    fn a_discount_takes_its_part_out_of_what_is_taxed() {
        let mut rules = rules("USD");
        rules.taxes = vec![tax("State", "10", "goods")];
        let made = base()
            .charge(30_000, "2026-01-05")
            .line("goods", Amount::Flat(money(10_000)), "2026-01-05")
            .less(Less::Percent(percent("10")), "2026-01-06");
        let before = ledger(rules.clone(), made.clone(), "2026-01-05");
        assert_eq!((before.total, before.taxes[0].base), (money(41_000), money(10_000)));
        let after = ledger(rules, made, "2026-01-06");
        assert_eq!((after.total, after.taxes[0].base), (money(36_900), money(9_000)));
        assert_eq!((after.lines[2].kind, after.lines[2].amount), (LineKind::Discount, money(-4_000)));
    }

    #[test]
    fn a_discount_never_turns_a_bill_around() {
        let made = base().charge(1_000, "2026-01-05").less(Less::Flat(money(5_000)), "2026-01-05");
        let ledger = ledger(rules("USD"), made, "2026-06-01");
        assert_eq!((ledger.total, ledger.lines[1].amount), (money(0), money(-1_000)));
    }

    #[test]
    fn included_taxes_are_shown_and_not_added() {
        let mut rules = rules("EUR");
        rules.taxes = vec![included("VAT", "20", "work")];
        let ledger = ledger(rules, base().charge(12_000, "2026-01-05"), "2026-06-01");
        assert_eq!((ledger.total, ledger.taxes[0].amount), (money(12_000), money(2_000)));
    }

    fn stored() -> MoneyRules {
        let storage = Storage { grace: 30, fee: money(500), per: StoragePer::Week, cap: Some(money(1_200)) };
        MoneyRules { storage: Some(storage), taxes: vec![tax("State", "10", "work")], ..rules("USD") }
    }

    #[test]
    fn storage_counts_from_being_told_and_never_before() {
        let ready = base().charge(10_000, "2026-01-05").reached("finished", "2026-03-01");
        let storage = |made: &JobMaker, today| {
            let ledger = ledger(stored(), made.clone(), today);
            ledger.lines.iter().find(|l| l.kind == LineKind::Storage).map_or(0, |l| l.amount.minor())
        };
        let ends = |made: &JobMaker, today| {
            let mut shop = shop();
            shop.studio.money = stored();
            single(shop, made.clone(), as_of(today)).grace_ends
        };
        assert_eq!(storage(&ready, "2026-09-01"), 0, "nobody told, no storage");
        assert_eq!(
            storage(&ready.clone().collected("2026-08-01"), "2026-09-01"),
            0,
            "nor after it went home"
        );
        assert_eq!(ends(&ready, "2026-09-01"), None);
        let told = ready.told("2026-03-11");
        assert_eq!(storage(&told, "2026-04-10"), 0);
        assert_eq!(storage(&told, "2026-04-11"), 500);
        assert_eq!(storage(&told, "2026-04-18"), 1_000);
        assert_eq!(storage(&told, "2026-09-01"), 1_200, "the cap");
        assert_eq!(ends(&told, "2026-03-10"), None, "not told yet on that day");
        assert_eq!(ends(&told, "2026-03-11"), Some(day("2026-04-10")));
        assert_eq!(storage(&told.clone().collected("2026-04-12"), "2026-09-01"), 500, "collected ends it");
        assert_eq!(storage(&told.collected("2026-04-10"), "2026-09-01"), 0);
        assert_eq!(storage(&base().reached("dried", "2026-02-01"), "2026-09-01"), 0, "not ready, no storage");
    }

    #[test]
    fn storage_is_taxed_only_where_a_tax_names_it() {
        let made = base().charge(10_000, "2026-01-05").reached("finished", "2026-03-01").told("2026-03-01");
        let plain = ledger(stored(), made.clone(), "2026-04-01");
        assert_eq!((plain.total, plain.taxes[0].base), (money(11_500), money(10_000)));
        let mut rules = stored();
        rules.taxes[0].on.push("storage".into());
        let taxed = ledger(rules, made, "2026-04-01");
        assert_eq!((taxed.total, taxed.taxes[0].base), (money(11_550), money(10_500)));
    }

    #[test]
    fn other_currencies_count_in_their_own_minor_units() {
        let made = || base().charge(12_345, "2026-01-05");
        for (code, want) in [("JPY", 13_580), ("KWD", 13_580), ("USD", 13_580)] {
            let rules = MoneyRules { taxes: vec![tax("State", "10", "work")], ..rules(code) };
            assert_eq!(ledger(rules, made(), "2026-06-01").total, money(want), "1234.5 goes up in {code}");
        }
    }

    #[test]
    fn no_amount_breaks_the_sums() {
        for flat in [i128::MIN, -1, 0, i128::MAX] {
            for count in [Decimal::MIN, Decimal::ZERO, Decimal::MAX] {
                for by in [TaxBy::Whole, TaxBy::Line] {
                    let huge = Amount::Each { each: money(flat), count };
                    let made = base()
                        .charge(flat, "2026-01-05")
                        .line("goods", huge, "2026-01-05")
                        .less(Less::Percent(count), "2026-01-05")
                        .less(Less::Flat(money(flat)), "2026-01-05")
                        .paid(flat, "2026-01-05")
                        .refunded(flat, "2026-01-05")
                        .reached("finished", "2026-01-05")
                        .told("2026-01-05");
                    let storage = Storage { grace: 0, fee: money(flat), per: StoragePer::Day, cap: None };
                    let rules = MoneyRules {
                        taxes: vec![tax("State", "100", "work goods storage")],
                        storage: Some(storage),
                        tax_by: by,
                        deposit: crate::model::DepositRule::Percent(count),
                        ..rules("USD")
                    };
                    let _ = ledger(rules, made, "2199-12-31");
                }
            }
        }
    }
}
