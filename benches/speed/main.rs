//! How long a pass takes on shops of many jobs, each time beside a floor in the same run.
//!
//! `cargo bench --bench speed` for 5,000 jobs; `-- 5000 50000` for both sizes and how they grow; `-- lay-out FOLDER JOBS`
//! only lays a shop out; `-- saves JOBS TIMES note|step` only saves in a running watch, for a profiler. Other work on the machine shows in the times: each is the best of several, taken in turn.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a report"
)]

mod floor;
mod many;

use benchlight::door::command::pass::{Memory, PassMode};
use benchlight::door::command::publish::{self, Callbacks};
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 5;
const PHOTO: &[u8] = include_bytes!("../../tests/fixtures/plain.jpg");

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    match args.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["lay-out", folder, jobs] => many::lay_out(Path::new(folder), jobs.parse().unwrap(), PHOTO),
        ["--make", folder] => {
            publish(Path::new(folder), &mut Memory::default());
            println!("{}", peak_memory());
        }
        ["saves", jobs, times, what] => saves(jobs.parse().unwrap(), times.parse().unwrap(), what),
        sizes => {
            let sizes: Vec<usize> = sizes.iter().map(|n| n.parse().unwrap()).collect();
            let sizes = if sizes.is_empty() { vec![5_000] } else { sizes };
            let all: Vec<Times> = sizes.iter().map(|jobs| time_all(*jobs)).collect();
            sizes.iter().zip(&all).for_each(|(jobs, times)| times.print(*jobs));
            if let [small, .., large] = all.as_slice() {
                println!("\nThe largest beside the smallest:");
                large.print_growth(small);
            }
        }
    }
}

