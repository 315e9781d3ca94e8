//! How long photos take, beside `vipsthumbnail` at its best in the same run.
//!
//! `cargo bench --bench photos` times, `cargo bench --bench photos -- quality` measures what filter, light and
//! quality cost and give, `seal` what sealing costs beside making, and `hostile` breaks files. Other work on the machine shows in the times: each is the best of several runs, with
//! all of them beside it.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::disallowed_macros
)] // A bench fails and prints as a test does.

mod beside;
mod hostile;
mod quality;
mod sample;
mod seal;

use benchlight::door::model::Picture;
use benchlight::door::photo;
use rayon::prelude::*;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

/// How often each way is timed, in turn with the others.
const RUNS: usize = 3;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let after = |word: &str| arguments.iter().position(|a| a == word).and_then(|at| arguments.get(at + 1));
    if let Some(folder) = after("--develop") {
        develop(Path::new(folder));
    } else if let Some(folder) = after("--develop-apart") {
        // As the program does it: in helpers.
        photo::apart::begin(PathBuf::from(env!("CARGO_BIN_EXE_benchlight")));
        develop(Path::new(folder));
    } else if let Some(seconds) = after("hostile") {
        let folder = after(seconds).unwrap_or_else(|| panic!("hostile SECONDS FOLDER"));
        hostile::try_all(seconds.parse().unwrap(), Path::new(folder));
    } else if arguments.iter().any(|a| a == "quality") {
        quality::compare(&samples());
    } else if arguments.iter().any(|a| a == "seal") {
        seal::beside_making(&samples());
    } else {
        time_all(&samples());
    }
}

/// The photos of the bench, made once and kept under `target/`.
fn samples() -> Vec<PathBuf> {
    let folder = work_folder().join("photos");
    sample::make_all(&folder);
    let mut files: Vec<PathBuf> = std::fs::read_dir(&folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    files
}

fn work_folder() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join("photo-bench")
}

/// What the program does with photos in a pass, in a process of its own: look, then develop.
fn develop(folder: &Path) {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    let cache = work_folder().join("cache");
    let looks = photo::Looks::open(&cache);
    let begun = Instant::now();
    let look = |path: &PathBuf| {
        let file = path.display().to_string();
        Picture { digest: looks.look(path).unwrap().digest, path: path.clone(), file }
    };
    let pictures: Vec<Picture> = files.par_iter().map(look).collect();
    looks.keep().unwrap();
    let looked = begun.elapsed();
    let (album, faults) = photo::develop(&pictures, &cache, &|_, _| ());
    assert!(faults.is_empty(), "{faults:?}");
    let bytes = |size: usize| -> u64 { album.values().filter_map(|r| Some(r.sizes.get(size)?.bytes)).sum() };
    println!("{} {} {} {} {}", looked.as_micros(), peak_memory(), bytes(0), bytes(1), bytes(2));
}

/// The most memory that this process ever held, in kilobytes (proc(5), `VmHWM`).
fn peak_memory() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap_or_default();
    line.split_whitespace().nth(1).and_then(|word| word.parse().ok()).unwrap_or(0)
}

/// User and system time of all children that have ended, in seconds (proc(5), fields 16 and 17 of `stat`).
fn children_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields: Vec<&str> = stat.rsplit(')').next().unwrap_or_default().split_whitespace().collect();
    let ticks = |field: usize| fields.get(field).and_then(|f| f.parse::<f64>().ok()).unwrap_or(0.0);
    (ticks(13) + ticks(14)) / 100.0
}

#[derive(Default)]
struct Times {
    wall: Vec<Duration>,
    cpu: Vec<f64>,
    told: String,
}

impl Times {
    fn best(&self) -> f64 {
        self.wall.iter().min().map_or(f64::NAN, Duration::as_secs_f64)
    }

    fn row(&self, name: &str, beside: f64) -> String {
        let all: Vec<String> = self.wall.iter().map(|t| format!("{:.2}", t.as_secs_f64())).collect();
        let cpu = self.cpu.iter().copied().fold(f64::INFINITY, f64::min);
        format!(
            "| {name} | {:.3} | {} | {cpu:.2} | {:.4} |",
            self.best(),
            all.join(" "),
            self.best() / beside
        )
    }
}

fn timed(times: &mut Times, run: impl FnOnce() -> String) {
    let cpu = children_seconds();
    let begun = Instant::now();
    times.told = run();
    times.wall.push(begun.elapsed());
    times.cpu.push(children_seconds() - cpu);
}

