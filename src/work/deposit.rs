//! The deposit: how much is asked for a job, and since when it is paid.

use super::known::Known;
use super::ledger;
use crate::base::day::Day;
use crate::base::exact::Exact;
use crate::base::money::Money;
use crate::model::{DepositRule, MoneyRules, Rounding, Route};
use std::collections::BTreeMap;

/// What is asked, and the day since which it is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Deposit {
    pub asked: Money,
    pub met: Option<Day>,
}

/// The deposit of a job: its own, else its route's, else the shop's.
pub(super) fn reckon(rules: &MoneyRules, route: &Route, known: &Known<'_>) -> Deposit {
    let own = known.job.deposit.map(DepositRule::Flat);
    let asked = asked(own.or(route.deposit).unwrap_or(rules.deposit), rules, known);
    Deposit { asked, met: met(asked, known) }
}

/// A percentage is of what was charged by the day it was taken in, less that day's discounts, with the
/// tax added to it; the deposit is never more than that. A flat deposit stands as it is where no
/// price was written down that day.
fn asked(rule: DepositRule, rules: &MoneyRules, known: &Known<'_>) -> Money {
    let first_day = Known::on(known.job, known.job.taken_in);
    let charges: Vec<_> = first_day.charges().collect();
    let discounts: Vec<_> = first_day.discounts().collect();
    let total = ledger::bill(rules, &charges, &discounts, None).total.max(Money::ZERO);
    let asked = match rule {
        DepositRule::None => Money::ZERO,
        DepositRule::Flat(amount) if total == Money::ZERO => amount,
        DepositRule::Flat(amount) => amount.min(total),
        DepositRule::Percent(percent) => Exact::percent(total, percent).rounded(Rounding::HalfUp).min(total),
    };
    asked.max(Money::ZERO)
}

/// The day since which payments less refunds have not been below what is asked: at once when
/// nothing is asked, never when a refund took it back.
fn met(asked: Money, known: &Known<'_>) -> Option<Day> {
    if !asked.is_positive() {
        return Some(known.job.taken_in);
    }
    let mut by_day: BTreeMap<Day, Money> = BTreeMap::new();
    for (day, amount) in
        known.payments().map(|p| (p.on, p.amount)).chain(known.refunds().map(|p| (p.on, -p.amount)))
    {
        let sum = by_day.entry(day).or_default();
        *sum = *sum + amount;
    }
    let (mut paid, mut since) = (Money::ZERO, None);
    for (day, amount) in by_day {
        paid = paid + amount;
        since = if paid >= asked { since.or(Some(day)) } else { None };
    }
    since
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;
    use crate::model::{LineBy, Shop};
    use DepositRule::{Flat, Percent};

    fn of(shop: Shop, job: JobMaker) -> (i128, Option<String>) {
        let ledger = single(shop, job, on("2026-12-31")).ledger;
        (ledger.deposit_asked.minor(), ledger.deposit_met.map(Day::iso))
    }

    fn shop_asking(rule: DepositRule) -> Shop {
        let mut shop = shop();
        shop.studio.money.deposit = rule;
        shop
    }

    fn base() -> JobMaker {
        job("26-001", "2026-01-05").charge(70_001, "2026-01-05")
    }

    #[test]
    fn the_nearest_rule_counts() {
        let half = || shop_asking(Percent(percent("50")));
        assert_eq!(of(half(), base()).0, 35_001, "350.005 goes up");
        let mut routed = half();
        routed.routes.get_mut("turkey").unwrap().deposit = Some(Flat(money(10_000)));
        assert_eq!(of(routed, base()).0, 10_000);
        assert_eq!(of(half(), base().change(|j| j.deposit = Some(money(5)))).0, 5);
        assert_eq!(of(half(), base().change(|j| j.deposit = Some(money(0)))).0, 0);
    }

    #[test]
    fn a_percentage_is_of_the_first_day_with_its_discount_and_tax() {
        let mut shop = shop_asking(Percent(percent("50")));
        shop.studio.money.taxes = vec![tax("State", "10", "work"), included("Levy", "7", "work")];
        let made = job("26-001", "2026-01-05")
            .charge(60_000, "2026-01-05")
            .less(crate::model::Less::Flat(money(10_000)), "2026-01-05")
            .charge(90_000, "2026-02-01")
            .less(crate::model::Less::Flat(money(30_000)), "2026-02-01");
        assert_eq!(of(shop, made).0, 27_500, "half of 500 and 10 %");
    }

    #[test]
    fn never_more_than_the_first_days_total() {
        assert_eq!(of(shop_asking(Percent(percent("250"))), base()).0, 70_001);
        assert_eq!(of(shop_asking(Flat(money(100_000))), base()).0, 70_001);
        // No price was written down yet: what is asked is asked all the same.
        assert_eq!(of(shop_asking(Flat(money(100_000))), job("26-001", "2026-01-05")).0, 100_000);
        assert_eq!(of(shop_asking(Percent(percent("50"))), job("26-001", "2026-01-05")).0, 0);
        assert_eq!(of(shop_asking(Flat(money(-5))), base()).0, 0);
        let credit = job("26-001", "2026-01-05").charge(-500, "2026-01-05");
        assert_eq!(of(shop_asking(Percent(percent("50"))), credit), (0, Some("2026-01-05".into())));
    }

    #[test]
    fn it_is_met_when_net_payments_reach_it() {
        let asked = || shop_asking(Flat(money(20_000)));
        let day = |made: JobMaker| of(asked(), made).1;
        assert_eq!(day(base()), None);
        assert_eq!(day(base().paid(19_999, "2026-01-06")), None);
        let paid = base().paid(15_000, "2026-01-06").paid(5_000, "2026-01-09").paid(5_000, "2026-01-20");
        assert_eq!(day(paid.clone()), Some("2026-01-09".into()));
        // The order in the file does not matter, and a refund of the same day counts first.
        let shuffled = base().paid(5_000, "2026-01-09").refunded(1, "2026-01-09").paid(15_000, "2026-01-06");
        assert_eq!(day(shuffled), None);
        // What was given back is not there any more; what came again counts from then.
        assert_eq!(day(paid.clone().refunded(10_000, "2026-02-01")), None);
        assert_eq!(
            day(paid.refunded(10_000, "2026-02-01").paid(5_000, "2026-03-01")),
            Some("2026-03-01".into())
        );
        assert_eq!(day(base().paid(20_000, "2025-12-01")), Some("2025-12-01".into()));
        assert_eq!(of(shop(), base()), (0, Some("2026-01-05".into())));
    }

    #[test]
    fn the_place_in_line_counts_from_deposit_or_arrival() {
        let since = |line, made| {
            let mut shop = shop_asking(Flat(money(20_000)));
            shop.studio.line = line;
            single(shop, made, on("2026-12-31")).in_line_since.map(Day::iso)
        };
        let paid = || base().paid(20_000, "2026-01-09");
        assert_eq!(since(LineBy::Deposit, base()), None);
        assert_eq!(since(LineBy::Deposit, paid()), Some("2026-01-09".into()));
        assert_eq!(since(LineBy::Arrival, base()), Some("2026-01-05".into()));
        // Paid ahead by post: in line from the day that the piece was there.
        assert_eq!(since(LineBy::Deposit, base().paid(20_000, "2025-12-01")), Some("2026-01-05".into()));
    }
}
