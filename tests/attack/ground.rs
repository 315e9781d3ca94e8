//! One small shop that is attacked, with all around it: a host, somebody else's files, and canaries in every private place.

use super::bend::Dice;
use super::claims;
use super::claims::plain_files;
use super::running::{Ended, Running};
use crate::builder::{TODAY, TestShop};
use benchlight::door::base::digest::Digest;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;
use tempfile::TempDir;

/// Private values of a piece. What is private never stands right behind what is public, as a wound of a few bytes may
/// join two lines.
pub const PRIVATE: &str = r#"customer   = "Ada Fenn"
taken-in   = 2026-04-28
# -------------------------------------
phone      = "555-0199 CANARYPHONE"
email      = "CANARYMAIL@fenn.example"
address    = "CANARYSTREET 7"
bench-note = "CANARYNOTE"
collected-by = "CANARYCOLLECTOR"
piece      = "Eastern wild turkey"
route      = "turkey-full"
pose       = "half-strut"
note       = "We will preen over the left wing."

[[charge]]
what   = "Half strut"
amount = 695

[reached]
skinned = 2026-05-02
# -------------------------------------

[tag]
number   = "CANARYTAG-7781"
place    = "CANARYPLACE"
hunter   = "CANARYHUNTER"
"#;

/// The folder of that piece.
pub const JOB: &str = "content/jobs/26-077 CANARYFOLDER gobbler";
/// Of the host's secrets.
pub const SECRET: &str = "CANARYSECRET";

/// A shop under attack.
pub struct Ground {
    base: TempDir,
    pub dice: Dice,
    pub runs: u64,
    pub slowest: Duration,
    pub largest: u64,
    /// How long a pass from nothing takes here.
    pub usual: Duration,
    /// Kills that came before the end.
    pub hits: u64,
    /// Content as it is when nothing is wrong.
    whole: BTreeMap<String, Vec<u8>>,
    /// What a pass from nothing makes of it.
    made: BTreeMap<String, Digest>,
    /// Files of somebody else's, which stay as they are.
    pub strangers: BTreeMap<PathBuf, Vec<u8>>,
    history: Vec<String>,
    /// The key's symbols, as a message would show them.
    key: String,
}

impl Ground {
    pub fn new(seed: u64) -> Ground {
        let mut dice = Dice(seed);
        let memory = Path::new("/dev/shm");
        let base = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
        let key: [u8; 32] = std::array::from_fn(|_| dice.below(256) as u8);
        let whole = content(&benchlight::door::command::open::key_text(&key), dice.below(4) != 0);
        let mut ground = Ground {
            base: base.expect("a temporary folder"),
            dice,
            runs: 0,
            slowest: Duration::ZERO,
            largest: 0,
            usual: Duration::ZERO,
            hits: 0,
            whole,
            made: BTreeMap::new(),
            strangers: BTreeMap::new(),
            history: Vec::new(),
            key: benchlight::door::base::crockford::encode(&key),
        };
        ground.stranger("outside/books.txt", b"somebody else's");
        ground.stranger("outside/deep/index.html", b"<p>somebody else's");
        ground.stranger("host/holiday.jpg", b"somebody else's");
        ground.stranger("shop/public/poem.txt", b"somebody else's");
        ground.lay_out();
        ground
    }

    /// The content as it is when nothing is wrong; the first pass says what has to come of it.
    fn lay_out(&mut self) {
        let all: Vec<(String, Vec<u8>)> =
            self.whole.iter().map(|(path, bytes)| (path.clone(), bytes.clone())).collect();
        all.iter().for_each(|(path, bytes)| self.put(path, bytes));
        for secret in ["post.key", "content/shop.key"] {
            let closed = std::os::unix::fs::PermissionsExt::from_mode(0o600);
            fs::set_permissions(self.at(secret), closed).unwrap();
        }
        if self.made.is_empty() {
            let made = self.run(&["make", "--as-of", TODAY]).expect("a healthy shop is made");
            assert_eq!(made.code(), Some(0), "{}", made.told());
            self.usual = made.took;
            self.made = digests(&self.at("public"));
            assert!(self.made.len() > 20, "{:?}", self.made.keys());
        }
    }

    pub fn base(&self) -> &Path {
        self.base.path()
    }

    pub fn shop(&self) -> PathBuf {
        self.base().join("shop")
    }

    pub fn at(&self, path: &str) -> PathBuf {
        self.shop().join(path)
    }

