//! The next free job number, in the shape that the shop's own numbers have.

use crate::base::day::Day;
use std::collections::BTreeSet;

/// The number after the last one: `26-041` gives `26-042`, and the first of a new year `27-001`. `jobs` are numbers
/// with the day each piece came in, `taken` all numbers that are in use, in small letters.
pub fn next(jobs: &[(&str, Day)], taken: &BTreeSet<String>, today: Day) -> String {
    let shaped = jobs.iter().filter_map(|(number, day)| Some((*day, split(number)?)));
    let latest = shaped.max_by_key(|(day, (_, tail))| (*day, tail.parse::<u64>().unwrap_or(0)));
    let (head, width) = match latest {
        Some((day, (head, tail))) => (this_years(head, day.year(), today.year()), tail.len()),
        None => (format!("{:02}-", today.year() % 100), 3),
    };
    let of_head = taken
        .iter()
        .filter_map(|number| split(number))
        .filter(|(other, _)| *other == head.to_ascii_lowercase());
    let highest = of_head.filter_map(|(_, tail)| tail.parse::<u64>().ok()).max().unwrap_or(0);
    let mut next = highest.saturating_add(1);
    loop {
        let number = format!("{head}{next:0width$}");
        if next == u64::MAX || !taken.contains(&number.to_ascii_lowercase()) {
            return number;
        }
        next += 1;
    }
}

/// A number as what stands before its last digits, and those.
fn split(number: &str) -> Option<(&str, &str)> {
    let head = number.trim_end_matches(|c: char| c.is_ascii_digit());
    let tail = number.get(head.len()..)?;
    (!tail.is_empty()).then_some((head, tail))
}

/// The head with the year of that time in it, of two or four digits, turned into this year.
fn this_years(head: &str, then: i32, now: i32) -> String {
    // A piece of December may have been written down in January.
    for year in [then, then - 1] {
        for (old, new) in
            [(year.to_string(), now.to_string()), (format!("{:02}", year % 100), format!("{:02}", now % 100))]
        {
            if let Some(at) = run_of_digits(head, &old) {
                let (before, after) = (head.get(..at), head.get(at + old.len()..));
                return [before.unwrap_or_default(), &new, after.unwrap_or_default()].concat();
            }
        }
    }
    head.to_owned()
}

/// Where these digits stand in a text with no other digit beside them.
fn run_of_digits(text: &str, digits: &str) -> Option<usize> {
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    text.match_indices(digits).map(|(at, _)| at).find(|at| {
        let before = text.get(..*at).and_then(|part| part.chars().next_back());
        let after = text.get(at + digits.len()..).and_then(|part| part.chars().next());
        !is_digit(before) && !is_digit(after)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(jobs: &[(&str, &str)], more: &[&str], today: &str) -> String {
        let day = |text: &str| Day::parse(text).unwrap();
        let taken = jobs.iter().map(|(n, _)| *n).chain(more.iter().copied());
        let taken = taken.map(str::to_ascii_lowercase).collect();
        let jobs: Vec<(&str, Day)> = jobs.iter().map(|(n, d)| (*n, day(d))).collect();
        next(&jobs, &taken, day(today))
    }

    #[test]
    fn numbers_go_on_in_the_shops_own_shape() {
        for (jobs, more, today, want) in [
            (&[][..], &[][..], "2026-05-02", "26-001"),
            (&[("26-041", "2026-04-28"), ("26-009", "2026-01-02")], &[], "2026-05-02", "26-042"),
            (&[("26-041", "2026-04-28")], &["26-042", "26-050"], "2026-05-02", "26-051"),
            (&[("26-999", "2026-04-28")], &[], "2026-05-02", "26-1000"),
            (&[("26-041", "2026-12-28")], &[], "2027-01-02", "27-001"),
            (&[("26-041", "2026-12-28")], &["27-007"], "2027-01-02", "27-008"),
            (&[("26-099", "2027-01-02")], &[], "2027-01-03", "27-001"),
            (&[("2026-7", "2026-04-28")], &[], "2026-05-02", "2026-8"),
            (&[("T26-7", "2026-04-28")], &["t26-8"], "2026-05-02", "T26-9"),
            (&[("412", "2026-04-28")], &[], "2027-05-02", "413"),
            (&[("A-07", "2026-04-28")], &[], "2027-05-02", "A-08"),
            (&[("126-07", "2026-04-28")], &[], "2027-05-02", "126-08"),
            (&[("gobbler", "2026-04-28"), ("26-3", "2026-01-01")], &[], "2026-05-02", "26-4"),
            (&[("00-001", "2000-01-01")], &[], "2001-01-01", "01-001"),
        ] {
            assert_eq!(of(jobs, more, today), want, "{jobs:?} {more:?} {today}");
        }
    }
}
