//! Discounts: what each comes to, and which part of it falls on which charge.

use crate::base::exact::Exact;
use crate::base::money::Money;
use crate::model::{Discount, Less, Rounding};
use std::cmp::Reverse;

/// What each discount takes off charges that come to `gross`, in the order given. Percentages are of all
/// charges, not of what other discounts left. Together they never take more than there is: the
/// one that would is cut, and what follows it takes nothing.
pub(super) fn amounts<'a>(discounts: impl Iterator<Item = &'a Discount>, gross: Money) -> Vec<Money> {
    let mut left = gross.max(Money::ZERO);
    let mut taken = Vec::new();
    for discount in discounts {
        let asked = match discount.less {
            Less::Flat(amount) => amount,
            Less::Percent(percent) => Exact::percent(gross, percent).rounded(Rounding::HalfUp),
        };
        let amount = asked.clamp(Money::ZERO, left);
        left = left - amount;
        taken.push(amount);
    }
    taken
}

/// Shares of `total` pro rata by `amounts`, whole minor units that add up to it: each is first cut down,
/// and the units left over go to the largest remainders, the earlier line first where two are equal
/// (the largest-remainder method). A credit among the amounts takes a negative share.
pub(super) fn apportioned(total: Money, amounts: &[Money]) -> Vec<Money> {
    let whole = amounts.iter().copied().sum::<Money>();
    if !whole.is_positive() || !total.is_positive() {
        return vec![Money::ZERO; amounts.len()];
    }
    let of = whole.minor().unsigned_abs();
    let exact = |amount: &Money| Exact::share(*amount, total.minor().unsigned_abs(), of);
    let mut shares: Vec<(usize, Exact)> = amounts.iter().map(exact).enumerate().collect();
    let cut: i128 = shares.iter().fold(0, |sum: i128, (_, share)| sum.saturating_add(share.whole));
    let left_over = usize::try_from(total.minor().saturating_sub(cut)).unwrap_or(0);
    shares.sort_by_key(|(at, share)| (Reverse(share.part), *at));
    for (_, share) in shares.iter_mut().take(left_over) {
        share.whole = share.whole.saturating_add(1);
    }
    shares.sort_by_key(|(at, _)| *at);
    shares.into_iter().map(|(_, share)| Money::from_minor(share.whole)).collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Dice, day, money, percent};
    use super::*;

    fn flat(minor: i128) -> Discount {
        Discount { what: "less".into(), less: Less::Flat(money(minor)), on: day("2026-01-05") }
    }

    fn share(rate: &str) -> Discount {
        Discount { what: "less".into(), less: Less::Percent(percent(rate)), on: day("2026-01-05") }
    }

    fn taken(discounts: &[Discount], gross: i128) -> Vec<i128> {
        amounts(discounts.iter(), money(gross)).into_iter().map(Money::minor).collect()
    }

    fn shares(total: i128, of: &[i128]) -> Vec<i128> {
        let of: Vec<Money> = of.iter().copied().map(money).collect();
        apportioned(money(total), &of).into_iter().map(Money::minor).collect()
    }

    #[test]
    fn percentages_are_of_all_charges() {
        assert_eq!(taken(&[flat(1000), share("10")], 10_000), [1000, 1000]);
        assert_eq!(taken(&[share("10"), flat(1000)], 10_000), [1000, 1000]);
        assert_eq!(taken(&[share("2.5")], 101), [3], "2.525 is 3");
        assert_eq!(taken(&[share("50")], 1), [1], "a half goes up");
    }

    #[test]
    fn no_discount_takes_more_than_there_is() {
        assert_eq!(taken(&[flat(600), flat(600), flat(1)], 1000), [600, 400, 0]);
        assert_eq!(taken(&[share("100"), share("100")], 1000), [1000, 0]);
        assert_eq!(taken(&[flat(5), share("10")], -1000), [0, 0]);
        assert_eq!(taken(&[flat(-5)], 1000), [0]);
    }

    #[test]
    fn units_left_over_go_to_the_largest_remainder() {
        assert_eq!(shares(100, &[1, 1, 1]), [34, 33, 33], "ties to the earlier line");
        assert_eq!(shares(10, &[333, 333, 334]), [3, 3, 4]);
        assert_eq!(shares(1, &[1, 2]), [0, 1]);
        assert_eq!(shares(10, &[200, -100]), [20, -10], "a credit takes its part back");
        assert_eq!(shares(7, &[0, 0]), [0, 0]);
        assert_eq!(shares(7, &[]), Vec::<i128>::new());
    }

    #[test]
    fn shares_always_add_up() {
        let mut dice = Dice::new(11);
        for _ in 0..5000 {
            let of: Vec<i128> = (0..dice.below(9) + 1).map(|_| dice.between(-500, 5000)).collect();
            let sum: i128 = of.iter().sum();
            let total = dice.between(0, 4000);
            let got: i128 = shares(total, &of).iter().sum();
            assert_eq!(got, if sum > 0 { total } else { 0 }, "{total} over {of:?}");
        }
    }
}
