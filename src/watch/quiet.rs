//! When it is quiet enough for a pass: a save is often several changes in a row, and a sync brings many files.

use std::time::{Duration, Instant};

/// So long nothing may happen before a pass begins.
const QUIET: Duration = Duration::from_millis(150);
/// A pass waits no longer than this after the first change, however much goes on.
const LONGEST: Duration = Duration::from_secs(2);

/// The first and the last change since the last pass.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Quiet(Option<(Instant, Instant)>);

impl Quiet {
    /// Something changed.
    pub fn stir(&mut self, now: Instant) {
        let first = self.0.map_or(now, |(first, _)| first);
        self.0 = Some((first, now));
    }

    pub fn is_stirred(&self) -> bool {
        self.0.is_some()
    }

    /// When the pass is to begin, if nothing else happens.
    pub fn over_at(&self) -> Option<Instant> {
        self.0.map(|(first, last)| (last + QUIET).min(first + LONGEST))
    }

    pub fn is_over(&self, now: Instant) -> bool {
        self.over_at().is_some_and(|at| at <= now)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The times, in milliseconds, at which passes begin for changes at these times.
    fn passes(changes: &[u64]) -> Vec<u64> {
        let start = Instant::now();
        let mut quiet = Quiet::default();
        let mut begun = Vec::new();
        for ms in 0..10_000 {
            let now = start + Duration::from_millis(ms);
            if quiet.is_over(now) {
                begun.push(ms);
                quiet = Quiet::default();
            }
            if changes.contains(&ms) {
                quiet.stir(now);
            }
        }
        begun
    }

    #[test]
    fn changes_in_a_row_are_one_pass() {
        assert_eq!(passes(&[]), [0; 0]);
        assert_eq!(passes(&[100]), [250]);
        assert_eq!(passes(&[100, 200, 349]), [499]);
        assert_eq!(passes(&[100, 251]), [250, 401]);
    }

    #[test]
    fn a_pass_comes_within_two_seconds_however_much_goes_on() {
        let all_the_time: Vec<u64> = (1000..6000).step_by(50).collect();
        assert_eq!(passes(&all_the_time), [3000, 5000, 6100]);
    }
}
