//! What reading costs is bounded by what is read: each reader is given nasty texts of one size and of twice that size, and
//! time and memory of the program, what it says and what it makes may grow with them and not faster.
//!
//! Time is that of the processor, of the best of three runs, and small times count as equal: a busy machine changes neither.

use crate::builder::{TestShop, tools, tree};
use std::fmt::Write;
use std::fs;

const JOB: &str = "content/jobs/26-041 Fenn gobbler/job.toml";
const PAGE: &str = "content/pages/prices.md";
const ROUTE: &str = "content/routes/turkey-full.toml";

/// A run within these is never too slow; twice the text may take three times as long beyond.
const FLOOR_SECONDS: f64 = 1.0;
/// The most memory that a run takes, in kilobytes, with texts of this size.
const MOST_MEMORY: u64 = 400_000;
/// The most that is said, in bytes.
const MOST_SAID: usize = 40_000;
const SIZE: usize = 90_000;

struct Shape {
    name: &'static str,
    file: &'static str,
    text: fn(usize) -> String,
}

/// A piece again and again, up to a size.
fn again(piece: &str, size: usize) -> String {
    piece.repeat(size / piece.len() + 1)
}

/// A line for each number, up to a size.
fn numbered(size: usize, line: fn(usize) -> String) -> String {
    let mut out = String::new();
    for n in 0.. {
        if out.len() >= size {
            break;
        }
        let _ = writeln!(out, "{}", line(n));
    }
    out
}

fn page(text: &str) -> String {
    format!("# Prices\n\n{text}\n")
}

fn job(text: &str) -> String {
    format!("{}\n{text}\n", include_str!("builder/healthy/fenn.toml"))
}

fn in_words(text: &str) -> String {
    format!("note = '''\n{text}\n'''\n{}", include_str!("builder/healthy/fenn.toml"))
}

fn own(name: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("themes/hangtag").join(name);
    fs::read_to_string(path).unwrap()
}

fn shape(name: &'static str, file: &'static str, text: fn(usize) -> String) -> Shape {
    Shape { name, file, text }
}

/// Shapes of Markdown.
fn of_pages() -> Vec<Shape> {
    vec![
        shape("links that could do harm", PAGE, |n| page(&(again("[a][a]", n) + "\n\n[a]: javascript:x"))),
        shape("links to no page", PAGE, |n| page(&again("[a](b)", n))),
        shape("a link a line", PAGE, |n| page(&numbered(n, |i| format!("[a](b{i})\n")))),
        shape("pictures from elsewhere", PAGE, |n| page(&again("![a](http://x/y.jpg)", n))),
        shape("pictures that are not there", PAGE, |n| page(&numbered(n, |i| format!("![a](p{i}.jpg)")))),
        shape("brackets that stay open", PAGE, |n| page(&again("[", n))),
        shape("emphasis within emphasis", PAGE, |n| {
            page(&(again("*a **b ", n / 2) + &again("c** d* ", n / 2)))
        }),
        shape("links within links", PAGE, |n| page(&(again("[", n / 2) + "a" + &again("](b)", n / 2)))),
        shape("quotes within quotes", PAGE, |n| page(&again("> ", n))),
        shape("a wide table", PAGE, |n| {
            let row = |cell: &str| format!("{}|\n", again(cell, n / 3));
            page(&(row("|a") + &row("|-") + &again("|a|\n", n / 3)))
        }),
        shape("names for addresses", PAGE, |n| {
            page(&format!("[a]: /{}\n\n{}", again("b", n / 2), again("[a] ", n / 2)))
        }),
        shape("about.md", "content/showroom/turkey/half-strut/about.md", |n| {
            again("[a][a]", n) + "\n\n[a]: javascript:x"
        }),
        shape("a note", JOB, |n| in_words(&(again("[a][a]", n) + "\n\n[a]: javascript:x"))),
        shape("what is told of a step", ROUTE, |n| {
            let text = include_str!("builder/healthy/turkey-full.toml");
            text.replacen("Your bird is being skinned.", &again("[a](b)", n), 1)
        }),
    ]
}

