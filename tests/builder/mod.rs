//! The one builder that tests lay out a shop with and drive the real program by.
//!
//! A failing expectation prints the command, the folder and both streams.

pub mod bare;
pub mod spoken;
pub mod tools;

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

/// A photo as a phone saves it: 4 May 2026, with a GPS position and comments that must not get out.
pub const PHONE_PHOTO: &[u8] = include_bytes!("../fixtures/phone.jpg");

/// The pinned day of tests that do not say otherwise.
pub const TODAY: &str = "2026-05-20";

/// A shop in a temporary folder.
pub struct TestShop {
    folder: TempDir,
}

/// How a run of the program ended.
pub struct Ran {
    pub output: Output,
    told: String,
}

impl TestShop {
    /// An empty folder.
    pub fn empty() -> TestShop {
        TestShop { folder: tempfile::tempdir().expect("a temporary folder") }
    }

    /// A small healthy shop: one route with two branches, one partner, two jobs, a pose, a page.
    pub fn healthy() -> TestShop {
        let shop = TestShop::empty();
        for (path, text) in healthy_files() {
            shop.file(path, text);
        }
        shop.key(7);
        shop.file("content/showroom/turkey/half-strut/1 front.jpg", PHONE_PHOTO);
        shop.file("content/jobs/26-041 Fenn gobbler/4 mounted/IMG_20260504_091233.jpg", PHONE_PHOTO);
        shop
    }

    /// Gives it a key, another one for each number, that nobody else on this computer may read.
    pub fn key(&self, number: u8) -> &TestShop {
        let bytes = drawn_key(number);
        self.file("content/shop.key", benchlight::door::command::open::key_text(&bytes))
    }

    /// The same where nothing waits for a disk, on a memory file system if there is one; with or without bench hours,
    /// which is with or without estimates.
    pub fn healthy_and_quick(idle: bool) -> TestShop {
        let memory = Path::new("/dev/shm");
        let folder = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
        let quick = TestShop { folder: folder.expect("a temporary folder") };
        for (path, bytes) in TestShop::healthy().tree("content") {
            quick.file(&format!("content/{path}"), bytes);
        }
        if idle {
            let text = fs::read_to_string(quick.at("content/shop.toml")).expect("a text file");
            let (before, hours) = text.split_once("[bench]").expect("bench hours");
            let behind = hours.find("\n[").map_or("", |at| &hours[at..]);
            quick.file("content/shop.toml", format!("{before}{behind}"));
        }
        quick
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    pub fn at(&self, path: &str) -> PathBuf {
        self.folder.path().join(path)
    }

    /// Writes a file, its folders included; a key as its owner would keep it, closed to others.
    pub fn file(&self, path: &str, bytes: impl AsRef<[u8]>) -> &TestShop {
        let at = self.at(path);
        fs::create_dir_all(at.parent().expect("a parent")).expect("its folder");
        fs::File::create(&at)
            .and_then(|mut f| std::io::Write::write_all(&mut f, bytes.as_ref()))
            .expect("the file");
        if path.ends_with(".key") {
            fs::set_permissions(&at, fs::Permissions::from_mode(0o600)).expect("its rights");
        }
        self
    }

    /// Replaces a piece of a text file that must be there.
    pub fn edit(&self, path: &str, from: &str, to: &str) -> &TestShop {
        let text = fs::read_to_string(self.at(path)).expect("a text file");
        assert!(text.contains(from), "{path} does not hold {from:?}");
        self.file(path, text.replacen(from, to, 1))
    }

    /// Runs `benchlight` with the shop's folder as its working folder.
    pub fn run(&self, args: &[&str]) -> Ran {
        self.run_with(args, &[])
    }

    /// The same with more in its environment.
    pub fn run_with(&self, args: &[&str], surroundings: &[(String, String)]) -> Ran {
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
        command.args(args).current_dir(self.path()).env_remove("SOURCE_DATE_EPOCH").env("NO_COLOR", "1");
        command.envs(surroundings.iter().cloned());
        let output = command.output().expect("the program runs");
        let told = format!(
            "benchlight {}\nin {}\nexit {:?}\n--- out\n{}--- err\n{}",
            args.join(" "),
            self.path().display(),
            output.status.code(),
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        );
        Ran { output, told }
    }

    /// `make` on the pinned day, which must end with this exit code.
    pub fn make(&self, exit: i32) -> Ran {
        self.run(&["make", "--as-of", TODAY]).exits(exit)
    }

    /// Every file under a folder, by path from it.
    pub fn tree(&self, folder: &str) -> BTreeMap<String, Vec<u8>> {
        tree(&self.at(folder))
    }

    /// The text of a page of `public/`.
    pub fn page(&self, path: &str) -> String {
        let at = self.at("public").join(path);
        fs::read_to_string(&at).unwrap_or_else(|e| panic!("{}: {e}", at.display()))
    }

    /// The private page of a job, found by its number on it: path from `public/` and text.
    pub fn private_page(&self, number: &str) -> Option<(String, String)> {
        let pages = self.tree("public");
        pages
            .into_iter()
            .filter(|(path, _)| path.starts_with("see/") && path.ends_with("index.html"))
            .find_map(|(path, bytes)| {
                let text = String::from_utf8(bytes).expect("a page is UTF-8");
                text.contains(number).then_some((path, text))
            })
    }
}

impl Ran {
    pub fn exits(self, code: i32) -> Ran {
        assert_eq!(self.output.status.code(), Some(code), "{}", self.told);
        self
    }

