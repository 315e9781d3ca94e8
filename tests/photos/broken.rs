//! Broken, odd and hostile files: each has its answer, none ends the program.

use super::Pass;
use benchlight::door::model::PhotoFault;

/// How a fault reads here.
fn words(fault: &PhotoFault) -> String {
    match fault {
        PhotoFault::Unreadable(why) => format!("unreadable: {why}"),
        PhotoFault::Empty => "empty".to_owned(),
        PhotoFault::Video => "video".to_owned(),
        PhotoFault::NotShowable(what) => format!("not showable: {what}"),
        PhotoFault::TooLarge(width, height) => format!("too large: {width} x {height}"),
        PhotoFault::Damaged(why) => format!("damaged: {why}"),
        PhotoFault::NotKept(why) => format!("not kept: {why}"),
        PhotoFault::NoHelper(why) => format!("no helper: {why}"),
    }
}

/// The beginning of what is said of each file that is not shown.
const EXPECTED: &[(&str, &str)] = &[
    ("clip-named.jpg", "video"),
    ("clip.mp4", "video"),
    ("empty.jpg", "empty"),
    ("huge-header-progressive.jpg", "too large: 65500 x 65500"),
    ("hollow.heic", "damaged: "),
    ("huge-header.heic", "too large: 65500 x 65500"),
    ("huge-header.gif", "too large: 65500 x 65500"),
    ("huge-header.jpg", "too large: 65500 x 65500"),
    ("huge-header.png", "too large: 65500 x 65500"),
    ("huge-lossless.webp", "too large: 16000 x 16000"),
    ("huge-progressive.jpg", "too large: 12000 x 9000"),
    ("long-header.png", "too large: 2000000000 x 1"),
    ("no-height.jpg", "damaged: "),
    ("noise.jpg", "not showable: no picture of a kind that is known here"),
    ("page.jpg", "not showable: text, not a picture"),
    ("picture.avif", "not showable: an AVIF picture; save it as JPEG"),
    ("raw.dng", "not showable: a TIFF or a camera's raw picture"),
    ("start-only.jpg", "damaged: it breaks off before its end"),
    ("taller-than-it-is.jpg", "damaged: it breaks off before its end"),
    ("text.jpg", "not showable: text, not a picture"),
    ("zeros.jpg", "not showable: no picture of a kind that is known here"),
];
/// Odd, and shown all the same.
const SHOWN: [&str; 4] = ["bad-profile.jpg", "bomb.png", "named-wrong.jpg", "named-wrong.png"];

#[test]
fn every_broken_file_has_its_answer() {
    let pass = Pass::over("broken");
    for (name, expected) in EXPECTED {
        let said = pass.faults.get(*name).map(words).unwrap_or_else(|| "shown".to_owned());
        assert!(said.starts_with(expected), "{name}: {said}");
    }
    // The last guard caught nothing: the decoders return their errors.
    let gave_up = words(&PhotoFault::Damaged("it made its decoder give up".to_owned()));
    let caught: Vec<_> = pass.faults.iter().filter(|(_, fault)| words(fault) == gave_up).collect();
    assert!(caught.is_empty(), "a decoder panicked on {caught:?}");
    for name in SHOWN {
        assert!(!pass.renditions(name).sizes.is_empty());
    }
    let mut flipped = 0;
    for name in pass.faults.keys().chain(pass.pictures.keys()) {
        flipped += usize::from(name.starts_with("flip-"));
    }
    assert!(flipped >= 420, "{flipped}");
    for kind in ["jpg", "progressive.jpg", "png", "webp", "lossless.webp", "gif", "heic"] {
        for part in [10, 40, 90] {
            let name = format!("cut-{part}-{kind}");
            let said = pass.faults.get(&name).map(words).unwrap_or_else(|| "shown".to_owned());
            assert!(said.starts_with("damaged: "), "{name}: {said}");
        }
    }
}
