//! Runs the Python scripts of this folder, which come to the same results by another way, and builds the
//! smallest shop that a result can be compared on.
//!
//! Python missing, or a package of `tests/requirements.txt`, is a failed test, never a skipped one.

use crate::builder::tools;
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::base::money::{Currency, Money};
use benchlight::door::base::private::Private;
use benchlight::door::model::*;
use benchlight::door::problem::Source;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// The objects that a script writes, one a line.
pub fn rows(script: &str, arguments: &[&str]) -> Vec<Value> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle").join(script);
    let text = tools::printed(tools::python().arg(path).args(arguments));
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

pub fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

pub fn rules(currency: Currency) -> MoneyRules {
    MoneyRules {
        currency,
        deposit: DepositRule::None,
        taxes: vec![],
        tax_rounding: Rounding::HalfUp,
        tax_by: TaxBy::Whole,
        storage: None,
        pay: None,
        policy: None,
    }
}

/// A shop with one route of one step, `finished`.
pub fn shop(money: MoneyRules, jobs: Vec<Job>) -> Shop {
    let hour = Minutes(60);
    let step = Step {
        name: "finished".into(),
        after: vec![],
        work: StepWork::Bench(Likely { least: hour, likely: hour, most: hour }),
        needs: vec![],
        tells: None,
        photos: true,
        sent: None,
    };
    let route = Route {
        key: "fish".into(),
        name: "Fish".into(),
        animal: None,
        needs: vec![],
        deposit: None,
        price_from: None,
        prices: vec![],
        steps: vec![step],
    };
    Shop {
        studio: studio(money),
        key: ShopKey::new([7; 32]),
        partners: BTreeMap::new(),
        routes: BTreeMap::from([("fish".to_owned(), route)]),
        jobs,
        spoilt: vec![],
        spoilt_links: BTreeMap::new(),
        issued: Default::default(),
        remains: BTreeMap::new(),
        poses: vec![],
        pages: vec![],
    }
}

fn studio(money: MoneyRules) -> Studio {
    Studio {
        name: "Alder Hollow Taxidermy".into(),
        says: None,
        keeper: None,
        phone: None,
        email: None,
        address: vec![],
        web: None,
        language: "en-US".into(),
        length: "in".into(),
        visits: vec![],
        menu: vec![],
        line: LineBy::Arrival,
        bench: [Minutes(0); 7],
        hands: 1,
        batches: false,
        closures: vec![],
        estimates: EstimateRules::default(),
        money,
        gates: BTreeMap::new(),
        register: vec![],
        sealed: false,
        keep_days: 90,
        post: None,
        made_up: None,
    }
}

/// A job taken in on 5 January 2026 that nothing else is known of.
pub fn job(number: String) -> Job {
    Job {
        folder: Private::new(format!("content/jobs/{number}")),
        number,
        label: Private::new(String::new()),
        source: Private::new(Source::new("job.toml", "")),
        shown_name: "Ada F.".into(),
        private: Private::new(PrivateFacts::default()),
        piece: "Walleye".into(),
        route: "fish".into(),
        taken_in: day("2026-01-05"),
        taken_in_at: 0..0,
        pose: None,
        note: None,
        rush: false,
        link: 1,
        draw: None,
        sealed: None,
        reached: BTreeMap::new(),
        collected: None,
        told: None,
        have: BTreeMap::new(),
        tag_since: None,
        signature_since: None,
        charges: vec![],
        discounts: vec![],
        payments: vec![],
        refunds: vec![],
        write_offs: vec![],
        deposit: None,
        measures: None,
        photos: vec![],
    }
}

pub fn charge(kind: &str, amount: Amount, on: Day) -> Charge {
    Charge { what: "a charge".into(), amount, kind: kind.into(), on }
}

pub fn flat(minor: i128) -> Amount {
    Amount::Flat(Money::from_minor(minor))
}