    pub fn out(&self) -> String {
        String::from_utf8_lossy(&self.output.stdout).into_owned()
    }

    pub fn err(&self) -> String {
        String::from_utf8_lossy(&self.output.stderr).into_owned()
    }

    pub fn says(self, what: &str) -> Ran {
        assert!(self.out().contains(what), "no {what:?} on the standard output of\n{}", self.told);
        self
    }

    pub fn tells(self, what: &str) -> Ran {
        assert!(self.err().contains(what), "no {what:?} on the standard error of\n{}", self.told);
        self
    }

    pub fn tells_nothing(self) -> Ran {
        assert_eq!(self.err(), "", "{}", self.told);
        self
    }
}

/// 32 bytes as chance would give them, the same in every run.
pub fn drawn_key(number: u8) -> [u8; 32] {
    let hex = benchlight::door::base::digest::Digest::of(&[number]).hex();
    std::array::from_fn(|i| u8::from_str_radix(&hex[2 * i..2 * i + 2], 16).expect("two digits"))
}

/// Every file under a folder, by path from it.
pub fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    gather(folder, "", &mut files);
    files
}

fn gather(folder: &Path, prefix: &str, files: &mut BTreeMap<String, Vec<u8>>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries {
        let entry = entry.expect("an entry");
        let path = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.file_type().expect("its kind").is_dir() {
            gather(&entry.path(), &format!("{path}/"), files);
        } else {
            files.insert(path, fs::read(entry.path()).expect("its bytes"));
        }
    }
}

fn healthy_files() -> [(&'static str, &'static str); 8] {
    [
        ("content/shop.toml", include_str!("healthy/shop.toml")),
        ("content/partners.toml", include_str!("healthy/partners.toml")),
        ("content/routes/turkey-full.toml", include_str!("healthy/turkey-full.toml")),
        ("content/showroom/turkey/half-strut/pose.toml", include_str!("healthy/pose.toml")),
        ("content/showroom/turkey/half-strut/about.md", "Tail *half* open.\n"),
        ("content/pages/prices.md", "# Prices\n\nA gobbler from 695.\n"),
        ("content/jobs/26-041 Fenn gobbler/job.toml", include_str!("healthy/fenn.toml")),
        ("content/jobs/26-042 Ruell hen/job.toml", include_str!("healthy/ruell.toml")),
    ]
}