    /// Writes a file of the shop, whatever lay there before.
    pub fn put(&self, path: &str, bytes: impl AsRef<[u8]>) {
        put_at(&self.at(path), bytes.as_ref());
    }

    /// A file as it is when nothing is wrong.
    pub fn whole(&self, path: &str) -> Vec<u8> {
        self.whole.get(path).unwrap_or_else(|| panic!("{path}")).clone()
    }

    /// All files of the content whose path fits.
    pub fn files(&self, fits: impl Fn(&str) -> bool) -> Vec<String> {
        self.whole.keys().filter(|path| fits(path)).cloned().collect()
    }

    /// Files of the site with this ending, from the shop's folder.
    pub fn files_of_site(&self, ending: &str) -> Vec<String> {
        let files = plain_files(&self.at("public")).into_keys().filter(|path| path.ends_with(ending));
        files.map(|path| format!("public/{path}")).collect()
    }

    /// A file is no part any more of what is laid out.
    pub fn forget(&mut self, path: &str) {
        self.whole.remove(path);
    }

    /// A file of somebody else's comes, from `base`.
    pub fn stranger(&mut self, path: &str, bytes: &[u8]) {
        let at = self.base().join(path);
        put_at(&at, bytes);
        self.strangers.insert(at, bytes.to_vec());
    }

    /// Notes what was done, for whoever reads a finding.
    pub fn did(&mut self, what: impl Into<String>) {
        self.history.push(what.into());
    }

    pub fn history(&self) -> String {
        let from = self.history.len().saturating_sub(25);
        self.history[from..].iter().map(|line| format!("    {}\n", super::shortened(line))).collect()
    }

    /// Runs the program to its end, which must be a good one.
    pub fn run(&mut self, args: &[&str]) -> Result<Ended, String> {
        let running = Running::begin(&self.shop(), args, &[]);
        self.over(running.end())
    }

    /// A pass on the day of the tests.
    pub fn make(&mut self) -> Result<Ended, String> {
        self.run(&["make", "--as-of", TODAY])
    }

    /// Takes a run into the account, and looks whether it went well.
    pub fn over(&mut self, ended: Ended) -> Result<Ended, String> {
        self.runs += 1;
        self.slowest = self.slowest.max(ended.took);
        self.largest = self.largest.max(ended.peak);
        self.hits += u64::from(ended.killed && ended.code().is_none());
        self.did(format!(
            "benchlight {} -> {:?}{}",
            ended.words,
            ended.code(),
            if ended.killed { ", killed" } else { "" }
        ));
        ended.is_well()?;
        self.keeps_quiet(&ended.told()).map_err(|e| format!("{e}: benchlight {}", ended.words))?;
        Ok(ended)
    }

    /// Neither the key nor a secret of the host's stands in a text.
    pub fn keeps_quiet(&self, text: &str) -> Result<(), String> {
        let plain: String =
            text.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_ascii_lowercase();
        match plain.contains(&self.key[..24]) {
            true => return Err("the key is shown".to_owned()),
            false if text.contains(SECRET) => {}
            false => return Ok(()),
        }
        let line = text.lines().find(|line| line.contains(SECRET)).unwrap_or_default();
        Err(format!("a secret is shown: {line}"))
    }

    /// What holds after each step.
    pub fn claims(&self) -> Result<(), String> {
        claims::site(&self.at("public"), &self.key)?;
        claims::site(&self.base().join("host"), &self.key).map_err(|e| format!("at the host, {e}"))?;
        self.strangers_are_left_alone()
    }

    fn strangers_are_left_alone(&self) -> Result<(), String> {
        for (path, bytes) in &self.strangers {
            if fs::read(path).ok().as_ref() != Some(bytes) {
                return Err(format!("a file of somebody else's was touched: {}", path.display()));
            }
        }
        let known =
            self.strangers.keys().filter(|path| path.starts_with(self.base().join("outside"))).count();
        match plain_files(&self.base().join("outside")).len() {
            now if now == known => Ok(()),
            now => Err(format!("files were written outside the shop: {now} instead of {known}")),
        }
    }

