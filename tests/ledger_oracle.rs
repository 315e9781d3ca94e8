//! 10,000 random ledgers, with refunds and write-offs, in four currencies against Python's `decimal` and `fractions`, to the minor unit.

use crate::oracle;
use benchlight::door::base::money::{Currency, Money, plain_decimal};
use benchlight::door::base::private::Private;
use benchlight::door::model::*;
use benchlight::door::problem::Code;
use benchlight::door::work;
use serde_json::Value;

/// Reads one ledger of the script with the currency that its amounts are in.
struct Reader(Currency);

impl Reader {
    fn money(&self, value: &Value) -> Money {
        Money::parse(value.as_str().unwrap(), self.0).unwrap()
    }

    fn some_money(&self, value: &Value) -> Option<Money> {
        (!value.is_null()).then(|| self.money(value))
    }

    fn rules(&self, value: &Value) -> MoneyRules {
        let tax = |tax: &Value| Tax {
            name: "Tax".into(),
            rate: decimal(&tax["rate"]),
            on: list(&tax["on"]).iter().map(|k| word(k).to_owned()).collect(),
            included: tax["included"].as_bool().unwrap(),
        };
        let deposit = match value["deposit"][0].as_str() {
            None => DepositRule::None,
            Some("flat") => DepositRule::Flat(self.money(&value["deposit"][1])),
            Some(_) => DepositRule::Percent(decimal(&value["deposit"][1])),
        };
        let storage = &value["storage"];
        MoneyRules {
            deposit,
            taxes: list(&value["taxes"]).iter().map(tax).collect(),
            tax_rounding: match word(&value["rounding"]) {
                "half-up" => Rounding::HalfUp,
                "half-even" => Rounding::HalfEven,
                "up" => Rounding::Up,
                "down" => Rounding::Down,
                other => panic!("{other}"),
            },
            tax_by: if word(&value["by"]) == "line" { TaxBy::Line } else { TaxBy::Whole },
            storage: (!storage.is_null()).then(|| self.storage(storage)),
            ..oracle::rules(self.0)
        }
    }

    fn storage(&self, value: &Value) -> Storage {
        let per = match word(&value["per"]) {
            "day" => StoragePer::Day,
            "week" => StoragePer::Week,
            "month" => StoragePer::Month,
            "once" => StoragePer::Once,
            other => panic!("{other}"),
        };
        let grace = value["grace"].as_u64().unwrap() as u32;
        Storage { grace, fee: self.money(&value["fee"]), per, cap: self.some_money(&value["cap"]) }
    }

    fn job(&self, value: &Value) -> Job {
        let charge = |charge: &Value| {
            let amount = match self.some_money(&charge["amount"]) {
                Some(amount) => Amount::Flat(amount),
                None => Amount::Each { each: self.money(&charge["each"]), count: decimal(&charge["count"]) },
            };
            oracle::charge(word(&charge["kind"]), amount, day(&charge["on"]))
        };
        let discount = |discount: &Value| {
            let flat = self.some_money(&discount["amount"]).map(Less::Flat);
            let less = flat.unwrap_or_else(|| Less::Percent(decimal(&discount["percent"])));
            Discount { what: "less".into(), less, on: day(&discount["on"]) }
        };
        let payment = |payment: &Value| Payment {
            on: day(&payment["on"]),
            on_at: 0..0,
            amount: self.money(&payment["amount"]),
            how: None,
        };
        let write_off = |off: &Value| WriteOff {
            on: day(&off["on"]),
            on_at: 0..0,
            amount: self.money(&off["amount"]),
            amount_at: 0..0,
            why: Private::new("moved away".into()),
        };
        let ready = mark(&value["ready"]);
        Job {
            charges: list(&value["charges"]).iter().map(charge).collect(),
            discounts: list(&value["discounts"]).iter().map(discount).collect(),
            payments: list(&value["paid"]).iter().map(payment).collect(),
            refunds: list(&value["refunds"]).iter().map(payment).collect(),
            write_offs: list(&value["written_off"]).iter().map(write_off).collect(),
            reached: ready.into_iter().map(|m| ("finished".to_owned(), m)).collect(),
            customer_told: mark(&value["told"]),
            collected: mark(&value["collected"]),
            deposit: self.some_money(&value["deposit"]),
            ..oracle::job("26-001".into())
        }
    }
}

