//! Photos to measure with: drawn from noise like a phone's pictures of a bench, the same bytes each time.
//!
//! What makes a photo slow to decode and hard to keep is its detail: hair and feather grain, hard edges, the
//! sensor's noise. About 4 MB each, as phones write them; some turned, two progressive, two in Display P3.

use benchlight::door::base::files;
use libjpeg_turbo_rs::{Encoder, PixelFormat, Subsampling};
use rayon::prelude::*;
use std::path::Path;

pub const WIDE: usize = 4032;
pub const HIGH: usize = 3024;
const COUNT: u32 = 24;

/// Makes those photos that are not there yet.
pub fn make_all(folder: &Path) {
    std::fs::create_dir_all(folder).unwrap();
    (0..COUNT).into_par_iter().for_each(|number| {
        let path = folder.join(format!("IMG_20260502_{number:06}.jpg"));
        if !path.exists() {
            files::replace(&path, &file(number)).unwrap();
        }
    });
}

/// One of the photos, by its number.
pub fn file(number: u32) -> Vec<u8> {
    let pixels = drawn(number);
    let orientation = [1, 6, 1, 3, 8, 6][number as usize % 6];
    let exif = exif(orientation);
    let p3 = moxcms::ColorProfile::new_display_p3().encode().unwrap();
    let mut encoder = Encoder::new(&pixels, WIDE, HIGH, PixelFormat::Rgb)
        .quality(92)
        .subsampling(Subsampling::S420)
        .progressive(number % 12 == 7)
        .exif_data(&exif);
    if number % 12 == 3 {
        encoder = encoder.icc_profile(&p3);
    }
    encoder.encode().unwrap()
}

/// A TIFF with an orientation and a place.
fn exif(orientation: u16) -> Vec<u8> {
    let mut tiff = b"II*\0\x08\0\0\0\x02\0".to_vec();
    tiff.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0]);
    tiff.extend(orientation.to_le_bytes());
    tiff.extend([0, 0, 0x25, 0x88, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0, 0, 0, 0, 0]);
    tiff.extend([1, 0, 1, 0, 2, 0, 2, 0, 0, 0, b'N', 0, 0, 0, 0, 0, 0, 0]);
    tiff
}

/// A number between 0 and 65535 for each place, without order.
fn grain(x: u32, y: u32, seed: u32) -> i32 {
    let mut n = x.wrapping_mul(0x9E37_79B1) ^ y.wrapping_mul(0x85EB_CA77) ^ seed.wrapping_mul(0xC2B2_AE3D);
    n = (n ^ (n >> 15)).wrapping_mul(0x2C1B_3C6D);
    n = (n ^ (n >> 12)).wrapping_mul(0x297A_2D39);
    ((n ^ (n >> 15)) & 0xFFFF) as i32
}

/// Smooth noise with features of `size` pixels, 0 to 65535.
fn smooth(x: u32, y: u32, size: u32, seed: u32) -> i32 {
    let (cx, cy, fx, fy) = (x / size, y / size, (x % size) as i64, (y % size) as i64);
    let size = i64::from(size);
    let at = |dx: u32, dy: u32| i64::from(grain(cx + dx, cy + dy, seed));
    let top = at(0, 0) * (size - fx) + at(1, 0) * fx;
    let low = at(0, 1) * (size - fx) + at(1, 1) * fx;
    ((top * (size - fy) + low * fy) / (size * size)) as i32
}

fn drawn(number: u32) -> Vec<u8> {
    let row = |y: u32| -> Vec<u8> { (0..WIDE as u32).flat_map(|x| pixel(x, y, number)).collect() };
    (0..HIGH as u32).flat_map(row).collect()
}

fn pixel(x: u32, y: u32, seed: u32) -> [u8; 3] {
    // Light over the wall and the bench, then a piece of hide or plumage with grain along a bent direction.
    let light =
        smooth(x, y, 1700, seed) / 3 + smooth(x, y, 530, seed + 1) / 6 + smooth(x, y, 120, seed + 2) / 12;
    let form = smooth(x, y, 700, seed + 3) + smooth(x, y, 160, seed + 4) / 3;
    let bend = (smooth(x, y, 900, seed + 5) / 400) as u32;
    let hair = smooth(x + bend * 3, (y + bend * 2) / 7, 3, seed + 6) - 32_768;
    let barb = smooth((x + y) / 2 + bend, (x + 4032 - y) / 5, 5, seed + 7) - 32_768;
    let noise = (grain(x, y, seed + 8) - 32_768) / 17;
    let (base, texture, warm) = match form {
        0..30_000 => (light, hair / 90, 20),
        30_000..42_000 => (light + 9_000, (hair + barb) / 7, 60),
        42_000..60_000 => (light / 2 + 4_000, barb / 6 + hair / 20, 40),
        _ => (light + 20_000, hair / 60, 10),
    };
    let level = (base + texture + noise) / 180;
    let stripe = i32::from((x / 3 + y / 97) % 211 < 3) * 60;
    let channel = |tint: i32| (level + tint - stripe).clamp(0, 255) as u8;
    let tone = smooth(x, y, 333, seed + 9) / 2200;
    [channel(warm + tone), channel(10), channel(-warm / 2 - tone / 2)]
}
