//! What filter, light, quality and coding cost and give: SSIMULACRA2 (higher is nearer; 90 is taken for
//! indistinguishable, 70 for good) against two reference reductions in floating point from the whole photo, one
//! in the numbers as they are and one in linear light.

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use libjpeg_turbo_rs::{Decoder, Encoder, PixelFormat, ScalingFactor, Subsampling};
use ssimulacra2::{ColorPrimaries, LinearRgb, Rgb, TransferCharacteristic, compute_frame_ssimulacra2};
use std::path::PathBuf;
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
        photos.iter().map(|p| [reference(p, false), reference(p, true)]).collect();
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
    for quality in [78, 80, 82] {
        let mut sums = [0.0; 5];
        for (photo, reference) in photos.iter().zip(&references) {
            scored(&vips(photo, quality), reference, &mut sums);
        }
        row(&format!("vipsthumbnail, Q={quality}"), sums, photos.len());
    }
}

fn scored(file: &[u8], reference: &[Vec<f32>; 2], sums: &mut [f64; 5]) {
    let seen = numbers(&decoded(file, 1));
    sums[0] += score(&reference[0], &seen);
    sums[1] += score(&reference[1], &seen);
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

fn resize(from: (u32, u32), bytes: &[u8], kind: PixelType, filter: FilterType) -> Vec<u8> {
    let source = ImageRef::new(from.0, from.1, bytes, kind).unwrap();
    let mut target = Image::new(SIZE.0, SIZE.1, kind);
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

fn reference(photo: &[u8], linear: bool) -> Vec<f32> {
    let (width, height, pixels) = decoded(photo, 1);
    let light =
        |value: &u8| if linear { to_linear(f32::from(*value) / 255.0) } else { f32::from(*value) / 255.0 };
    let bytes: Vec<u8> = pixels.iter().flat_map(|v| light(v).to_ne_bytes()).collect();
    let small = resize((width, height), &bytes, PixelType::F32x3, FilterType::Lanczos3);
    let values = small.as_chunks::<4>().0.iter().map(|b| f32::from_ne_bytes(*b));
    values.map(|v| if linear { from_linear(v) } else { v.clamp(0.0, 1.0) }).collect()
}

fn reduced(photo: &[u8], way: &Way) -> Vec<u8> {
    let (width, height, pixels) = decoded(photo, way.divisor);
    if !way.linear {
        return resize((width, height), &pixels, PixelType::U8x3, way.filter);
    }
    let table: Vec<u16> =
        (0..=255u8).map(|v| (to_linear(f32::from(v) / 255.0) * 65_535.0).round() as u16).collect();
    let back: Vec<u8> =
        (0..=65_535u32).map(|v| (from_linear(v as f32 / 65_535.0) * 255.0).round() as u8).collect();
    let bytes: Vec<u8> = pixels.iter().flat_map(|v| table[usize::from(*v)].to_ne_bytes()).collect();
    let small = resize((width, height), &bytes, PixelType::U16x3, way.filter);
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

fn vips(photo: &[u8], quality: u8) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let (from, to) = (folder.path().join("a.jpg"), folder.path().join("b.jpg"));
    benchlight::base::files::replace(&from, photo).unwrap();
    let output = format!("{}[Q={quality},strip]", to.display());
    let run = Command::new("vipsthumbnail").args(["--size", "1600", "-o", &output]).arg(&from).status();
    assert!(run.unwrap().success());
    std::fs::read(to).unwrap()
}

fn numbers((_, _, pixels): &(u32, u32, Vec<u8>)) -> Vec<f32> {
    pixels.iter().map(|v| f32::from(*v) / 255.0).collect()
}

fn score(reference: &[f32], seen: &[f32]) -> f64 {
    let picture = |values: &[f32]| -> LinearRgb {
        let pixels = values.as_chunks::<3>().0.to_vec();
        let (width, height) = (SIZE.0 as usize, SIZE.1 as usize);
        Rgb::new(pixels, width, height, TransferCharacteristic::SRGB, ColorPrimaries::BT709)
            .unwrap()
            .try_into()
            .unwrap()
    };
    compute_frame_ssimulacra2(picture(reference), picture(seen)).unwrap()
}