fn word(value: &Value) -> &str {
    value.as_str().unwrap()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

fn decimal(value: &Value) -> rust_decimal::Decimal {
    plain_decimal(word(value)).unwrap()
}

fn day(value: &Value) -> benchlight::door::base::day::Day {
    oracle::day(word(value))
}

fn mark(value: &Value) -> Option<DatedFact> {
    (!value.is_null()).then(|| DatedFact { day: day(value), at: Some(0..0), photo: None })
}

/// Our results in the words of the script.
fn results(ledger: &Ledger, currency: Currency) -> Value {
    let plain = |amount: Money| amount.plain(currency);
    let storage = ledger.lines.iter().filter(|l| l.kind == LedgerLineKind::Storage).map(|l| l.amount).sum();
    serde_json::json!({
        "total": plain(ledger.total),
        "taxes": ledger.taxes.iter().map(|t| plain(t.amount)).collect::<Vec<_>>(),
        "storage": plain(storage),
        "paid": plain(ledger.paid),
        "written_off": plain(ledger.written_off),
        "due": plain(ledger.due),
        "deposit": plain(ledger.deposit_asked),
        "deposit_met": ledger.deposit_met.map(|d| d.iso()),
    })
}

#[test]
fn ten_thousand_ledgers_agree_with_pythons_decimal() {
    let cases = oracle::rows("ledger.py", &["10000"]);
    assert_eq!(cases.len(), 10_000);
    let mut seen = [0; 8];
    let mut too_much = 0;
    for case in &cases {
        let currency = Currency::from_code(word(&case["currency"])).unwrap();
        let reader = Reader(currency);
        let shop = oracle::shop(reader.rules(&case["rules"]), vec![reader.job(&case["job"])]);
        let today = Today { day: day(&case["today"]), asked: true };
        let (worked, problems) = work::reckon(&shop, today);
        let codes: Vec<Code> = problems.iter().map(|problem| problem.code).collect();
        if case["want"].is_string() {
            assert_eq!((codes, worked.spoilt.len()), (vec![Code::WrittenOffTooLarge], 1), "{case}");
            too_much += 1;
            continue;
        }
        let job = &worked.jobs[0];
        let ledger = &job.ledger;
        let owes = job.collected.is_some() && ledger.due != Money::ZERO;
        assert_eq!(codes, vec![Code::CollectedOwes; usize::from(owes)], "{problems:?}\n{case}");
        assert_eq!(results(ledger, currency), case["want"], "{case}");
        let has = |kind| ledger.lines.iter().any(|l| l.kind == kind && l.amount != Money::ZERO);
        let kinds = [
            has(LedgerLineKind::Storage),
            has(LedgerLineKind::Discount),
            ledger.taxes.len() > 1,
            ledger.taxes.iter().any(|t| t.included && t.amount != Money::ZERO),
            ledger.deposit_asked.is_positive() && ledger.deposit_met.is_some(),
            ledger.written_off.is_positive(),
            ledger.payments.iter().any(|l| l.kind == LedgerLineKind::Refund),
            owes,
        ];
        seen.iter_mut().zip(kinds).for_each(|(count, is)| *count += usize::from(is));
    }
    // The dice must have made enough of every kind, or the agreement says little.
    assert!(
        seen.iter().all(|count| *count > 500),
        "storage, discount, two taxes, included, deposit, written off, refund, collected and owes: {seen:?}"
    );
    assert!(too_much > 500, "more written off than owed: {too_much}");
}
