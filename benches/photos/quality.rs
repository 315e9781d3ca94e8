//! What filter, light, quality and coding cost and give: SSIMULACRA2 (higher is nearer; 90 is taken for
//! indistinguishable, 70 for good) against two reference reductions in floating point from the whole photo, one
//! in the numbers as they are and one in linear light.

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use libjpeg_turbo_rs::{Decoder, Encoder, PixelFormat, ScalingFactor, Subsampling};
use ssimulacra2::{ColorPrimaries, LinearRgb, Rgb, TransferCharacteristic, compute_frame_ssimulacra2};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

const SIZE: (u32, u32) = (1600, 1200);

struct Way {
    name: &'static str,
    divisor: u32,
    filter: FilterType,
    linear: bool,
    quality: u8,
    optimized: bool,
    progressive: bool,
    subsampling: Subsampling,
}

const USUAL: Way = Way {
    name: "half-size decode, Lanczos3, 8 bit, q80, own tables",
    divisor: 2,
    filter: FilterType::Lanczos3,
    linear: false,
    quality: 80,
    optimized: true,
    progressive: false,
    subsampling: Subsampling::S420,
};

fn ways() -> Vec<Way> {
    vec![
        Way { ..USUAL },
        Way { name: "the same, CatmullRom", filter: FilterType::CatmullRom, ..USUAL },
        Way { name: "the same, Mitchell", filter: FilterType::Mitchell, ..USUAL },
        Way { name: "the same, Hamming", filter: FilterType::Hamming, ..USUAL },
        Way { name: "whole decode, Lanczos3", divisor: 1, ..USUAL },
        Way { name: "half-size decode, linear light (16 bit)", linear: true, ..USUAL },
        Way { name: "whole decode, linear light (16 bit)", divisor: 1, linear: true, ..USUAL },
        Way { name: "usual, q76", quality: 76, ..USUAL },
        Way { name: "usual, q84", quality: 84, ..USUAL },
        Way { name: "usual, standard tables", optimized: false, ..USUAL },
        Way { name: "usual, progressive", progressive: true, ..USUAL },
        Way { name: "usual, whole chroma", subsampling: Subsampling::S444, ..USUAL },
    ]
}

/// Prints the table, as means over the first upright photos.
pub fn compare(photos: &[PathBuf]) {
    let photos = [0usize, 2, 6, 8].map(|at| std::fs::read(&photos[at]).unwrap());
    let references: Vec<[Vec<f32>; 2]> =
        photos.iter().map(|p| [reference(p, false, SIZE), reference(p, true, SIZE)]).collect();
    println!(
        "| how | SSIMULACRA2 as-is | in linear light | kB | reduce ms | encode ms |\n|---|---|---|---|---|---|"
    );
    for way in ways() {
        let mut sums = [0.0; 5];
        for (photo, reference) in photos.iter().zip(&references) {
            let begun = Instant::now();
            let pixels = reduced(photo, &way);
            sums[3] += begun.elapsed().as_secs_f64() * 1e3;
            let begun = Instant::now();
            let file = encoded(&pixels, &way);
            sums[4] += begun.elapsed().as_secs_f64() * 1e3;
            scored(&file, reference, &mut sums);
        }
        row(way.name, sums, photos.len());
    }
    beside_vips(&photos);
}

/// Each rendition that the program makes, beside what `vipsthumbnail` would score at the same bytes: its qualities
/// around ours, and a straight line between the two that enclose our bytes.
fn beside_vips(photos: &[Vec<u8>]) {
    println!(
        "\n| longer side | ours: SSIMULACRA2, kB | vipsthumbnail at the same bytes | ahead by |\n|---|---|---|---|"
    );
    for (place, size) in [(1600, 1200), (960, 720), (480, 360)].into_iter().enumerate() {
        let (mut ours, mut bytes, mut theirs) = (0.0, 0.0, 0.0);
        for photo in photos {
            let reference = reference(photo, false, size);
            let score = |file: &[u8]| score(&reference, &numbers(&decoded(file, 1)), size);
            let file = rendition(photo, place);
            let points: Vec<(f64, f64)> = [72, 76, 78, 80, 82, 84, 88]
                .iter()
                .map(|quality| vips(photo, *quality, size.0))
                .map(|file| (file.len() as f64, score(&file)))
                .collect();
            let length = file.len() as f64;
            let after = points.iter().position(|(bytes, _)| *bytes > length).unwrap_or(1).max(1);
            let ((b0, s0), (b1, s1)) = (points[after - 1], points[after]);
            ours += score(&file);
            bytes += length / 1e3;
            theirs += s0 + (s1 - s0) * (length - b0) / (b1 - b0);
        }
        let [ours, bytes, theirs] = [ours, bytes, theirs].map(|sum| sum / photos.len() as f64);
        println!("| {} | {ours:.2}, {bytes:.0} | {theirs:.2} | {:+.2} |", size.0, ours - theirs);
    }
}