    /// Makes the shop whole again, as an owner would from a copy; a pass must then give all that the first one gave.
    pub fn heal(&mut self) -> Result<(), String> {
        for folder in ["content", "themes", "print"] {
            let _ = fs::remove_dir_all(self.at(folder));
            let _ = fs::remove_file(self.at(folder));
        }
        plain_files_alone(&self.at(".benchlight"));
        // A folder in its place is told, and whoever looks after the computer takes it away.
        let _ = fs::remove_dir_all(self.at(".benchlight/lock"));
        self.did("# healed");
        self.lay_out();
        let made = self.make()?;
        if made.code() != Some(0) {
            return Err(format!("a whole shop is not made again: {}", made.told()));
        }
        let now = digests(&self.at("public"));
        let lost = self.made.iter().find(|(path, digest)| now.get(*path) != Some(*digest));
        if let Some((path, _)) = lost {
            return Err(format!("lost or changed for good: {path}"));
        }
        let more = now.keys().find(|path| {
            !self.made.contains_key(*path) && !self.strangers.contains_key(&self.at("public").join(path))
        });
        match more {
            Some(path) => Err(format!("left behind: {path}")),
            None => self.claims(),
        }
    }
}

/// Links, pipes and the like go, as somebody who looks after the computer would see to.
fn plain_files_alone(folder: &Path) {
    match fs::symlink_metadata(folder) {
        Ok(facts) if !facts.is_dir() => drop(fs::remove_file(folder)),
        _ => {}
    }
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        match entry.file_type() {
            Ok(kind) if kind.is_dir() && entry.path().extension().is_none() => {
                plain_files_alone(&entry.path())
            }
            Ok(kind) if kind.is_dir() => drop(fs::remove_dir_all(entry.path())),
            Ok(kind) if !kind.is_file() => drop(fs::remove_file(entry.path())),
            _ => {}
        }
    }
}

pub fn put_at(at: &Path, bytes: &[u8]) {
    let folder = at.parent().expect("a folder");
    if fs::create_dir_all(folder).is_err() {
        let _ = fs::remove_file(folder);
        fs::create_dir_all(folder).expect("its folder");
    }
    match fs::symlink_metadata(at) {
        Ok(facts) if facts.is_dir() => drop(fs::remove_dir_all(at)),
        Ok(facts) if !facts.is_file() => drop(fs::remove_file(at)),
        _ => {}
    }
    fs::File::create(at).and_then(|mut f| std::io::Write::write_all(&mut f, bytes)).expect("the file");
}

fn digests(folder: &Path) -> BTreeMap<String, Digest> {
    plain_files(folder).into_iter().map(|(path, bytes)| (path, Digest::of(&bytes))).collect()
}

fn content(key: &str, idle: bool) -> BTreeMap<String, Vec<u8>> {
    let shop = TestShop::healthy_and_quick(idle);
    let mut whole: BTreeMap<String, Vec<u8>> =
        shop.tree("content").into_iter().map(|(path, bytes)| (format!("content/{path}"), bytes)).collect();
    let mut put = |path: &str, bytes: &[u8]| drop(whole.insert(path.to_owned(), bytes.to_vec()));
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    put("content/shop.toml", format!("{text}\n[post]\nto = \"folder\"\nfolder = \"../host\"\n").as_bytes());
    put("content/shop.key", key.as_bytes());
    put("post.key", format!("password = \"{SECRET}\"\n").as_bytes());
    put(&format!("{JOB}/job.toml"), PRIVATE.as_bytes());
    let photo = |n: u8| [crate::builder::PHONE_PHOTO, &[n]].concat();
    put(&format!("{JOB}/IMG_20260510_101010.jpg"), &photo(1));
    put(&format!("{JOB}/not shown/CANARYHIDDEN.jpg"), &photo(2));
    put(&format!("{JOB}/hide CANARYHIDDENTOO.jpg"), &photo(3));
    let sealed = PRIVATE.replace("[reached]", "[reached]\nwashed = 2026-05-03").replacen(
        "route ",
        "sealed = true\nroute ",
        1,
    );
    put("content/jobs/26-090 Quill gobbler/job.toml", sealed.as_bytes());
    put("content/jobs/26-090 Quill gobbler/IMG_20260511_101010.jpg", &photo(4));
    put(
        "content/jobs/26-091 Ott gobbler/job.toml",
        PRIVATE.replace("[reached]", "[reached]\ncollected = 2026-05-10").as_bytes(),
    );
    put("content/pages/bench.jpg", &photo(5));
    put("content/pages/bench.md", b"# The bench\n\n![Our bench](bench.jpg)\n\nSee [prices](prices.md).\n");
    whole
}
