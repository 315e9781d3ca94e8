//! Every kind of file that is shown, beside Pillow's reading of it.

use super::Pass;
use benchlight::door::base::day::Day;
use benchlight::door::photo;

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
    let size = |name: &str| widest(&pass, name);
    assert_eq!(size("turned.png"), (380, 500));
    assert_eq!(size("turned.webp"), (380, 500));
    assert_eq!(size("wide.png"), (1600, 277));
    assert_eq!(size("large.webp"), (1600, 1212));
}

fn widest(pass: &Pass, name: &str) -> (u32, u32) {
    let widest = &pass.renditions(name).sizes[0];
    (widest.width, widest.height)
}

#[test]
fn heic_looks_as_libheif_shows_it() {
    let pass = Pass::over("heic");
    assert!(pass.faults.is_empty(), "{:?}", pass.faults);
    let apart = pass.compared("heic");
    assert_eq!(apart.len(), 11);
    let far: Vec<_> = apart.iter().filter(|(_, distance)| distance[0] >= NEAR).collect();
    assert!(far.is_empty(), "{far:?} of {apart:?}");
    for (name, size) in [
        ("grid.heic", (1000, 700)),
        ("grid-left.heic", (700, 1000)),
        ("grid-mirror-left.heic", (700, 1000)),
        ("dated.heic", (1000, 700)),
        ("large.heic", (1600, 1212)),
    ] {
        assert_eq!(widest(&pass, name), size, "{name}");
    }
    let look = photo::look(&pass.pictures["dated.heic"].path).unwrap();
    assert_eq!(
        (look.width, look.height),
        (1000, 700),
        "EXIF says turned, the container does not, and it counts"
    );
    assert_eq!(look.exif_taken, Day::new(2026, 5, 2).map(|day| (day, 16 * 3600 + 4 * 60 + 9)));
}
