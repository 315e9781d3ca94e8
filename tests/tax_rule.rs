//! The default tax rounding against the published text of its rule.
//!
//! Streamlined Sales and Use Tax Agreement, section 324, as enacted in R.I. Gen. Laws 44-18.1-25: "Tax computation must
//! be carried to the third decimal place, and the tax must be rounded to a whole cent using a method that rounds up
//! to the next cent whenever the third decimal place is greater than four."

use crate::oracle;
use benchlight::door::base::money::{Currency, Money, plain_decimal};
use benchlight::door::model::{MoneyRules, Tax, TaxBy, Today};
use benchlight::door::work;

/// The text, word for word, in whole numbers: a price in cents, a rate in thousandths of a percent.
fn by_the_text(cents: u128, rate: u128) -> u128 {
    // Dollars are cents / 100, the rate is rate / 100,000; three decimal places of dollars are thousandths.
    let thousandths = cents * rate * 1000 / (100 * 100_000);
    let third_decimal_place = thousandths % 10;
    let whole_cents = thousandths / 10;
    if third_decimal_place > 4 { whole_cents + 1 } else { whole_cents }
}

#[test]
fn every_price_to_200_dollars_follows_section_324() {
    let rates = [
        ("4", 4000),
        ("5.5", 5500),
        ("6", 6000),
        ("6.25", 6250),
        ("6.875", 6875),
        ("7.375", 7375),
        ("8.875", 8875),
        ("9.975", 9975),
        ("0.125", 125),
        ("100", 100_000),
    ];
    for (text, rate) in rates {
        for by in [TaxBy::Whole, TaxBy::Line] {
            let tax = Tax {
                name: "Tax".into(),
                rate: plain_decimal(text).unwrap(),
                on: vec!["work".into()],
                included: false,
            };
            // How it is rounded is left at the default of the rules.
            let money = MoneyRules {
                taxes: vec![tax],
                tax_by: by,
                ..oracle::rules(Currency::from_code("USD").unwrap())
            };
            let jobs = (0..=20_000).map(|cents| {
                let mut job = oracle::job(format!("{cents}"));
                job.charges.push(oracle::charge("work", oracle::flat(cents), job.taken_in));
                job
            });
            let shop = oracle::shop(money, jobs.collect());
            let (worked, _) = work::reckon(&shop, Today { day: oracle::day("2026-02-01"), asked: false });
            assert_eq!(worked.jobs.len(), 20_001);
            for (cents, job) in worked.jobs.iter().enumerate() {
                let want = by_the_text(cents as u128, rate);
                assert_eq!(
                    job.ledger.taxes[0].amount,
                    Money::from_minor(want as i128),
                    "{cents} cents at {text} %"
                );
            }
        }
    }
}