/// Shapes of the owner's TOML files.
fn of_sheets() -> Vec<Shape> {
    vec![
        shape("keys that mean nothing", JOB, |n| job(&numbered(n, |i| format!("k{i} = 1")))),
        shape("a long key", JOB, |n| job(&format!("{} = 1", again("k", n)))),
        shape("a long name", JOB, |n| job("").replacen("Ada Fenn", &again("A", n), 1)),
        shape("a long number", JOB, |n| job(&format!("[[charge]]\nwhat = 'a'\namount = {}", again("1", n)))),
        shape("lists within lists", JOB, |n| job(&format!("x = {}", again("[", n)))),
        shape("groups within groups", JOB, |n| job(&format!("x = {}", again("{a=", n)))),
        shape("names with dots", JOB, |n| job(&format!("{} = 1", again("a.", n)))),
        shape("no TOML", JOB, |n| job(&again("a b\n", n))),
        shape("no TOML in a line", JOB, |n| job(&again("=", n))),
        shape("headings", JOB, |n| job(&again("[[h]]\n", n))),
        shape("charges", JOB, |n| job(&again("[[charge]]\nwhat = \"a\"\namount = 1\n", n))),
        shape("steps in a row", ROUTE, |n| {
            "name = \"x\"\n".to_owned()
                + &numbered(n, |i| format!("[[step]]\nname = \"s{i}\"\nbench = [1, 2, 3]"))
        }),
        shape("a knot of steps", ROUTE, |n| {
            let most = n / 2000;
            let step = |i: usize| {
                let after: Vec<String> = (0..i).map(|j| format!("\"s{j}\"")).collect();
                format!("[[step]]\nname = \"s{i}\"\nrest = [1, 2, 3]\nafter = [{}]\n", after.join(", "))
            };
            "name = \"x\"\n".to_owned() + &(0..most).map(step).collect::<String>()
        }),
        shape("partners", "content/partners.toml", |n| {
            include_str!("builder/healthy/partners.toml").to_owned()
                + &numbered(n, |i| format!("[p{i}]\nname = \"a\"\ndays = [1, 2, 3]"))
        }),
        shape("closed days", "content/shop.toml", |n| {
            include_str!("builder/healthy/shop.toml").to_owned()
                + &again("\n[[closed]]\nfrom = 2026-04-10\nto = 2026-04-24\nwhy = \"a\"\n", n)
        }),
    ]
}

/// Shapes of the theme's files.
fn of_theme() -> Vec<Shape> {
    const WORDS: &str = "themes/hangtag/words.toml";
    const LEAF: &str = "themes/hangtag/page.html";
    vec![
        shape("words that are none", WORDS, |n| own("words.toml") + &again("a b\n", n)),
        shape("words that are numbers", WORDS, |n| {
            own("words.toml") + "[zz]\n" + &numbered(n, |i| format!("k{i} = 1"))
        }),
        shape("words that are missing", LEAF, |n| {
            own("page.html") + &numbered(n, |i| format!("{{{{ say(key=\"q{i}\") }}}}"))
        }),
        shape("brackets in a template", LEAF, |n| own("page.html") + "{{ " + &again("(", n)),
        shape("conditions in a template", LEAF, |n| own("page.html") + &again("{% if a %}", n)),
        shape("elements within elements", "themes/hangtag/frame.html", |n| {
            own("frame.html") + &again("<div>", n)
        }),
        shape("a style", "themes/hangtag/look.css", |n| again("a{b:c}", n)),
    ]
}

/// What a run took: exit code, processor seconds, kilobytes at most, bytes said, bytes made.
#[derive(Debug)]
struct Took {
    exit: i64,
    seconds: f64,
    kilobytes: u64,
    said: usize,
    made: usize,
}

