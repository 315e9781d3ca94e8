//! Renditions are no worse than those of `vipsthumbnail` (libvips) at the same bytes.
//!
//! Two photos of the bench only, since scoring takes seconds; `cargo bench --bench photos -- quality` takes four.

#[path = "../../benches/photos/beside.rs"]
mod beside;

use super::sample;
use beside::Beside;

#[test]
fn every_size_is_at_least_as_near_as_libvips_makes_it_at_the_same_bytes() {
    let photos = [sample::file(0), sample::file(6)];
    let beside = beside::vipsthumbnail(&photos, &[72, 77, 82]);
    for ((size, _), Beside { ours, bytes, theirs }) in beside::SIZES.into_iter().zip(beside) {
        assert!(ours >= theirs, "{size}: {ours:.2} of {bytes:.0} bytes, libvips {theirs:.2}");
        assert!(ours > 75.0, "{size}: {ours:.2}");
    }
}
