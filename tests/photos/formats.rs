//! Every kind of file that is shown, beside Pillow's reading of it.

use super::Pass;

/// The mean distance that is allowed, of 255. JPEG at quality 80 costs 0.4 to 1.3, the speckle of a palette 2.2.
const NEAR: f64 = 2.5;

#[test]
fn every_format_looks_as_pillow_shows_it() {
    let pass = Pass::over("formats");
    assert!(pass.faults.is_empty(), "{:?}", pass.faults);
    let apart = pass.compared("formats");
    assert_eq!(apart.len(), 25);
    let far: Vec<_> = apart.iter().filter(|(_, distance)| distance[0] >= NEAR).collect();
    assert!(far.is_empty(), "{far:?} of {apart:?}");
    let size = |name: &str| {
        let widest = &pass.renditions(name).sizes[0];
        (widest.width, widest.height)
    };
    assert_eq!(size("turned.png"), (380, 500));
    assert_eq!(size("turned.webp"), (380, 500));
    assert_eq!(size("wide.png"), (1600, 277));
    assert_eq!(size("large.webp"), (1600, 1212));
}