/// What was done, how long it took, and its floor with how many times that is the goal.
type Row = (&'static str, Duration, Option<(Duration, f64)>);

/// The best of several runs of each.
struct Times {
    status: Duration,
    note: Duration,
    step: Duration,
    rush: Duration,
    idle: Duration,
    full: Duration,
    floor: Duration,
    /// Of a full make, in kilobytes.
    memory: u64,
}

impl Times {
    fn rows(&self) -> [Row; 7] {
        [
            ("git status (floor)", self.status, None),
            ("save of a note, in a running watch", self.note, Some((self.status, 1.0))),
            ("save of a step reached, in a running watch", self.step, Some((self.status, 1.0))),
            ("save of a piece put before others, in a running watch", self.rush, Some((self.status, 1.0))),
            ("make, nothing changed", self.idle, Some((self.status, 2.0))),
            ("parse, Tera, minify, write (floor)", self.floor, None),
            ("full make, photos cached", self.full, Some((self.floor, 2.0))),
        ]
    }

    fn print(&self, jobs: usize) {
        println!("\n{jobs} jobs, best of {RUNS}:\n| what | ms | x floor | goal |\n|---|---|---|---|");
        for (what, time, floor) in self.rows() {
            let beside = floor.map_or("| | |".to_owned(), |(floor, goal)| {
                format!("| {:.2} | {goal} |", time.as_secs_f64() / floor.as_secs_f64())
            });
            println!("| {what} | {:.1} {beside}", time.as_secs_f64() * 1e3);
        }
        println!("Peak memory of a full make: {:.0} MB (goal at 5,000 jobs: 200)", self.memory as f64 / 1e3);
    }

    fn print_growth(&self, small: &Times) {
        for ((what, large, _), (_, small, _)) in self.rows().iter().zip(small.rows()) {
            println!("| {what} | x {:.1} |", large.as_secs_f64() / small.as_secs_f64());
        }
    }
}

/// A job's text with the first step of its route reached on the day of the shop.
fn with_step(text: &str) -> String {
    let step = many::first_step(text);
    assert!(!text.contains(&format!("{step} = ")), "the job is too far on for this");
    text.replace("[reached]\n", &format!("[reached]\n{step} = {}\n", many::today()))
}

/// So many saves in a running watch, of a note or of a step reached and taken out again.
fn saves(jobs: usize, times: usize, what: &str) {
    let shop = laid_out(jobs);
    let job = shop.join("content/jobs").join(many::folder_name(jobs - 7, jobs)).join("job.toml");
    let text = fs::read_to_string(&job).unwrap();
    let mut memory = Memory::default();
    for _ in 0..2 {
        publish(&shop, &mut memory);
        std::thread::sleep(Duration::from_millis(3_100));
    }
    for run in 0..times {
        let saved = match what {
            "step" if run % 2 == 0 => with_step(&text),
            "step" => text.clone(),
            _ => text.replace("A scar", &format!("A scar ({run})")),
        };
        put(&job, saved.as_bytes());
        println!("{:?}", timed(|| publish(&shop, &mut memory)));
    }
    put(&job, text.as_bytes());
}

fn time_all(jobs: usize) -> Times {
    let shop = laid_out(jobs);
    let job = shop.join("content/jobs").join(many::folder_name(jobs - 7, jobs)).join("job.toml");
    let text = fs::read_to_string(&job).unwrap();
    let mut memory = Memory::default();
    publish(&shop, &mut memory);
    std::thread::sleep(Duration::from_millis(3_100)); // so that files count as settled
    publish(&shop, &mut memory);
    let mut best = [Duration::MAX; 7];
    let mut peak = 0;
    for run in 0..RUNS {
        let mut take = |at: usize, time: Duration| best[at] = best[at].min(time);
        take(0, timed(|| run_quietly(Command::new("git").arg("-C").arg(&shop).args(["status", "--short"]))));
        put(&job, text.replace("A scar", &format!("A scar ({run})")).as_bytes());
        take(1, timed(|| publish(&shop, &mut memory)));
        put(&job, with_step(&text).as_bytes());
        take(2, timed(|| publish(&shop, &mut memory)));
        put(&job, text.replace("[reached]\n", "rush = true\n\n[reached]\n").as_bytes());
        take(3, timed(|| publish(&shop, &mut memory)));
        put(&job, text.as_bytes());
        publish(&shop, &mut memory);
        std::thread::sleep(Duration::from_millis(3_100));
        make(&shop);
        std::thread::sleep(Duration::from_millis(3_100));
        make(&shop);
        take(4, timed(|| make(&shop)));
        let pages = floor::pages(&shop.join("public"));
        take(5, timed(|| floor::bare(&shop, &pages, &shop.join("bare"))));
        forget_all_but_photos(&shop);
        let begun = Instant::now();
        let told = Command::new(std::env::current_exe().unwrap()).arg("--make").arg(&shop).output().unwrap();
        take(6, begun.elapsed());
        peak = peak.max(String::from_utf8_lossy(&told.stdout).trim().parse().unwrap_or(0));
        memory = Memory::default();
        publish(&shop, &mut memory);
        std::thread::sleep(Duration::from_millis(3_100));
        publish(&shop, &mut memory);
    }
    let [status, note, step, rush, idle, floor, full] = best;
    Times { status, note, step, rush, idle, full, floor, memory: peak }
}

/// The shop of so many jobs, laid out and put under version control once and kept under `target/`.
fn laid_out(jobs: usize) -> PathBuf {
    let shop = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("speed-bench/{jobs}"));
    if !shop.join(".git/laid-out").exists() {
        let _ = fs::remove_dir_all(&shop);
        many::lay_out(&shop, jobs, PHOTO);
        let git = |args: &[&str]| run_quietly(Command::new("git").arg("-C").arg(&shop).args(args));
        git(&["init", "--quiet"]);
        put(&shop.join(".git/info/exclude"), b"public\n.benchlight\nbare\n");
        git(&["add", "--all"]);
        git(&[
            "-c",
            "user.name=bench",
            "-c",
            "user.email=bench@bench.example",
            "commit",
            "--quiet",
            "-m",
            "all",
        ]);
        put(&shop.join(".git/laid-out"), b"");
    }
    shop
}

fn publish(shop: &Path, memory: &mut Memory) {
    let callbacks = Callbacks { waiting: &|| (), progress: &|_, _| () };
    let out = shop.join("public");
    publish::run(shop, None, &out, PassMode::Make, &callbacks, memory)
        .unwrap_or_else(|e| panic!("{:?}", e.problems));
}

fn make(shop: &Path) {
    run_quietly(Command::new(env!("CARGO_BIN_EXE_benchlight")).arg("make").current_dir(shop));
}

fn forget_all_but_photos(shop: &Path) {
    let _ = fs::remove_dir_all(shop.join("public"));
    for entry in fs::read_dir(shop.join(".benchlight")).unwrap().map(Result::unwrap) {
        if entry.file_name() != "photos" {
            let _ = fs::remove_file(entry.path());
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

fn run_quietly(command: &mut Command) {
    let status = command.stdout(Stdio::null()).status().unwrap();
    assert!(status.success(), "{command:?}: {status}");
}

fn timed(run: impl FnOnce()) -> Duration {
    let begun = Instant::now();
    run();
    begun.elapsed()
}

fn put(path: &Path, bytes: &[u8]) {
    fs::File::create(path).and_then(|mut file| file.write_all(bytes)).unwrap();
}

/// The most memory that this process ever held, in kilobytes (proc(5), `VmHWM`).
fn peak_memory() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap_or_default();
    line.split_whitespace().nth(1).and_then(|word| word.parse().ok()).unwrap_or(0)
}
