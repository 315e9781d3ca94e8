//! Colour beside LittleCMS: patches in Display P3 and in sRGB, tagged and bare.

use super::Pass;

/// CIE 1976 colour differences that are allowed, on the mean of the patches and on the worst. About 2.3 is just
/// noticeable (Mahy, Van Eycken and Oosterlinck 1994); left as they are, the P3 patches are 3.2 apart on the
/// mean and 16.6 at worst.
const MEAN: f64 = 0.5;
const WORST: f64 = 1.5;

#[test]
fn patches_come_out_as_littlecms_converts_them() {
    let pass = Pass::over("colour");
    assert!(pass.faults.is_empty(), "{:?}", pass.faults);
    let apart = pass.compared("colour");
    assert_eq!(apart.len(), 4);
    for (name, apart) in &apart {
        assert!(apart[0] < MEAN && apart[1] < WORST, "{name}: mean {}, worst {}", apart[0], apart[1]);
    }
}