/// A rendition as the program makes it, the widest first.
fn rendition(photo: &[u8], place: usize) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.jpg");
    benchlight::base::files::replace(&path, photo).unwrap();
    let digest = benchlight::photo::look(&path).unwrap().digest;
    let picture = benchlight::model::Picture { digest, path, file: String::new() };
    let (album, _) = benchlight::photo::develop(&[picture], folder.path(), &|_, _| ());
    std::fs::read(&album[&digest].sizes[place].path).unwrap()
}

fn scored(file: &[u8], reference: &[Vec<f32>; 2], sums: &mut [f64; 5]) {
    let seen = numbers(&decoded(file, 1));
    sums[0] += score(&reference[0], &seen, SIZE);
    sums[1] += score(&reference[1], &seen, SIZE);
    sums[2] += file.len() as f64 / 1e3;
}

fn row(name: &str, sums: [f64; 5], count: usize) {
    let [as_is, linear, kilobytes, reduce, encode] = sums.map(|sum| sum / count as f64);
    println!("| {name} | {as_is:.2} | {linear:.2} | {kilobytes:.0} | {reduce:.0} | {encode:.0} |");
}

fn decoded(file: &[u8], divisor: u32) -> (u32, u32, Vec<u8>) {
    let mut decoder = Decoder::new(file).unwrap();
    decoder.set_output_format(PixelFormat::Rgb);
    decoder.set_scale(ScalingFactor::try_new(1, divisor).unwrap());
    let image = decoder.decode_image().unwrap();
    (image.width as u32, image.height as u32, image.data)
}

fn resize(from: (u32, u32), bytes: &[u8], kind: PixelType, filter: FilterType, to: (u32, u32)) -> Vec<u8> {
    let source = ImageRef::new(from.0, from.1, bytes, kind).unwrap();
    let mut target = Image::new(to.0, to.1, kind);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(filter));
    Resizer::new().resize(&source, &mut target, &options).unwrap();
    target.into_vec()
}

fn to_linear(value: f32) -> f32 {
    if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
}

fn from_linear(value: f32) -> f32 {
    let value = value.clamp(0.0, 1.0);
    if value <= 0.003_130_8 { value * 12.92 } else { 1.055 * value.powf(1.0 / 2.4) - 0.055 }
}

fn reference(photo: &[u8], linear: bool, size: (u32, u32)) -> Vec<f32> {
    let (width, height, pixels) = decoded(photo, 1);
    let light =
        |value: &u8| if linear { to_linear(f32::from(*value) / 255.0) } else { f32::from(*value) / 255.0 };
    let bytes: Vec<u8> = pixels.iter().flat_map(|v| light(v).to_ne_bytes()).collect();
    let small = resize((width, height), &bytes, PixelType::F32x3, FilterType::Lanczos3, size);
    let values = small.as_chunks::<4>().0.iter().map(|b| f32::from_ne_bytes(*b));
    values.map(|v| if linear { from_linear(v) } else { v.clamp(0.0, 1.0) }).collect()
}

fn reduced(photo: &[u8], way: &Way) -> Vec<u8> {
    let (width, height, pixels) = decoded(photo, way.divisor);
    if !way.linear {
        return resize((width, height), &pixels, PixelType::U8x3, way.filter, SIZE);
    }
    let table: Vec<u16> =
        (0..=255u8).map(|v| (to_linear(f32::from(v) / 255.0) * 65_535.0).round() as u16).collect();
    let back: Vec<u8> =
        (0..=65_535u32).map(|v| (from_linear(v as f32 / 65_535.0) * 255.0).round() as u8).collect();
    let bytes: Vec<u8> = pixels.iter().flat_map(|v| table[usize::from(*v)].to_ne_bytes()).collect();
    let small = resize((width, height), &bytes, PixelType::U16x3, way.filter, SIZE);
    small.as_chunks::<2>().0.iter().map(|b| back[usize::from(u16::from_ne_bytes(*b))]).collect()
}

fn encoded(pixels: &[u8], way: &Way) -> Vec<u8> {
    Encoder::new(pixels, SIZE.0 as usize, SIZE.1 as usize, PixelFormat::Rgb)
        .quality(way.quality)
        .subsampling(way.subsampling)
        .optimize_huffman(way.optimized)
        .progressive(way.progressive)
        .encode()
        .unwrap()
}

/// The largest size first and a smaller one out of it, as the bench of speed has it.
fn vips(photo: &[u8], quality: u8, size: u32) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let (from, to) = (folder.path().join("a.jpg"), folder.path().join("b.jpg"));
    benchlight::base::files::replace(&from, photo).unwrap();
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

fn numbers((_, _, pixels): &(u32, u32, Vec<u8>)) -> Vec<f32> {
    pixels.iter().map(|v| f32::from(*v) / 255.0).collect()
}

fn score(reference: &[f32], seen: &[f32], size: (u32, u32)) -> f64 {
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
