//! How long a private page lives.

use crate::base::day::Day;
use crate::model::PageLife;

/// A page is open until the piece is collected; then it closes, `keep_days` days after that day at
/// the latest, and from the next day on it is gone.
pub(super) fn page(collected: Option<Day>, keep_days: u32, today: Day) -> PageLife {
    match collected.map(|day| day.plus(keep_days)) {
        None => PageLife::Open,
        Some(until) if today <= until => PageLife::Closing { until },
        Some(_) => PageLife::Gone,
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::day;
    use super::*;

    #[test]
    fn a_page_closes_and_then_goes() {
        let today = |text| page(Some(day("2026-05-01")), 90, day(text));
        let until = day("2026-07-30");
        assert_eq!(page(None, 90, day("2026-05-01")), PageLife::Open);
        assert_eq!(today("2026-05-01"), PageLife::Closing { until });
        assert_eq!(today("2026-07-30"), PageLife::Closing { until });
        assert_eq!(today("2026-07-31"), PageLife::Gone);
        assert_eq!(page(Some(day("2026-05-01")), 0, day("2026-05-02")), PageLife::Gone);
    }
}
