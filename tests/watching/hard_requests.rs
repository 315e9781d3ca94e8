//! Requests that no browser sends, by hand: each is answered or closed, the preview goes on answering others meanwhile,
//! and `watch` ends when it is asked to, whoever is still connected. What is right and wrong in a request: RFC 9112
//! (HTTP/1.1), 2.3, 3.2, 6.1 to 6.3 and 9.3.2. Bounds in numbers are our own.

use super::{Watching, pinned_shop};
use crate::builder::TestShop;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Others are answered, and it ends, within this; a second would do but for a busy machine.
const SOON: Duration = Duration::from_secs(5);
/// Longer than any request may take to come.
const LONG: Duration = Duration::from_secs(20);

struct Preview {
    watching: Watching,
    host: String,
    shop: TestShop,
}

impl Preview {
    fn open() -> Preview {
        let shop = pinned_shop();
        let watching = Watching::on(&shop);
        let host = watching.base.trim_start_matches("http://").trim_end_matches('/').to_owned();
        Preview { watching, host, shop }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.host).expect("the preview listens");
        stream.set_read_timeout(Some(LONG)).unwrap();
        stream.set_write_timeout(Some(LONG)).unwrap();
        stream
    }

    /// Sends these bytes, as far as they are taken, and gives the answer; `None` if it neither answers to the end nor
    /// closes.
    fn asked(&self, request: &[u8]) -> Option<String> {
        let mut stream = self.connect();
        let _ = stream.write_all(request);
        to_the_end(&mut stream)
    }

    /// The front page is answered in good time.
    fn answers_others(&self, while_it: &str) {
        let begun = Instant::now();
        let host = &self.host;
        let asked =
            self.asked(format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").as_bytes());
        let status = asked.as_deref().map(status);
        assert_eq!(status, Some(200), "{while_it}: {asked:?}");
        assert!(begun.elapsed() < SOON, "{while_it}: others wait for {:?}", begun.elapsed());
    }

    /// It ends as it should, whoever is still there.
    fn ends(self) {
        let begun = Instant::now();
        let (code, said) = self.watching.end();
        assert_eq!(code, Some(0), "{said}");
        assert!(begun.elapsed() < SOON, "it took {:?} to end", begun.elapsed());
        drop(self.shop);
    }
}

/// What comes until the connection is closed; `None` if it is not.
fn to_the_end(stream: &mut TcpStream) -> Option<String> {
    let mut bytes = Vec::new();
    let mut piece = [0; 4096];
    let begun = Instant::now();
    while begun.elapsed() < LONG {
        match stream.read(&mut piece) {
            Ok(0) => return Some(String::from_utf8_lossy(&bytes).into_owned()),
            Ok(read) => bytes.extend_from_slice(&piece[..read]),
            Err(e) if [std::io::ErrorKind::WouldBlock, std::io::ErrorKind::TimedOut].contains(&e.kind()) => {
                return None;
            }
            // Cut off, which is a way of closing.
            Err(_) => return Some(String::from_utf8_lossy(&bytes).into_owned()),
        }
    }
    None
}

fn status(answer: &str) -> u16 {
    answer.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0)
}

