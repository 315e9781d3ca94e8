//! What sealing 24 photos costs beside making them, in one process on the same files: the ratio is what counts.

use super::{RUNS, work_folder};
use benchlight::door::model::photo::Album;
use benchlight::door::model::{Body, DraftSite, Owner, PageKey, Picture, SiteFile};
use benchlight::door::{photo, seal};
use rayon::prelude::*;
use std::path::PathBuf;
use std::time::Instant;

/// What sealing may cost.
const MOST: f64 = 0.05;

pub fn beside_making(photos: &[PathBuf]) {
    let (cache, sealed) = (work_folder().join("seal-cache"), work_folder().join("seal-store"));
    println!(
        "{} photos\n\n| run | made in s | sealed in s | known again in s | ratio |\n|---|---|---|---|---|",
        photos.len()
    );
    let mut worst: f64 = 0.0;
    for run in 1..=RUNS {
        let _ = std::fs::remove_dir_all(&cache);
        let _ = std::fs::remove_dir_all(&sealed);
        let begun = Instant::now();
        let looks = photo::Looks::open(&cache);
        let look = |path: &PathBuf| {
            let file = path.display().to_string();
            Picture { digest: looks.look(path).unwrap().digest, path: path.clone(), file }
        };
        let pictures: Vec<Picture> = photos.par_iter().map(look).collect();
        let (album, faults) = photo::develop(&pictures, &cache, &|_, _| ());
        assert!(faults.is_empty(), "{faults:?}");
        let made = begun.elapsed().as_secs_f64();
        let mut times = [0.0; 2];
        let mut bytes = 0;
        for time in &mut times {
            let draft = site(&album);
            let begun = Instant::now();
            let mut store = seal::Store::open(&sealed);
            let site = seal::site(draft, &store).unwrap();
            store.end_pass();
            *time = begun.elapsed().as_secs_f64();
            bytes = site.files.values().map(|file| file.body.length()).sum();
        }
        let ratio = times[0] / made;
        worst = worst.max(ratio);
        println!("| {run} | {made:.3} | {:.4} | {:.4} | {ratio:.4} |", times[0], times[1]);
        if run == RUNS {
            let open: u64 = album.values().flat_map(|one| &one.sizes).map(|size| size.bytes).sum();
            println!("\nbytes: {open} open, {bytes} sealed, {:.3} times as many", bytes as f64 / open as f64);
        }
    }
    let held = if worst <= MOST { "held" } else { "NOT held" };
    println!("worst ratio {worst:.4}, at most {MOST}: {held}");
}

/// One private folder with all renditions, to be sealed.
fn site(album: &Album) -> DraftSite {
    let mut site = DraftSite::default();
    for size in album.values().flat_map(|one| &one.sizes) {
        let body = Body::Cached { path: size.path.clone(), digest: size.digest, bytes: size.bytes };
        site.files.insert(format!("see/x/{}.jpg", size.digest.short()), SiteFile::new(body, Owner::Shop));
    }
    site.to_seal.insert("see/x/".to_owned(), PageKey::new("0123456789abcdefghjkmnpqrs".to_owned()));
    site
}
