//! Bad input: each file in `tests/bad/` changes one thing about a healthy shop and says what is told.
//!
//! A case begins with a line or two for people. Then come directives, each on a line beginning with
//! `@`, with what belongs to it below:
//!
//! - `@ file PATH`, `@ add PATH`: a new text, or more text at the end of one;
//! - `@ change PATH`: `- line` and `+ line` pairs; a line that is not there is an error of the case;
//! - `@ remove PATH`, `@ folder PATH`, `@ rename PATH => PATH`, `@ link PATH => TARGET`;
//! - `@ crlf PATH` (the line ends of Windows), `@ pipe PATH` (what waits for ever when it is opened);
//! - `@ bytes PATH` (hexadecimal), `@ fill PATH SIZE` (the text below again and again up to that size);
//! - `@ expect`: all that is told, and what of the shop could be read.
//!
//! In paths `\xNN` stands for a byte. `BENCHLIGHT_UPDATE=1` writes what is told into the cases.

use benchlight::door::base::day::Day;
use benchlight::door::base::digest::Digest;
use benchlight::door::model::{Format, Look, PageLink, PhotoFault, Shop, Spoilt};
use benchlight::door::problem::{Code, Problems, print};
use benchlight::door::read;
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, File, FileTimes};
use std::io::Write;
use std::os::unix::ffi::OsStringExt;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, UNIX_EPOCH};

/// 2026-05-20, the time of every file that a case lays out.
const FILE_TIME: u64 = 1_779_278_400;

/// Codes that other rooms tell; every other one must stand in a case.
const OF_OTHER_ROOMS: &[Code] = &[
    Code::HeldBack,
    Code::AddressGiven,
    Code::PhotoCache,
    Code::PhotoHelper,
    Code::CollectedOwes,
    Code::WrittenOffTooLarge,
    Code::BeforeTakenIn,
    Code::OutOfOrder,
    Code::InTheFuture,
    Code::UnsafeAddress,
    Code::Theme,
    Code::UnknownThemeFile,
    Code::OutputTaken,
    Code::OutputFailed,
    Code::RecordMissing,
    Code::JobsGone,
    Code::NotOurs,
    Code::NoPreview,
    Code::Busy,
    Code::ClockAhead,
    Code::GaveUp,
    Code::NoWebAddress,
    Code::NoAnswer,
    Code::UnknownJob,
    Code::NoPlace,
    Code::NothingToPost,
    Code::NoSecret,
    Code::OpenKeyFile,
    Code::WebNotHttps,
    Code::HostAway,
    Code::HostRefused,
    Code::HostTaken,
    Code::PlaceTaken,
    Code::BadPlace,
    Code::StillThere,
    Code::NotThere,
    Code::Unposted,
];

#[test]
fn bad_input_is_told_as_each_case_says() {
    let update = std::env::var_os("BENCHLIGHT_UPDATE").is_some_and(|value| value == "1");
    let mut wrong = Vec::new();
    let cases = case_files();
    assert!(cases.len() >= 60, "only {} cases were found", cases.len());
    for path in cases {
        let text = fs::read_to_string(&path).unwrap();
        let (head, expected) = text.split_once("@ expect\n").unwrap_or((&text, ""));
        let told = told_of(head, &path);
        if told == expected {
            continue;
        }
        if update {
            rewrite(&path, &format!("{head}@ expect\n{told}"));
        } else {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            wrong.push(format!("== {name}\n-- the case says\n{expected}-- but told is\n{told}"));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} cases differ (BENCHLIGHT_UPDATE=1 rewrites them)\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn every_code_of_the_reader_stands_in_a_case() {
    let cases: Vec<String> = case_files().iter().map(|path| fs::read_to_string(path).unwrap()).collect();
    let missing: BTreeSet<&str> = Code::ALL
        .iter()
        .filter(|code| !OF_OTHER_ROOMS.contains(code))
        .map(|code| code.name())
        .filter(|name| !cases.iter().any(|case| case.contains(&format!("({name})\n"))))
        .collect();
    assert_eq!(missing, BTreeSet::new());
}

#[test]
fn messages_are_one_clause_in_lower_case_with_a_hint() {
    for path in case_files() {
        let text = fs::read_to_string(&path).unwrap();
        let (head, _) = text.split_once("@ expect\n").unwrap();
        let shop = lay_out(head, &path);
        let problems = match read::shop(shop.path(), &look) {
            Ok((_, problems)) | Err(problems) => problems,
        };
        for problem in problems.iter() {
            let (message, name) = (&problem.message, path.display());
            let first = message.chars().next().unwrap();
            assert!(!first.is_uppercase(), "{name}: {message}");
            assert!(!message.ends_with(['.', '!']) && !message.contains('\n'), "{name}: {message}");
            assert!(message.chars().count() <= 160, "{name}: {message}");
            let hint = problem.hint.as_deref().unwrap_or_else(|| panic!("{name}: no hint for {message}"));
            assert!(!hint.ends_with('.') && !hint.contains('\n'), "{name}: {hint}");
            assert!(problem.place.is_some() || problem.code == Code::NotAShop, "{name}: {message}");
        }
    }
}

fn case_files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad");
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut cases: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|e| e == "case")).collect();
    cases.sort();
    cases
}