#[test]
fn a_length_that_cannot_be_is_refused_and_nobody_waits_for_it() {
    let preview = Preview::open();
    let host = preview.host.clone();
    for (lengths, refused) in [
        (&["Content-Length: 99999999999"][..], &[413, 405][..]),
        (&["Content-Length: 9223372036854775807"], &[413, 405]),
        (&["Content-Length: 18446744073709551614"], &[400, 431, 413, 405]),
        (&["Content-Length: 18446744073709551615"], &[400, 431, 413, 405]),
        (&["Content-Length: 18446744073709551616"], &[400]),
        (&["Content-Length: -1"], &[400]),
        (&["Content-Length: +1"], &[400]),
        (&["Content-Length: 0x10"], &[400]),
        (&["Content-Length: ten"], &[400]),
        (&["Content-Length: 5", "Content-Length: 6"], &[400]),
        (&["Content-Length: 5, 6"], &[400]),
        (&["Transfer-Encoding: chunked"], &[413, 405]),
        (&["Transfer-Encoding: chunked", "Content-Length: 99999999999"], &[400, 413, 405]),
        (&["Transfer-Encoding: gzip"], &[400]),
        (&["Expect: 100-continue", "Content-Length: 99999999999"], &[413, 405]),
    ] {
        for method in ["POST", "PUT", "GET", "HEAD", "NEW"] {
            let lines = lengths.join("\r\n");
            let request = format!("{method} / HTTP/1.1\r\nHost: {host}\r\n{lines}\r\n\r\n");
            let begun = Instant::now();
            let answer = preview.asked(request.as_bytes());
            let told = format!("{request}gave {answer:?}");
            assert!(answer.as_deref().is_some_and(|answer| refused.contains(&status(answer))), "{told}");
            assert!(begun.elapsed() < SOON, "{told} after {:?}", begun.elapsed());
            preview.answers_others(&request);
        }
    }
    // With some of what was announced, which is not read.
    let announced = format!("POST / HTTP/1.1\r\nHost: {host}\r\nContent-Length: 5000000\r\n\r\n");
    let answer = preview.asked(&[announced.as_bytes(), &[b'x'; 100_000]].concat()).unwrap();
    assert_eq!(status(&answer), 405, "{answer}");
    assert!(answer.to_ascii_lowercase().contains("connection: close"), "{answer}");
    preview.ends();
}

#[test]
fn connections_that_announce_a_body_and_send_none_hold_up_nobody() {
    let preview = Preview::open();
    let host = preview.host.clone();
    let mut hanging = Vec::new();
    for method in ["POST", "GET"] {
        for _ in 0..8 {
            let mut stream = preview.connect();
            write!(stream, "{method} / HTTP/1.1\r\nHost: {host}\r\nContent-Length: 10\r\n\r\n").unwrap();
            hanging.push(stream);
        }
        preview.answers_others("they hang");
    }
    preview.ends();
    drop(hanging);
}

#[test]
fn half_a_request_is_closed_after_a_while_and_holds_up_nobody() {
    let preview = Preview::open();
    let host = preview.host.clone();
    let begun = Instant::now();
    let mut slow: Vec<TcpStream> = (0..60).map(|_| preview.connect()).collect();
    // More and more headers, one at a time; and some who say nothing at all.
    for (i, stream) in slow.iter_mut().enumerate().filter(|(i, _)| i % 3 != 0) {
        write!(stream, "GET / HTTP/1.1\r\nHost: {host}\r\nX-{i}: ").unwrap();
    }
    while begun.elapsed() < Duration::from_secs(12) {
        for stream in &mut slow {
            let _ = stream.write_all(b"a\r\nX: ");
        }
        preview.answers_others("slow requests come in");
        std::thread::sleep(Duration::from_millis(500));
    }
    for stream in &mut slow {
        stream.set_read_timeout(Some(SOON)).unwrap();
        assert!(to_the_end(stream).is_some(), "one of them is still there after {:?}", begun.elapsed());
    }
    preview.ends();
}

#[test]
fn thousands_of_connections_leave_room_for_one_more() {
    let preview = Preview::open();
    let host = preview.host.clone();
    let mut open = std::collections::VecDeque::new();
    for i in 0..3000 {
        let mut stream = preview.connect();
        match i % 4 {
            0 => {}
            1 => write!(stream, "GET / HTTP/1.1\r\nHost: {host}\r\n").unwrap_or_default(),
            2 => write!(stream, "GET / HTTP/1.1\r\nHost: {host}\r\n\r\n").unwrap_or_default(),
            _ => write!(stream, "POST / HTTP/1.1\r\nHost: {host}\r\nContent-Length: 9\r\n\r\n")
                .unwrap_or_default(),
        }
        open.push_back(stream);
        // This program has a bound of open files as well.
        if open.len() > 400 {
            open.pop_front();
        }
        if i % 100 == 0 {
            preview.answers_others("thousands come");
        }
    }
    let of_process = format!("/proc/{}/fd", preview.watching.child.id());
    let files = std::fs::read_dir(of_process).unwrap().count();
    assert!(files < 200, "{files} files are open");
    preview.ends();
}

