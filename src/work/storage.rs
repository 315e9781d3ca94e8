//! Storage: what a finished piece costs that stays after its grace.

use crate::base::day::Day;
use crate::base::money::Money;
use crate::model::{LedgerLine, LedgerLineKind, Storage, StoragePer};

/// The kind of line that tax rules know storage by.
pub(super) const KIND: &str = "storage";

/// The last day that costs nothing, for a piece whose grace counts from `start`.
pub(super) fn grace_ends(storage: &Storage, start: Day) -> Day {
    start.plus(storage.grace)
}

/// The ledger's line for a piece whose grace counts from `start` and that was here until `until`, that
/// day included: each begun day, week or month after the grace costs the fee.
pub(super) fn line(storage: &Storage, start: Day, until: Day) -> Option<LedgerLine> {
    // Compared as numbers of days, as the calendar's end would otherwise stand still under a long grace.
    let beyond = until.since(start) - i64::from(storage.grace);
    if beyond < 1 {
        return None;
    }
    let first = grace_ends(storage, start).plus(1);
    let begun = begun(storage.per, first, until);
    let uncapped = Money::from_minor(storage.fee.minor().saturating_mul(begun));
    let amount = storage.cap.map_or(uncapped, |cap| uncapped.min(cap));
    let by_count = amount == uncapped && storage.per != StoragePer::Once;
    (amount != Money::ZERO).then(|| LedgerLine {
        kind: LedgerLineKind::Storage,
        what: KIND.to_owned(),
        on: Some(first),
        each: by_count.then(|| (storage.fee, begun.to_string())),
        amount,
    })
}

/// How many days, weeks or months have begun from `first` to `until`, both included. A month begins on
/// the day of the month that `first` has, or on its last day where it is too short.
fn begun(per: StoragePer, first: Day, until: Day) -> i128 {
    let days = i128::from(until.since(first));
    match per {
        StoragePer::Once => 1,
        StoragePer::Day => days + 1,
        StoragePer::Week => days.div_euclid(7) + 1,
        StoragePer::Month => {
            let years = i64::from(until.year()) - i64::from(first.year());
            let months = years * 12 + i64::from(until.month()) - i64::from(first.month());
            let last_has_begun = first.plus_months(u32::try_from(months).unwrap_or(0)) <= until;
            i128::from(months) + i128::from(last_has_begun)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{day, money};
    use super::*;

    fn storage(grace: u32, per: StoragePer, cap: Option<i128>) -> Storage {
        Storage { grace, fee: money(500), per, cap: cap.map(money) }
    }

    fn cost(rule: &Storage, start: &str, until: &str) -> i128 {
        line(rule, day(start), day(until)).map_or(0, |l| l.amount.minor())
    }

    #[test]
    fn nothing_is_due_until_the_grace_is_over() {
        let rule = storage(30, StoragePer::Day, None);
        assert_eq!(grace_ends(&rule, day("2026-03-01")), day("2026-03-31"));
        assert_eq!(cost(&rule, "2026-03-01", "2026-03-31"), 0);
        assert_eq!(cost(&rule, "2026-03-01", "2026-04-01"), 500);
        assert_eq!(cost(&rule, "2026-03-01", "2026-04-02"), 1000);
        assert_eq!(cost(&rule, "2026-03-01", "2026-02-01"), 0);
        assert_eq!(cost(&storage(0, StoragePer::Day, None), "2026-03-01", "2026-03-01"), 0);
        assert_eq!(cost(&storage(0, StoragePer::Day, None), "2026-03-01", "2026-03-02"), 500);
    }

    #[test]
    fn each_begun_week_counts() {
        let rule = storage(0, StoragePer::Week, None);
        for (until, weeks) in [("2026-03-02", 1), ("2026-03-08", 1), ("2026-03-09", 2), ("2026-03-16", 3)] {
            assert_eq!(cost(&rule, "2026-03-01", until), weeks * 500, "{until}");
        }
    }

    #[test]
    fn months_begin_on_the_first_storage_day_or_the_last_of_a_short_month() {
        let rule = storage(0, StoragePer::Month, None);
        // The first storage day is 31 January: months begin on 28 February, 31 March, 30 April.
        for (until, months) in [
            ("2027-01-31", 1),
            ("2027-02-27", 1),
            ("2027-02-28", 2),
            ("2027-03-30", 2),
            ("2027-03-31", 3),
            ("2027-04-29", 3),
            ("2027-04-30", 4),
            ("2028-01-30", 12),
            ("2028-01-31", 13),
        ] {
            assert_eq!(cost(&rule, "2027-01-30", until), months * 500, "{until}");
        }
    }

    #[test]
    fn begun_months_are_the_month_beginnings_counted_one_by_one() {
        for offset in 0..60 {
            let first = day("2026-12-20").plus(offset);
            for length in 0..500 {
                let until = first.plus(length);
                let counted = (0..40).filter(|i| first.plus_months(*i) <= until).count();
                assert_eq!(begun(StoragePer::Month, first, until), counted as i128, "{first} {until}");
            }
        }
    }

    #[test]
    fn once_is_once_and_a_cap_is_the_most() {
        assert_eq!(cost(&storage(5, StoragePer::Once, None), "2026-03-01", "2029-03-01"), 500);
        let capped = storage(0, StoragePer::Day, Some(1200));
        assert_eq!(cost(&capped, "2026-03-01", "2026-03-03"), 1000);
        assert_eq!(cost(&capped, "2026-03-01", "2026-03-04"), 1200);
        let line = line(&capped, day("2026-03-01"), day("2026-03-04")).unwrap();
        assert_eq!(line.each, None, "the cap is no multiple of the fee");
        assert_eq!(line.on, Some(day("2026-03-02")));
    }

    #[test]
    fn the_calendars_end_is_no_trouble() {
        let endless = storage(u32::MAX, StoragePer::Month, None);
        assert_eq!(cost(&endless, "2026-03-01", "2199-12-31"), 0);
        let late = storage(0, StoragePer::Month, None);
        assert_eq!(cost(&late, "2199-12-30", "2199-12-31"), 500);
        assert_eq!(cost(&late, "2199-12-31", "2199-12-31"), 0);
        let huge = Storage { fee: money(i128::MAX), ..storage(0, StoragePer::Day, None) };
        assert_eq!(cost(&huge, "1900-01-01", "2199-12-31"), i128::MAX);
    }
}
