//! The money rules of `shop.toml`: `[money]`, `[[tax]]` and `[storage]`.
//!
//! What follows from them for a job is `work`'s.

use crate::base::money::Currency;
use crate::base::words::ticked;
use crate::model::{DepositRule, MoneyRules, Rounding, Storage, StoragePer, Tax, TaxBy};
use crate::problem::Code;
use crate::read::toml::table::Table;
use crate::read::toml::value::Value;
use std::collections::BTreeSet;

const ROUNDINGS: [(&str, Rounding); 4] = [
    ("half-up", Rounding::HalfUp),
    ("half-even", Rounding::HalfEven),
    ("up", Rounding::Up),
    ("down", Rounding::Down),
];

const STORAGE_PER: [(&str, StoragePer); 4] = [
    ("day", StoragePer::Day),
    ("week", StoragePer::Week),
    ("month", StoragePer::Month),
    ("once", StoragePer::Once),
];

/// The rules; where something is wrong it is told and the default stands in.
pub(in crate::read) fn take(root: &Table<'_>) -> Option<MoneyRules> {
    let money = root.table("money", "`[money]`");
    let get = |key| money.as_ref().and_then(|table| table.get(key));
    let named = get("currency").map(|v| currency(&v));
    // A wrong code stops the pass, so that amounts read by this one are never used.
    let known = named.flatten().or_else(|| Currency::from_code("USD"));
    let rules = known.map(|currency| MoneyRules {
        currency,
        deposit: get("deposit").and_then(|v| v.deposit(currency)).unwrap_or(DepositRule::None),
        taxes: taxes(root),
        tax_rounding: get("tax-rounding").and_then(|v| v.one_of(&ROUNDINGS)).unwrap_or(Rounding::HalfUp),
        tax_by: get("tax-by")
            .and_then(|v| v.one_of(&[("whole", TaxBy::Whole), ("line", TaxBy::Line)]))
            .unwrap_or(TaxBy::Whole),
        storage: root.table("storage", "`[storage]`").and_then(|table| storage(&table, currency)),
        pay: money.as_ref().and_then(|table| table.text("pay")),
        policy: money.as_ref().and_then(|table| table.text("policy")),
    });
    if let Some(table) = &money {
        table.finish();
    }
    rules
}

fn currency(value: &Value<'_>) -> Option<Currency> {
    let code = value.text()?;
    let found = Currency::from_code(&code);
    if found.is_none() {
        let upper = code.to_uppercase();
        let hint = match Currency::from_code(&upper) {
            Some(_) => format!("write it in capitals: `{upper}`"),
            None => "write its three letters, such as `USD`, `CAD` or `EUR`".to_owned(),
        };
        value.bad(Code::UnknownCurrency, format!("{} is no currency", ticked(&code)), hint);
    }
    found
}

fn taxes(root: &Table<'_>) -> Vec<Tax> {
    let mut names = BTreeSet::new();
    let mut taxes = Vec::new();
    for table in root.tables("tax", "a tax") {
        let name = table.needed_text("name");
        if let (Some(name), Some(value)) = (&name, table.get("name"))
            && !names.insert(name.clone())
        {
            value.bad(Code::Twice, format!("two taxes are called {}", ticked(name)), "rename one of them");
        }
        let rate = table.need("rate", "rate = 6.25").and_then(|v| v.tax_rate());
        let on = table.need("on", "on = [\"work\", \"goods\"]").map(|v| kinds(&v));
        let included = table.get("included").and_then(|v| v.flag()).unwrap_or(false);
        table.finish();
        if let (Some(name), Some(rate), Some(on)) = (name, rate, on) {
            taxes.push(Tax { name, rate, on, included });
        }
    }
    taxes
}

/// The kinds of charge that a tax is on.
fn kinds(value: &Value<'_>) -> Vec<String> {
    let kinds: Vec<String> =
        value.address_words("[\"work\", \"goods\"]").into_iter().map(|(word, _)| word).collect();
    if value.is_list() && value.items().is_empty() {
        value.bad(
            Code::BadValue,
            "the tax is on nothing",
            "name kinds of charge, such as `on = [\"work\", \"goods\"]`",
        );
    }
    kinds
}

fn storage(table: &Table<'_>, currency: Currency) -> Option<Storage> {
    let grace = table.need("grace", "grace = 30").and_then(|v| v.whole(0, 3650));
    let fee = table.need("fee", "fee = 5").and_then(|v| v.price(currency));
    let per = table.need("per", "per = \"week\"").and_then(|v| v.one_of(&STORAGE_PER));
    let cap = table.get("cap").and_then(|v| v.price(currency));
    table.finish();
    Some(Storage { grace: grace?, fee: fee?, per: per?, cap })
}
