//! Renditions beside `vipsthumbnail` at the same bytes: SSIMULACRA2 (higher is nearer) against a reduction of the whole
//! photo in floating point. The bench prints it, a test holds us to it.

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use libjpeg_turbo_rs::{Decoder, PixelFormat, ScalingFactor};
use ssimulacra2::{ColorPrimaries, LinearRgb, Rgb, TransferCharacteristic, compute_frame_ssimulacra2};
use std::path::Path;
use std::process::Command;

/// Longer and shorter side of the renditions of a photo of four by three.
pub const SIZES: [(u32, u32); 3] = [(1600, 1200), (960, 720), (480, 360)];

/// Means over photos for one size: our score, our bytes, and what `vipsthumbnail` scores at as many.
#[derive(Clone, Copy, Debug, Default)]
pub struct Beside {
    pub ours: f64,
    pub bytes: f64,
    pub theirs: f64,
}

/// Of each size. `qualities` are those of `vipsthumbnail` between which a straight line is drawn.
pub fn vipsthumbnail(photos: &[Vec<u8>], qualities: &[u8]) -> [Beside; 3] {
    let mut means = [Beside::default(); 3];
    for photo in photos {
        let renditions = renditions(photo);
        for ((mean, size), file) in means.iter_mut().zip(SIZES).zip(renditions) {
            let reference = reference(photo, false, size);
            let score = |file: &[u8]| score(&reference, &numbers(&decoded(file, 1)), size);
            let point = |file: Vec<u8>| (file.len() as f64, score(&file));
            let points: Vec<(f64, f64)> =
                qualities.iter().map(|quality| point(vips(photo, *quality, size.0))).collect();
            let count = photos.len() as f64;
            mean.ours += score(&file) / count;
            mean.bytes += file.len() as f64 / count;
            mean.theirs += between(&points, file.len() as f64) / count;
        }
    }
    means
}

/// The score at so many bytes, on the line through the two points that enclose it.
fn between(points: &[(f64, f64)], bytes: f64) -> f64 {
    let after = points.iter().position(|point| point.0 > bytes).unwrap_or(points.len() - 1).max(1);
    let ((b0, s0), (b1, s1)) = (points[after - 1], points[after]);
    assert!((b0..=b1).contains(&bytes), "{bytes} bytes are outside of {points:?}");
    s0 + (s1 - s0) * (bytes - b0) / (b1 - b0)
}

/// The renditions as the program makes them, the widest first.
fn renditions(photo: &[u8]) -> Vec<Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.jpg");
    benchlight::door::base::files::replace(&path, photo).unwrap();
    let digest = benchlight::door::photo::look(&path).unwrap().digest;
    let picture = benchlight::door::model::Picture { digest, path, file: String::new() };
    let (album, _) = benchlight::door::photo::develop(&[picture], folder.path(), &|_, _| ());
    album[&digest].sizes.iter().map(|size| std::fs::read(&size.path).unwrap()).collect()
}

pub fn decoded(file: &[u8], divisor: u32) -> (u32, u32, Vec<u8>) {
    let mut decoder = Decoder::new(file).unwrap();
    decoder.set_output_format(PixelFormat::Rgb);
    decoder.set_scale(ScalingFactor::try_new(1, divisor).unwrap());
    let image = decoder.decode_image().unwrap();
    (image.width as u32, image.height as u32, image.data)
}

pub fn resize(
    from: (u32, u32),
    bytes: &[u8],
    kind: PixelType,
    filter: FilterType,
    to: (u32, u32),
) -> Vec<u8> {
    let source = ImageRef::new(from.0, from.1, bytes, kind).unwrap();
    let mut target = Image::new(to.0, to.1, kind);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(filter));
    Resizer::new().resize(&source, &mut target, &options).unwrap();
    target.into_vec()
}

pub fn to_linear(value: f32) -> f32 {
    if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
}

pub fn from_linear(value: f32) -> f32 {
    let value = value.clamp(0.0, 1.0);
    if value <= 0.003_130_8 { value * 12.92 } else { 1.055 * value.powf(1.0 / 2.4) - 0.055 }
}

pub fn reference(photo: &[u8], linear: bool, size: (u32, u32)) -> Vec<f32> {
    let (width, height, pixels) = decoded(photo, 1);
    let light =
        |value: &u8| if linear { to_linear(f32::from(*value) / 255.0) } else { f32::from(*value) / 255.0 };
    let bytes: Vec<u8> = pixels.iter().flat_map(|v| light(v).to_ne_bytes()).collect();
    let small = resize((width, height), &bytes, PixelType::F32x3, FilterType::Lanczos3, size);
    let values = small.as_chunks::<4>().0.iter().map(|b| f32::from_ne_bytes(*b));
    values.map(|v| if linear { from_linear(v) } else { v.clamp(0.0, 1.0) }).collect()
}

/// The largest size first and a smaller one out of it, as the bench of speed has it.
fn vips(photo: &[u8], quality: u8, size: u32) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let (from, to) = (folder.path().join("a.jpg"), folder.path().join("b.jpg"));
    benchlight::door::base::files::replace(&from, photo).unwrap();
    let large = folder.path().join("large.jpg");
    let shrink = |from: &Path, to: &Path, size: u32, quality: u8| {
        let output = format!("{}[Q={quality},strip]", to.display());
        let run = Command::new("vipsthumbnail")
            .args(["--size", &size.to_string(), "-o", &output])
            .arg(from)
            .status();
        assert!(run.unwrap().success());
    };
    shrink(&from, &large, 1600, if size == 1600 { quality } else { 80 });
    if size == 1600 {
        return std::fs::read(large).unwrap();
    }
    shrink(&large, &to, size, quality);
    std::fs::read(to).unwrap()
}

pub fn numbers((_, _, pixels): &(u32, u32, Vec<u8>)) -> Vec<f32> {
    pixels.iter().map(|v| f32::from(*v) / 255.0).collect()
}

pub fn score(reference: &[f32], seen: &[f32], size: (u32, u32)) -> f64 {
    let picture = |values: &[f32]| -> LinearRgb {
        let pixels = values.as_chunks::<3>().0.to_vec();
        let (width, height) = (size.0 as usize, size.1 as usize);
        Rgb::new(pixels, width, height, TransferCharacteristic::SRGB, ColorPrimaries::BT709)
            .unwrap()
            .try_into()
            .unwrap()
    };
    compute_frame_ssimulacra2(picture(reference), picture(seen)).unwrap()
}
