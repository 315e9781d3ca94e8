//! How long sealed files are: only lengths off a coarse ladder, so that a length tells next to nothing of what is in it.
//!
//! From 32 KiB on, the steps are the powers of two and the middle between each two. "Reducing Metadata Leakage from Encrypted Files and
//! Communication with PURBs" (PETS 2019) proposes finer steps, Padmé, that cost 12 % at most; around 100 kB it has 32 steps to an
//! octave, so that 72 files of one page could still be known by their lengths to whoever has the photos. Two steps to an octave
//! cost about a fifth more bytes, and put most files of one size of photo on one or two steps. Whatever is short (a page,
//! a calendar, a small photo) is as long as everything else that is short.

/// The shortest sealed file.
pub const LEAST: usize = 32 << 10;

/// The first step of the ladder that holds `bytes`.
pub fn padded(bytes: usize) -> usize {
    let whole = bytes.max(LEAST).checked_next_power_of_two().unwrap_or(bytes);
    let middle = whole / 4 * 3;
    if middle >= bytes.max(LEAST) { middle } else { whole }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_those_of_the_ladder() {
        const K: usize = 1 << 10;
        let steps = [
            (0, 32),
            (1, 32),
            (32, 32),
            (33, 48),
            (48, 48),
            (49, 64),
            (64, 64),
            (65, 96),
            (97, 128),
            (600, 768),
        ];
        for (bytes, step) in steps {
            assert_eq!(padded(bytes * K), step * K, "{bytes} KiB");
        }
        assert_eq!((padded(48 * K + 1), padded(64 * K + 1)), (64 * K, 96 * K));
    }

    #[test]
    fn the_cost_is_bounded_and_order_is_kept() {
        let mut last = 0;
        for bytes in (LEAST..3_000_000).step_by(997) {
            let now = padded(bytes);
            assert!(now >= bytes && now >= last && now * 2 <= bytes * 3 + 2, "{bytes} becomes {now}");
            last = now;
        }
        assert_eq!(padded(usize::MAX), usize::MAX);
    }
}
