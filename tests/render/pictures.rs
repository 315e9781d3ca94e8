//! Stand-ins for developed photos: small pictures in a temporary folder and the album that lists them.

use benchlight::door::base::day::Day;
use benchlight::door::base::digest::Digest;
use benchlight::door::base::private::Private;
use benchlight::door::model::photo::Album;
use benchlight::door::model::{Format, Look, Photo, Rendition, Renditions, Taken, TakenBy};
use std::path::Path;

/// Photos that can be shown, and the folder that holds their renditions.
pub struct Prints {
    pub folder: tempfile::TempDir,
    pub album: Album,
}

impl Prints {
    pub fn new() -> Prints {
        Prints { folder: tempfile::tempdir().unwrap(), album: Album::new() }
    }

    /// A photo that lies in the album in three sizes.
    pub fn photo(&mut self, seed: &str, day: &str, upright: bool) -> Photo {
        let (width, height) = if upright { (1200, 1600) } else { (1600, 1200) };
        let digest = Digest::of(seed.as_bytes());
        let sizes = [1, 2, 4].map(|part| rendition(self.folder.path(), seed, width / part, height / part));
        let renditions = Renditions { sizes: sizes.to_vec(), placeholder: String::new() };
        self.album.insert(digest, renditions);
        Photo {
            path: Private::new(format!("/CANARY-path/{seed}.jpg").into()),
            file: Private::new(format!("content/jobs/CANARY-folder/{seed}.jpg")),
            caption: None,
            step: None,
            shown: true,
            taken: Taken { day: Day::parse(day).unwrap(), second: None, by: TakenBy::Exif },
            look: Look { digest, format: Format::Jpeg, width, height, exif_taken: None },
        }
    }
}

fn rendition(folder: &Path, seed: &str, width: u32, height: u32) -> Rendition {
    let bytes = bitmap(seed, width / 8, height / 8);
    let digest = Digest::of(&bytes);
    let path = folder.join(digest.short());
    if !path.exists() {
        benchlight::door::base::files::create_new(&path, &bytes).unwrap();
    }
    Rendition { width, height, bytes: bytes.len() as u64, digest, ending: "jpg", path }
}

/// A Windows bitmap, 24 bits a pixel: a lit wall over a bench, in colours that the seed chooses.
fn bitmap(seed: &str, width: u32, height: u32) -> Vec<u8> {
    let row = (width * 3).div_ceil(4) * 4;
    let size = 54 + row * height;
    let mut out = Vec::with_capacity(size as usize);
    out.extend(b"BM");
    for field in [size, 0, 54, 40, width, height] {
        out.extend(field.to_le_bytes());
    }
    out.extend([1, 0, 24, 0]);
    out.extend([0; 24]);
    let tint = seed.bytes().fold(7u32, |sum, b| sum.wrapping_mul(31).wrapping_add(u32::from(b)));
    for y in 0..height {
        for x in 0..width {
            let light =
                255 - (x.abs_diff(width / 2) * 90 / width.max(1)) - ((height - y) * 60 / height.max(1));
            let bench = y < height / 4;
            let part = |share: u32| (light * if bench { share / 2 } else { share } / 100) as u8;
            out.extend([part(40 + tint % 40), part(60 + tint / 64 % 35), part(70 + tint / 4096 % 30)]);
        }
        out.resize(out.len() + (row - width * 3) as usize, 0);
    }
    out
}