/// All that is told of a case, then what could be read.
fn told_of(head: &str, case: &Path) -> String {
    let shop = lay_out(head, case);
    match read::shop(shop.path(), &look) {
        Ok((shop, problems)) => format!("{}{}", text(&problems), outcome(&shop)),
        Err(problems) => format!("{}stopped\n", text(&problems)),
    }
}

fn text(problems: &Problems) -> String {
    if problems.is_empty() { String::new() } else { format!("{}\n", print::text(problems)) }
}

/// What of the shop could be read, in a few lines.
fn outcome(shop: &Shop) -> String {
    let mut out = String::new();
    for job in &shop.jobs {
        let mut reached: Vec<String> =
            job.reached.iter().map(|(word, mark)| format!("{word} {}", mark.day)).collect();
        reached.extend(job.collected.iter().map(|mark| format!("collected {}", mark.day)));
        let photos = job.photos.iter().map(|photo| {
            let name = photo.name();
            if photo.shown { name.to_owned() } else { format!("({name})") }
        });
        let photos: Vec<String> = photos.collect();
        out += &format!("job {}: {}; {}\n", job.number, reached.join(", "), photos.join(", "));
    }
    let poses = shop.poses.iter().map(|p| format!("{}/{}", p.animal, p.key));
    out += &format!("poses: {}\n", poses.collect::<Vec<_>>().join(", "));
    let pages = shop.pages.iter().map(|p| format!("{} \"{}\"", p.key, p.title));
    out += &format!("pages: {}\n", pages.collect::<Vec<_>>().join(", "));
    for spoilt in &shop.spoilt {
        out += &match spoilt {
            Spoilt::Job(number) => match shop.spoilt_links[number] {
                Some(PageLink { link: 1, sealed: None, .. }) => format!("spoilt: job {number}\n"),
                Some(PageLink { link, sealed: None, .. }) => format!("spoilt: job {number}, link {link}\n"),
                Some(PageLink { link, sealed: Some(sealed), .. }) => {
                    format!("spoilt: job {number}, link {link}, sealed {sealed}\n")
                }
                None => format!("spoilt: job {number}, link unknown\n"),
            },
            Spoilt::Pose(animal, key) => format!("spoilt: pose {animal}/{key}\n"),
            Spoilt::Page(key) => format!("spoilt: page {key}\n"),
        };
    }
    out
}

/// Stands in for the photo room: the first word of a file says what it is.
pub fn look(path: &Path) -> Result<Look, PhotoFault> {
    let bytes = fs::read(path).map_err(|error| PhotoFault::Unreadable(error.kind().to_string()))?;
    let text = String::from_utf8_lossy(&bytes);
    let mut words = text.split_whitespace();
    match words.next() {
        None => Err(PhotoFault::Empty),
        Some("photo") => Ok(Look {
            digest: Digest::of(&bytes),
            format: Format::Jpeg,
            width: 4000,
            height: 3000,
            exif_taken: words.next().and_then(Day::parse).map(|day| (day, 43_200)),
        }),
        Some("video") => Err(PhotoFault::Video),
        Some("odd") => Err(PhotoFault::NotShowable("a drawing".to_owned())),
        Some("vast") => Err(PhotoFault::TooLarge(65_500, 65_500)),
        Some(_) => Err(PhotoFault::Damaged("it breaks off".to_owned())),
    }
}

/// The healthy shop in a new folder.
pub fn healthy() -> tempfile::TempDir {
    lay_out("", Path::new("healthy.shop"))
}

