//! A debt never vanishes: a piece that went home with a balance is told of, and so is more written off than is owed.
//!
//! Where such pieces stand on the board is `board`'s; the sums themselves are `ledger`'s.

use super::known::KnownJob;
use super::truth::place;
use crate::base::money::{Currency, Money};
use crate::model::Ledger;
use crate::problem::{Code, Problem};

/// What the balance of a job says against its record, on the day that it was reckoned for.
pub(super) fn check(known: &KnownJob<'_>, ledger: &Ledger, currency: Currency) -> Option<Problem> {
    written_off_too_large(known, ledger, currency).or_else(|| collected_owes(known, ledger, currency))
}

/// It went home, and the ledger is not even. Nothing in the record is wrong, so the page is made all the same.
fn collected_owes(known: &KnownJob<'_>, ledger: &Ledger, currency: Currency) -> Option<Problem> {
    let mark = known.collected().filter(|_| ledger.due != Money::ZERO)?;
    let (message, hint) = match ledger.due.is_positive() {
        true => (
            format!("it was collected on {}, and {} is still owed", mark.day, ledger.due.plain(currency)),
            "write what was paid under `[[paid]]`, or what you will not ask for any more under `[[written-off]]`",
        ),
        false => (
            format!(
                "it was collected on {}, and {} more was paid than is due",
                mark.day,
                (-ledger.due).plain(currency)
            ),
            "write what you gave back under `[[refund]]`, or what it was for under `[[charge]]`",
        ),
    };
    let problem = Problem::new(Code::CollectedOwes, message).at(place(known.job, mark));
    Some(problem.hint(hint).of_job(&known.job.number))
}

/// More written off than was left to pay: the page would say that the shop owes money that it never had.
fn written_off_too_large(known: &KnownJob<'_>, ledger: &Ledger, currency: Currency) -> Option<Problem> {
    let owed = (ledger.total - ledger.paid).max(Money::ZERO);
    if ledger.written_off <= owed {
        return None;
    }
    // The last line is the one that went too far.
    let last = known.write_offs().last()?;
    let message = format!(
        "{} is written off, but only {} is owed",
        ledger.written_off.plain(currency),
        owed.plain(currency)
    );
    let rest = owed - (ledger.written_off - last.amount);
    let hint = match rest.is_positive() {
        true => format!("lower this amount to {}, or look whether a charge is missing", rest.plain(currency)),
        false => "take this line out, or look whether a charge is missing".to_owned(),
    };
    let at = known.job.place(&last.amount_at);
    Some(Problem::new(Code::WrittenOffTooLarge, message).at(at).hint(hint).of_job(&known.job.number))
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use crate::problem::Severity;

    fn home() -> JobMaker {
        job("26-001", "2026-01-05").charge(34_063, "2026-01-05").collected("2026-03-01")
    }

    #[test]
    fn collected_with_a_balance_is_told_with_the_amount_and_spoils_nothing() {
        let want = |due: &str| {
            format!("collected-owes: it was collected on 2026-03-01, and {due} is still owed [2026-03-01]")
        };
        assert_eq!(problem_lines(home(), on("2026-03-01")), [want("340.63")]);
        assert_eq!(problem_lines(home(), on("2036-03-01")), [want("340.63")], "it never goes away by itself");
        assert_eq!(problem_lines(home().paid(100, "2026-03-02"), as_of("2026-03-02")), [want("339.63")]);
        assert_eq!(problem_lines(home().paid(34_063, "2026-04-01"), as_of("2026-03-31")), [want("340.63")]);
        assert_eq!(problem_lines(home().paid(34_063, "2026-04-01"), on("2026-04-01")), [""; 0]);
        assert_eq!(problem_lines(home(), as_of("2026-02-28")), [""; 0], "not collected yet on that day");
        let over = home().paid(34_064, "2026-03-01");
        assert_eq!(
            problem_lines(over.clone(), on("2026-03-01")),
            [
                "collected-owes: it was collected on 2026-03-01, and 0.01 more was paid than is due [2026-03-01]"
            ]
        );
        assert_eq!(problem_lines(over.refunded(1, "2026-03-02"), on("2026-03-02")), [""; 0]);
    }

    #[test]
    fn a_write_off_ends_a_debt_from_its_day_on() {
        let off = || home().paid(10_000, "2026-01-05").written_off(24_063, "2026-05-01");
        assert_eq!(problem_lines(off(), as_of("2026-04-30")).len(), 1);
        assert_eq!(problem_lines(off(), on("2026-05-01")), [""; 0]);
        let before = single(shop(), off(), as_of("2026-04-30")).ledger;
        assert_eq!((before.due, before.written_off), (money(24_063), money(0)));
        let after = single(shop(), off(), on("2026-05-01")).ledger;
        assert_eq!((after.due, after.written_off, after.paid), (money(0), money(24_063), money(10_000)));
    }

    #[test]
    fn no_more_is_written_off_than_is_owed() {
        let too = |job: JobMaker| {
            let (worked, problems) = worked(shop(), vec![job.made()], on("2026-06-01"));
            assert_eq!((worked.jobs.len(), problems.worst()), (0, Some(Severity::Mend)));
            let problem = problems.iter().next().unwrap().clone();
            (lines(&problems).remove(0), problem.hint.unwrap())
        };
        let (line, hint) = too(home().written_off(34_000, "2026-05-01").written_off(64, "2026-05-02"));
        assert_eq!(line, "written-off-too-large: 340.64 is written off, but only 340.63 is owed [64]");
        assert!(hint.contains("lower this amount to 0.63"), "{hint}");
        // The customer paid after all.
        let (line, hint) = too(home().written_off(34_063, "2026-05-01").paid(34_063, "2026-06-01"));
        assert!(line.contains("340.63 is written off, but only 0.00 is owed"), "{line}");
        assert!(hint.contains("take this line out"), "{hint}");
        let (line, _) = too(home().written_off(1, "2026-05-01").paid(40_000, "2026-06-01"));
        assert!(line.contains("only 0.00 is owed"), "{line}");
    }
}
