//! The eight orientations of EXIF, set by exiftool, beside Pillow's `ImageOps.exif_transpose`.

use super::Pass;
use benchlight::door::photo;

/// The mean distance that is allowed, of 255. Saving as JPEG at quality 80 costs about 1.0 of it on these
/// pictures; the wrong orientation costs 40 and more.
const NEAR: f64 = 1.5;

#[test]
fn all_eight_stand_as_pillow_turns_them() {
    let pass = Pass::over("orientation");
    assert!(pass.faults.is_empty(), "{:?}", pass.faults);
    let apart = pass.compared("orientation");
    assert_eq!(apart.len(), 16);
    for (name, distance) in &apart {
        assert!(distance[0] < NEAR, "{name} is {} apart", distance[0]);
    }
    for (name, picture) in &pass.pictures {
        let look = photo::look(&picture.path).unwrap();
        let (long, short) = if name.starts_with("640") { (640, 480) } else { (2400, 1700) };
        let stands = ["5", "6", "7", "8"].iter().any(|n| name.ends_with(&format!("-{n}.jpg")));
        let expected = if stands { (short, long) } else { (long, short) };
        assert_eq!((look.width, look.height), expected, "{name}");
        let widest = &pass.renditions(name).sizes[0];
        assert_eq!(widest.width > widest.height, !stands, "{name}");
    }
}