#[test]
fn what_is_no_request_is_refused_or_closed() {
    let preview = Preview::open();
    let host = preview.host.clone();
    let long = "a".repeat(1 << 20);
    let many = "X: y\r\n".repeat(10_000);
    let text = |request: &str| request.as_bytes().to_vec();
    let cases: Vec<(&str, Vec<u8>, &[u16])> = vec![
        ("noise", (0..=255).cycle().take(100_000).collect(), &[0, 400]),
        ("zeros", vec![0; 100_000], &[0, 400]),
        ("empty lines", text(&"\r\n".repeat(100_000)), &[0, 400, 431]),
        // A TLS ClientHello begins so (RFC 8446, 5.1), and HTTP/2 like the next (RFC 9113, 3.4).
        ("another protocol", vec![0x16, 3, 1, 2, 0, 1, 0, 1, 0xfc, 3, 3], &[0, 400]),
        ("the next version", text("PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n"), &[0, 400, 505]),
        ("another version", text(&format!("GET / HTTP/9.9\r\nHost: {host}\r\n\r\n")), &[0, 400, 505]),
        ("the first version", text("GET /\r\n"), &[0, 400]),
        ("one before", text(&format!("GET / HTTP/1.0\r\nHost: {host}\r\n\r\n")), &[200]),
        ("no name", text("GET / HTTP/1.1\r\nConnection: close\r\n\r\n"), &[403]),
        (
            "two names",
            text(&format!("GET / HTTP/1.1\r\nHost: {host}\r\nHost: {host}\r\nConnection: close\r\n\r\n")),
            &[403],
        ),
        ("a long header", text(&format!("GET / HTTP/1.1\r\nHost: {host}\r\nX: {long}\r\n\r\n")), &[0, 431]),
        ("a long name", text(&format!("GET / HTTP/1.1\r\nHost: {long}\r\n\r\n")), &[0, 431]),
        ("a long address", text(&format!("GET /{long} HTTP/1.1\r\nHost: {host}\r\n\r\n")), &[0, 414, 431]),
        ("many headers", text(&format!("GET / HTTP/1.1\r\nHost: {host}\r\n{many}\r\n")), &[0, 431]),
        (
            "a folded header",
            text(&format!("GET / HTTP/1.1\r\nHost: {host}\r\nX: a\r\n b\r\n\r\n")),
            &[0, 400],
        ),
        ("a header with a gap", text(&format!("GET / HTTP/1.1\r\nHost : {host}\r\n\r\n")), &[0, 400]),
        (
            "a whole address",
            text(&format!("GET http://{host}/ HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")),
            &[404],
        ),
        (
            "a whole address elsewhere",
            text(&format!("GET http://evil.example/ HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")),
            &[404],
        ),
        (
            "a way through",
            text(&format!("CONNECT {host} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")),
            &[405],
        ),
        (
            "an echo",
            text(&format!(
                "TRACE / HTTP/1.1\r\nHost: {host}\r\nX-Secret: canary\r\nConnection: close\r\n\r\n"
            )),
            &[405],
        ),
        ("a star", text(&format!("OPTIONS * HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")), &[405]),
        (
            "an upgrade",
            text(
                "GET /-/changes HTTP/1.1\r\nHost: evil.example\r\nUpgrade: websocket\r\nConnection: Upgrade, close\r\n\r\n",
            ),
            &[403],
        ),
        (
            "a letter beyond",
            text(&format!("GET /\u{e4} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")),
            &[0, 400, 404],
        ),
    ];
    for (what, request, expected) in cases {
        let answer = preview.asked(&request);
        let told = answer.as_deref().map_or(999, status);
        assert!(expected.contains(&told), "{what}: {told} {answer:?}");
        assert!(!answer.unwrap().contains("canary"), "{what}");
        preview.answers_others(what);
    }
    preview.ends();
}

