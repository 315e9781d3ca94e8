//! What filter, light, quality and coding cost and give: SSIMULACRA2 (higher is nearer; 90 is taken for
//! indistinguishable, 70 for good) against two reference reductions in floating point from the whole photo, one
//! in the numbers as they are and one in linear light.

use super::beside::{
    self, Beside, decoded, from_linear, numbers, reference, resize, score, to_linear, vipsthumbnail,
};
use fast_image_resize::{FilterType, PixelType};
use libjpeg_turbo_rs::{Encoder, PixelFormat, Subsampling};
use std::path::PathBuf;
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
    println!(
        "\n| longer side | ours: SSIMULACRA2, kB | vipsthumbnail at the same bytes | ahead by |\n|---|---|---|---|"
    );
    let beside = vipsthumbnail(&photos, &[68, 72, 76, 78, 80, 82, 84, 88]);
    for ((size, _), Beside { ours, bytes, theirs }) in beside::SIZES.into_iter().zip(beside) {
        println!("| {size} | {ours:.2}, {:.0} | {theirs:.2} | {:+.2} |", bytes / 1e3, ours - theirs);
    }
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