/// The healthy shop with the directives of a case carried out on it.
fn lay_out(head: &str, case: &Path) -> tempfile::TempDir {
    let shop = tempfile::tempdir().unwrap();
    let healthy = include_str!("bad/healthy.shop");
    for directives in [healthy, head] {
        let mut parts = directives.split("\n@ ");
        let before = parts.next().unwrap();
        assert!(
            !before.contains("@ "),
            "{}: words for people come before the first directive",
            case.display()
        );
        for part in parts {
            let (line, body) = part.split_once('\n').unwrap_or((part, ""));
            let (verb, rest) = line.split_once(' ').unwrap_or((line, ""));
            // The blank line before the next directive is for people.
            let body = body.strip_suffix('\n').unwrap_or(body);
            carry_out(shop.path(), verb, rest, body, case);
        }
    }
    set_times(shop.path());
    shop
}

fn carry_out(root: &Path, verb: &str, rest: &str, body: &str, case: &Path) {
    let (first, second) = rest.split_once(" => ").unwrap_or((rest, ""));
    let path = root.join(path_of(first));
    let body_line = format!("{body}\n");
    match verb {
        "file" if body.is_empty() => put(&path, b""),
        "file" => put(&path, body_line.as_bytes()),
        "add" => put(&path, [fs::read(&path).unwrap(), body_line.into_bytes()].concat().as_slice()),
        "change" => put(&path, changed(&fs::read_to_string(&path).unwrap(), body, case).as_bytes()),
        "crlf" => put(&path, fs::read_to_string(&path).unwrap().replace('\n', "\r\n").as_bytes()),
        "remove" if path.is_dir() => fs::remove_dir_all(&path).unwrap(),
        "remove" => fs::remove_file(&path).unwrap(),
        "folder" => fs::create_dir_all(&path).unwrap(),
        "rename" => fs::rename(&path, root.join(path_of(second))).unwrap(),
        "link" => std::os::unix::fs::symlink(path_of(second), &path).unwrap(),
        "pipe" => assert!(Command::new("mkfifo").arg(&path).status().unwrap().success()),
        "bytes" => put(&path, &hex(body)),
        "fill" => {
            let (file, size) = rest.rsplit_once(' ').unwrap();
            put(
                &root.join(path_of(file)),
                &body_line.into_bytes().repeat(size.parse::<usize>().unwrap() / (body.len() + 1)),
            );
        }
        _ => panic!("{}: no directive is called {verb}", case.display()),
    }
}

/// The text with each `- line` replaced by the `+ line`s below it.
fn changed(text: &str, body: &str, case: &Path) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let mut at = 0;
    for change in body.lines() {
        if let Some(old) = change.strip_prefix("- ") {
            let found = lines.iter().position(|line| line == old);
            at = found.unwrap_or_else(|| panic!("{}: no line is {old:?}", case.display()));
            lines.remove(at);
        } else if let Some(new) = change.strip_prefix("+ ") {
            lines.insert(at, new.to_owned());
            at += 1;
        } else {
            panic!("{}: a change begins with - or +, not {change:?}", case.display());
        }
    }
    lines.join("\n") + "\n"
}

fn path_of(text: &str) -> PathBuf {
    let mut bytes = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("\\x") {
        bytes.extend(before.as_bytes());
        bytes.push(u8::from_str_radix(&after[..2], 16).unwrap());
        rest = &after[2..];
    }
    bytes.extend(rest.as_bytes());
    PathBuf::from(OsString::from_vec(bytes))
}

fn hex(text: &str) -> Vec<u8> {
    text.split_whitespace().map(|byte| u8::from_str_radix(byte, 16).unwrap()).collect()
}

pub fn put(path: &Path, bytes: &[u8]) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    File::create(path).unwrap().write_all(bytes).unwrap();
}

fn rewrite(path: &Path, text: &str) {
    put(path, text.as_bytes());
}

/// Gives every file the same time, since a photo without a date takes that of its file.
fn set_times(folder: &Path) {
    let times = FileTimes::new().set_modified(UNIX_EPOCH + Duration::from_secs(FILE_TIME));
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        let kind = entry.file_type().unwrap();
        if kind.is_dir() {
            set_times(&entry.path());
        } else if kind.is_file() {
            File::options().write(true).open(entry.path()).unwrap().set_times(times).unwrap();
        }
    }
}
