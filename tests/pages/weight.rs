//! How heavy a page is on its way to a phone with a weak signal.

use super::demo;
use flate2::{Compression, write::GzEncoder};
use std::io::Write;

fn compressed(bytes: &[u8]) -> usize {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap().len()
}

#[test]
fn a_private_page_and_its_style_come_with_the_first_round() {
    // RFC 6928: an initial window of ten segments, of 1,460 bytes each as RFC 879's default on Ethernet leaves them.
    let files = &demo().files;
    let style = files.iter().find(|(path, _)| path.starts_with("look-")).expect("a style sheet");
    let style = compressed(style.1);
    let mut heaviest = (0, "");
    for (path, bytes) in files.iter().filter(|(path, _)| path.starts_with("see/") && path.ends_with(".html"))
    {
        heaviest = heaviest.max((compressed(bytes) + style, path));
    }
    println!("heaviest: {} bytes, {}; style alone {style}", heaviest.0, heaviest.1);
    assert!(heaviest.0 > 5000 && heaviest.0 < 10 * 1460, "{heaviest:?}");
}