fn time_all(photos: &[PathBuf]) {
    let total: u64 = photos.iter().map(|p| p.metadata().unwrap().len()).sum();
    println!("{} photos of 4032 x 3024, {:.1} MB", photos.len(), total as f64 / 1e6);
    let folder = photos[0].parent().unwrap();
    let (mut ours, mut within, mut cached, mut alone, mut pairs) =
        (Times::default(), Times::default(), Times::default(), Times::default(), Times::default());
    for _ in 0..RUNS {
        timed(&mut alone, || vips(photos, "1"));
        timed(&mut pairs, || vips(photos, "2"));
        let _ = std::fs::remove_dir_all(work_folder().join("cache"));
        timed(&mut within, || in_own_process("--develop", folder));
        let _ = std::fs::remove_dir_all(work_folder().join("cache"));
        timed(&mut ours, || in_own_process("--develop-apart", folder));
        std::thread::sleep(Duration::from_millis(3100)); // so that looks count as settled
        in_own_process("--develop-apart", folder);
        timed(&mut cached, || in_own_process("--develop-apart", folder));
    }
    let theirs = alone.best().min(pairs.best());
    println!("\n| how | best wall s | all runs | cpu s | x vipsthumbnail |\n|---|---|---|---|---|");
    println!("{}", alone.row("vipsthumbnail, two processes of one thread", theirs));
    println!("{}", pairs.row("vipsthumbnail, two processes of two threads", theirs));
    println!("{}", ours.row("develop, nothing cached", theirs));
    println!("{}", within.row("the same without helpers", theirs));
    println!("{}", cached.row("develop, all cached", theirs));
    let field = |told: &str, at: usize| told.split(' ').nth(at).unwrap_or_default().trim().to_owned();
    let megabytes = |text: String| text.parse::<f64>().unwrap_or(f64::NAN) / 1e6;
    println!("\nwith helpers beside without: {:.3}", ours.best() / within.best());
    println!(
        "peak memory without helpers: {} kB cold, with them and all cached {} kB",
        field(&within.told, 1),
        field(&cached.told, 1)
    );
    println!("looking at all files: {} us cold, {} us known", field(&ours.told, 0), field(&cached.told, 0));
    for (at, size) in [(2, 1600), (3, 960), (4, 480)] {
        let theirs = folder_bytes(&work_folder().join("vips"), &format!("-{size}.jpg"));
        println!(
            "bytes at {size}: ours {:.2} MB, theirs {:.2} MB",
            megabytes(field(&ours.told, at)),
            theirs / 1e6
        );
    }
}

fn in_own_process(how: &str, folder: &Path) -> String {
    let output = Command::new(std::env::current_exe().unwrap()).arg(how).arg(folder).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// The largest size first and each smaller one out of it, half the photos in each of two processes.
fn vips(photos: &[PathBuf], threads: &str) -> String {
    let out = work_folder().join("vips");
    let _ = std::fs::remove_dir_all(&out);
    std::fs::create_dir_all(&out).unwrap();
    let halves = photos.chunks(photos.len().div_ceil(2));
    let running: Vec<_> = halves
        .map(|half| {
            let script = vips_script(half, &out);
            Command::new("sh").args(["-c", &script]).env("VIPS_CONCURRENCY", threads).spawn().unwrap()
        })
        .collect();
    for mut child in running {
        assert!(child.wait().unwrap().success(), "vipsthumbnail failed; it is in Debian's libvips-tools");
    }
    String::new()
}

fn vips_script(photos: &[PathBuf], out: &Path) -> String {
    let quoted = |paths: &mut dyn Iterator<Item = PathBuf>| -> String {
        paths.map(|p| format!(" '{}'", p.display())).collect()
    };
    let step = |size: u32, from: String| {
        let to = out.join(format!("%s-{size}.jpg[Q=80,strip]"));
        format!("vipsthumbnail --size {size} --export-profile srgb -o '{}'{from}", to.display())
    };
    let stem = |p: &PathBuf| p.file_stem().unwrap().to_string_lossy().into_owned();
    let mut steps = vec![step(1600, quoted(&mut photos.iter().cloned()))];
    for size in [960, 480, 24] {
        steps.push(step(size, quoted(&mut photos.iter().map(|p| out.join(format!("{}-1600.jpg", stem(p)))))));
    }
    steps.join(" && ")
}

fn folder_bytes(folder: &Path, ending: &str) -> f64 {
    let files = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap());
    let ours = files.filter(|e| e.file_name().to_string_lossy().ends_with(ending));
    ours.map(|e| e.metadata().unwrap().len() as f64).sum()
}