#[test]
fn requests_that_come_together_are_answered_one_after_the_other() {
    let preview = Preview::open();
    let host = preview.host.clone();
    let get = |path: &str, more: &str| format!("GET {path} HTTP/1.1\r\nHost: {host}\r\n{more}\r\n");
    let all =
        [get("/", ""), get("/nothing", ""), get("/board", ""), get("/prices/", "Connection: close\r\n")];
    let answer = preview.asked(all.concat().as_bytes()).unwrap();
    let found: Vec<u16> = answer.split("HTTP/1.1 ").skip(1).map(|one| one[..3].parse().unwrap()).collect();
    assert_eq!(found, [200, 404, 301, 200], "{answer}");
    // What comes behind a body that was announced is no request: it could be said to come from somebody else.
    let hidden = format!("POST / HTTP/1.1\r\nHost: {host}\r\nContent-Length: 5\r\n\r\n{}", get("/", ""));
    let answer = preview.asked(hidden.as_bytes()).unwrap();
    assert_eq!(answer.matches("HTTP/1.1 ").count(), 1, "{answer}");
    preview.ends();
}

#[test]
fn whoever_reads_nothing_holds_up_nobody() {
    let preview = Preview::open();
    let host = preview.host.clone();
    // Larger than what the system takes in on the way.
    let large = std::fs::File::create(preview.shop.at("public/large.bin")).unwrap();
    large.set_len(200 << 20).unwrap();
    let mut idle: Vec<TcpStream> = (0..100).map(|_| preview.connect()).collect();
    for stream in &mut idle {
        let _ = write!(stream, "GET /large.bin HTTP/1.1\r\nHost: {host}\r\n\r\n");
    }
    preview.answers_others("nobody reads");
    let facts = std::fs::read_to_string(format!("/proc/{}/status", preview.watching.child.id())).unwrap();
    let memory = facts.lines().find_map(|line| line.strip_prefix("VmRSS:")).unwrap();
    let kib: u64 = memory.trim().trim_end_matches(" kB").parse().unwrap();
    assert!(kib < 400 << 10, "{kib} KiB for files that nobody reads");
    // 64 places, and a few sockets that are nobody's place: the listening one, the runtime's own.
    let held = sockets(preview.watching.child.id());
    assert!((32..=64 + 8).contains(&held), "{held} sockets are open for 100 who read nothing");
    preview.ends();
    drop(idle);
}

/// How many sockets a process holds open, as the system lists them (proc(5), `/proc/pid/fd`).
fn sockets(process: u32) -> usize {
    let held = std::fs::read_dir(format!("/proc/{process}/fd")).unwrap().flatten();
    let leads_to = |entry: std::fs::DirEntry| std::fs::read_link(entry.path()).ok();
    held.filter_map(leads_to).filter(|to| to.to_string_lossy().starts_with("socket:")).count()
}

#[test]
fn streams_of_changes_are_bounded_and_the_newest_page_is_told() {
    let preview = Preview::open();
    let host = preview.host.clone();
    let mut streams: Vec<TcpStream> = Vec::new();
    for _ in 0..80 {
        let mut stream = preview.connect();
        write!(stream, "GET /-/changes HTTP/1.1\r\nHost: {host}\r\n\r\n").unwrap();
        streams.push(stream);
    }
    preview.answers_others("many pages wait for changes");
    let last = streams.last_mut().unwrap();
    until(last, "data: ");
    preview.shop.edit("content/pages/prices.md", "695", "705");
    until(last, "data: ");
    // The others were sent away, and come again by themselves (WHATWG HTML, 9.2.3).
    let closed = streams.iter_mut().filter_map(|stream| {
        stream.set_read_timeout(Some(Duration::from_millis(200))).unwrap();
        to_the_end(stream)
    });
    let closed = closed.count();
    assert!(closed >= 80 - 32, "only {closed} of 80 were sent away");
    preview.watching.shows("prices/", "705");
    preview.ends();
}

/// Reads until this comes.
fn until(stream: &mut TcpStream, what: &str) {
    let mut seen = String::new();
    let mut piece = [0; 512];
    while !seen.contains(what) {
        let read = stream.read(&mut piece).expect("something comes");
        assert!(read > 0, "it ended after {seen:?}");
        seen.push_str(&String::from_utf8_lossy(&piece[..read]));
    }
}
