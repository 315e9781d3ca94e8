//! The barest shop and job that there can be: every field is spelt out here and nowhere else in the tests. The tests inside the
//! program use this file too (`src/work/sample.rs`).

use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::base::money::Currency;
use benchlight::door::base::private::Private;
use benchlight::door::model::*;
use benchlight::door::problem::Source;
use std::collections::BTreeMap;

/// Rules of a shop that asks for nothing but what is charged.
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

/// A shop with nothing in it.
pub fn shop(money: MoneyRules) -> Shop {
    Shop {
        studio: studio(money),
        key: ShopKey::new([7; 32]),
        partners: BTreeMap::new(),
        routes: BTreeMap::new(),
        jobs: vec![],
        spoilt: vec![],
        spoilt_links: BTreeMap::new(),
        issued: Default::default(),
        remains: BTreeMap::new(),
        poses: vec![],
        pages: vec![],
    }
}

/// A route of these steps and nothing else.
pub fn route(key: &str, steps: Vec<Step>) -> Route {
    Route {
        key: key.into(),
        name: key.into(),
        animal: None,
        needs: vec![],
        deposit: None,
        price_from: None,
        prices: vec![],
        steps,
    }
}

/// A step that waits for nothing but these.
pub fn step(name: &str, after: Vec<usize>, work: StepWork) -> Step {
    Step { name: name.into(), after, work, needs: vec![], tells: None, photos: true, sent: None }
}

/// A job of which nothing is known but that.
pub fn job(number: &str, route: &str, taken_in: Day) -> Job {
    let folder = format!("content/jobs/{number}");
    Job {
        number: number.into(),
        label: Private::new(String::new()),
        source: Private::new(Source::new(format!("{folder}/job.toml"), "")),
        folder: Private::new(folder),
        shown_name: "Ada F.".into(),
        private: Private::new(PrivateFacts::default()),
        piece: "a piece".into(),
        route: route.into(),
        taken_in,
        taken_in_at: 0..0,
        pose: None,
        note: None,
        rush: false,
        link: 1,
        draw: None,
        sealed: None,
        reached: BTreeMap::new(),
        collected: None,
        customer_told: None,
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
