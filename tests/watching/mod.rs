//! `watch`, driven as an owner drives it: the real program, real saves, the pages as a browser gets them.
//! Nothing is claimed about clocks: what must come is waited for with great patience.

mod arriving;
mod clock_ahead;
mod gives_up;
mod hard_requests;
mod phone;
mod preview;
mod scanned;
mod scenes;
mod trouble;

use crate::builder::{TestShop, spoken};
use std::io::{Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command};
use std::sync::mpsc::Receiver;
use std::thread;
use std::time::{Duration, Instant};

/// So long is waited for what must come.
const PATIENCE: Duration = Duration::from_secs(60);

/// A running `benchlight watch`.
pub struct Watching {
    pub child: Child,
    lines: Receiver<String>,
    /// All that it said so far, both streams.
    pub said: Vec<String>,
    pub base: String,
}

impl Watching {
    pub fn on(shop: &TestShop) -> Watching {
        Watching::with(shop, &[])
    }

    pub fn with(shop: &TestShop, args: &[&str]) -> Watching {
        Watching::run(shop, Command::new(env!("CARGO_BIN_EXE_benchlight")).arg("watch").args(args))
    }

    /// Runs a command that ends up as `benchlight watch`, and waits until the pages can be seen.
    pub fn run(shop: &TestShop, command: &mut Command) -> Watching {
        let (child, lines) = spoken::watch(command.current_dir(shop.path()));
        let mut watching = Watching { child, lines, said: Vec::new(), base: String::new() };
        let line = watching.until("the front page");
        watching.base = line.split_whitespace().next().unwrap().to_owned();
        watching.until("Ctrl-C ends it");
        watching
    }

    /// Waits until a line holds `what`; lines that were said before do not count.
    pub fn until(&mut self, what: &str) -> String {
        let begun = Instant::now();
        while let Some(left) = PATIENCE.checked_sub(begun.elapsed()) {
            let Ok(line) = self.lines.recv_timeout(left) else { break };
            self.said.push(line.clone());
            if line.contains(what) {
                return line;
            }
        }
        panic!("it never said {what:?}, but:\n{}", self.said.join("\n"));
    }

    /// Waits until a line holds `what`, if none did before.
    pub fn has_said(&mut self, what: &str) {
        if !self.all_said().contains(what) {
            self.until(what);
        }
    }

    /// All that was said so far.
    pub fn all_said(&mut self) -> String {
        self.said.extend(self.lines.try_iter());
        self.said.join("\n")
    }

    /// Asks for a page: status, headers, body.
    pub fn get(&self, path: &str) -> (u16, String, String) {
        let host = self.base.trim_start_matches("http://").trim_end_matches('/');
        ask(host, &format!("GET /{path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"))
    }

    /// Waits until a page holds `what`.
    pub fn shows(&self, path: &str, what: &str) -> String {
        let begun = Instant::now();
        loop {
            let (_, _, page) = self.get(path);
            if page.contains(what) {
                return page;
            }
            assert!(begun.elapsed() < PATIENCE, "{path} never showed {what:?}:\n{page}");
            thread::sleep(Duration::from_millis(20));
        }
    }

    /// Ends it as Ctrl-C does, and gives the exit code.
    pub fn end(mut self) -> (Option<i32>, String) {
        signal(&self.child, "INT");
        let begun = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                thread::sleep(Duration::from_millis(100));
                return (status.code(), self.all_said());
            }
            assert!(begun.elapsed() < PATIENCE, "it did not end:\n{}", self.all_said());
            thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Watching {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub fn signal(child: &Child, name: &str) {
    let id = child.id().to_string();
    assert!(Command::new("kill").args([&format!("-{name}"), &id]).status().unwrap().success());
}

/// Sends a request as it stands and reads the answer to its end.
pub fn ask(host: &str, request: &str) -> (u16, String, String) {
    let mut stream = TcpStream::connect(host).expect("the preview listens");
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split_whitespace().nth(1).and_then(|code| code.parse().ok()).unwrap_or(0);
    (status, head.to_owned(), body.to_owned())
}

/// The path of a job's private page, as a browser asks for it.
pub fn page_of(shop: &TestShop, number: &str) -> String {
    shop.private_page(number).expect("a private page").0.trim_end_matches("index.html").to_owned()
}

/// A healthy shop whose day is pinned, since `watch` has no `--as-of`.
pub fn pinned_shop() -> TestShop {
    let shop = TestShop::healthy();
    pin(&shop);
    shop
}

pub fn pin(shop: &TestShop) {
    let text = std::fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    shop.file("content/shop.toml", format!("{text}\n[made-up]\nday = {}\n", crate::builder::TODAY));
}

/// Waits until the output is exactly what a clean `make` of the same content gives.
pub fn settles_like_a_clean_make(shop: &TestShop, watching: &mut Watching) {
    let clean = tempfile::tempdir().unwrap();
    let out = clean.path().join("public");
    let ran = shop.run(&["make", "--out", out.to_str().unwrap()]);
    assert!(ran.output.status.code() != Some(2), "{}", ran.err());
    let want = crate::builder::tree(&out);
    let begun = Instant::now();
    loop {
        // While a pass removes files, a walk may meet what is gone a moment later.
        let have = std::panic::catch_unwind(|| shop.tree("public")).unwrap_or_default();
        if have == want {
            return;
        }
        if begun.elapsed() > PATIENCE {
            let differing: Vec<&String> =
                want.keys().chain(have.keys()).filter(|path| want.get(*path) != have.get(*path)).collect();
            panic!("not like a clean make: {differing:?}\n{}", watching.all_said());
        }
        thread::sleep(Duration::from_millis(50));
    }
}