/// Runs a command and prints what it took (getrusage(2), by Python).
const MEASURED: &str = "
import json, resource, subprocess, sys
run = subprocess.run(sys.argv[1:], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=120)
took = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([run.returncode, took.ru_utime, took.ru_maxrss, len(run.stdout) + len(run.stderr)]))
";

fn took(shape: &Shape, size: usize) -> Took {
    let shop = TestShop::healthy_and_quick(true);
    shop.file(shape.file, (shape.text)(size));
    let mut command = tools::python();
    command.arg("-c").arg(MEASURED).arg(env!("CARGO_BIN_EXE_benchlight")).args([
        "make",
        "--as-of",
        "2026-05-20",
    ]);
    let told =
        tools::printed(command.current_dir(shop.path()).env("NO_COLOR", "1").env("RAYON_NUM_THREADS", "2"));
    let (exit, seconds, kilobytes, said) = serde_json::from_str(&told).unwrap();
    let made = tree(&shop.at("public")).values().map(Vec::len).sum();
    Took { exit, seconds, kilobytes, said, made }
}

/// What is wrong with how a shape behaves.
fn complaint(shape: &Shape) -> Option<String> {
    let mut wrong = String::new();
    // A page is its text and a frame, and no part of a text is made more of than this; cells that a row lacks are filled in,
    // 2^18 of them at most (pulldown-cmark 0.13, `MAX_AUTOCOMPLETED_CELLS`).
    let filled = if shape.name.contains("table") { (1 << 18) * 10 } else { 0 };
    let most_made = |size: usize| 200_000 + filled + size * 20;
    for _ in 0..3 {
        let (one, two) = (took(shape, SIZE), took(shape, SIZE * 2));
        wrong.clear();
        for (took, size) in [(&one, SIZE), (&two, SIZE * 2)] {
            let well = (0..=2).contains(&took.exit) && took.kilobytes < MOST_MEMORY && took.said < MOST_SAID;
            if !well || took.made > most_made(size) {
                let _ = write!(wrong, "{} of {size}: {took:?}; ", shape.name);
            }
        }
        if two.seconds > FLOOR_SECONDS.max(one.seconds) * 3.0 || two.said > one.said + 2_000 {
            let _ = write!(wrong, "{}: {one:?}, then {two:?}", shape.name);
        }
        // Only the time can come from the machine, but another look costs little.
        if wrong.is_empty() {
            return None;
        }
    }
    Some(wrong)
}

fn all_grow_with_what_is_read(shapes: &[Shape]) {
    let wrong: Vec<String> = shapes.iter().filter_map(complaint).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn pages_and_notes_cost_what_they_are_long() {
    all_grow_with_what_is_read(&of_pages());
}

#[test]
fn the_owners_sheets_cost_what_they_are_long() {
    all_grow_with_what_is_read(&of_sheets());
}

#[test]
fn the_theme_costs_what_it_is_long() {
    all_grow_with_what_is_read(&of_theme());
}

#[test]
fn no_file_is_read_that_is_longer_than_any_text() {
    // A file with a hole: five gigabytes long, and nothing on the disk.
    let shop = TestShop::healthy_and_quick(true);
    for file in [
        JOB,
        PAGE,
        "content/partners.toml",
        ROUTE,
        "themes/hangtag/look.css",
        "content/jobs/26-041 Fenn gobbler/1.jpg",
    ] {
        shop.file(file, "x");
        fs::File::options().write(true).open(shop.at(file)).unwrap().set_len(5 << 30).unwrap();
        let mut command = tools::python();
        command.arg("-c").arg(MEASURED).arg(env!("CARGO_BIN_EXE_benchlight")).args([
            "make",
            "--as-of",
            "2026-05-20",
        ]);
        let told = tools::printed(command.current_dir(shop.path()).env("NO_COLOR", "1"));
        let (exit, _, kilobytes, _): (i64, f64, u64, usize) = serde_json::from_str(&told).unwrap();
        assert!((1..=2).contains(&exit) && kilobytes < MOST_MEMORY, "{file}: {told}");
        fs::remove_file(shop.at(file)).unwrap();
    }
}
