//! `watch`, while strangers' pages in a browser, and programs on this computer, ask its preview for what they like.

use super::bend;
use super::ground::{Ground, SECRET};
use super::running::odd_sign;
use crate::builder::{TODAY, spoken};
use std::io::{Read, Write};
use std::net::{Shutdown, TcpStream};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::Receiver;
use std::thread;
use std::time::{Duration, Instant};

/// So long is waited for an answer, for the beginning and for the end.
const PATIENCE: Duration = Duration::from_secs(20);
/// So long a request that nobody has to answer is left open.
const SHORTLY: Duration = Duration::from_millis(150);

/// Requests as nobody sends them who means well; `PORT` is where it listens.
const REQUESTS: [&str; 26] = [
    "GET / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "POST / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nContent-Length: 99999999999\r\n\r\nx",
    "POST / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nContent-Length: 18446744073709551615\r\n\r\n",
    "POST / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nContent-Length: 1000\r\n\r\n",
    "POST / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nContent-Length: -1\r\n\r\n",
    "POST / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nabcdef",
    "POST / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nTransfer-Encoding: chunked\r\n\r\nffffffffffffffff\r\nx",
    "POST / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nTransfer-Encoding: chunked\r\nContent-Length: 3\r\n\r\n0\r\n\r\nGET /board/ HTTP/1.1\r\n\r\n",
    "GET /board/ HTTP/1.1\r\nHost: evil.example\r\n\r\n",
    "GET /board/ HTTP/1.1\r\nHost: 127.0.0.1.evil.example:PORT\r\n\r\n",
    "GET /board/ HTTP/1.1\r\n\r\n",
    "GET /../shop.key HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "GET /%2e%2e/content/shop.key HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "GET /..%2fcontent%2fshop.key HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "GET /.benchlight/lock HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "GET http://127.0.0.1:PORT/content/shop.key HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "GET /%00 HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "GET / HTTP/9.9\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "GET / HTTP/1.1\nHost: 127.0.0.1:PORT\n\n",
    "\u{1b}]0;owned\u{7} / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "GET /\u{1b}]0;owned\u{7} HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n",
    "CONNECT evil.example:80 HTTP/1.1\r\nHost: evil.example:80\r\n\r\n",
    "GET / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nExpect: 100-continue\r\nContent-Length: 9\r\n\r\n",
    "GET / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n",
    "GET / HTTP/1.1\r\nHost",
    "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
];

/// A running `watch` and what it says.
struct Watched {
    child: Child,
    said: Vec<String>,
    lines: Receiver<String>,
    port: u16,
}

impl Watched {
    fn on(ground: &Ground) -> Result<Watched, String> {
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
        command.arg("watch").current_dir(ground.shop()).stdin(Stdio::null());
        let (child, lines) = spoken::watch(&mut command);
        let mut watched = Watched { child, said: Vec::new(), lines, port: 0 };
        let begun = Instant::now();
        while let Ok(line) = watched.lines.recv_timeout(PATIENCE.saturating_sub(begun.elapsed())) {
            let port = line
                .split_once("http://127.0.0.1:")
                .and_then(|(_, rest)| rest.split('/').next()?.trim().parse().ok());
            watched.said.push(line);
            if let Some(port) = port {
                watched.port = port;
                return Ok(watched);
            }
        }
        Err(format!("watch never listened: {}", watched.all_said()))
    }

    fn all_said(&mut self) -> String {
        self.said.extend(self.lines.try_iter());
        self.said.join("\n")
    }

    /// It still runs, and answers whoever means well.
    fn is_alive(&mut self, after: &str) -> Result<(), String> {
        if let Some(status) = self.child.try_wait().unwrap() {
            return Err(format!("watch was ended by a request ({status}): {after:?}: {}", self.all_said()));
        }
        let host = format!("127.0.0.1:{}", self.port);
        let answer = asked(
            &host,
            format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").as_bytes(),
            PATIENCE,
        );
        match answer.starts_with("HTTP/1.1 200") && answer.trim_end().ends_with("</html>") {
            true => Ok(()),
            false => Err(format!(
                "watch does not answer any more: after {after:?} it said {:?}",
                super::shortened(&answer)
            )),
        }
    }

    /// Ends it as Ctrl-C does, whoever hangs on to it.
    fn end(mut self) -> Result<String, String> {
        let id = self.child.id().to_string();
        let _ = Command::new("kill").args(["-INT", &id]).status();
        let begun = Instant::now();
        while self.child.try_wait().unwrap().is_none() {
            if begun.elapsed() > PATIENCE {
                return Err(format!("watch did not end: {}", self.all_said()));
            }
            thread::sleep(Duration::from_millis(20));
        }
        thread::sleep(Duration::from_millis(50));
        match self.child.wait().unwrap().code() {
            Some(0) => Ok(self.all_said()),
            code => Err(format!("watch ended badly ({code:?}): {}", self.all_said())),
        }
    }
}

impl Drop for Watched {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What comes back for these bytes, as far as anything comes.
fn asked(host: &str, request: &[u8], patience: Duration) -> String {
    let Ok(mut stream) = TcpStream::connect(host) else { return String::new() };
    let _ = stream.set_read_timeout(Some(patience));
    let _ = stream.set_write_timeout(Some(patience));
    let _ = stream.write_all(request);
    let (mut answer, mut piece) = (Vec::new(), [0; 16384]);
    while let Ok(read @ 1..) = stream.read(&mut piece) {
        answer.extend_from_slice(&piece[..read]);
        if answer.len() > 4 << 20 {
            break;
        }
    }
    String::from_utf8_lossy(&answer).into_owned()
}

/// Thirty hostile requests or so, some bent, some never ended; while the content is bent too.
pub fn requests(ground: &mut Ground) -> Result<(), String> {
    let shop = String::from_utf8(ground.whole("content/shop.toml")).unwrap();
    ground.put("content/shop.toml", format!("{shop}\n[made-up]\nday = {TODAY}\n"));
    let mut watched = Watched::on(ground)?;
    let host = format!("127.0.0.1:{}", watched.port);
    let mut hanging = Vec::new();
    for n in 0..30 {
        let picked = *ground.dice.one(&REQUESTS);
        let mut request = picked.replace("PORT", &watched.port.to_string()).into_bytes();
        match ground.dice.below(6) {
            0 => request = bend::text(&request, &mut ground.dice),
            1 => request.splice(4..4, vec![b'a'; 200_000]).for_each(drop),
            2 => {
                let head = format!("X-A: {}\r\n", "b".repeat(100)).repeat(2_000);
                let at = request.windows(2).position(|pair| pair == b"\r\n").map_or(0, |at| at + 2);
                request.splice(at..at, head.bytes()).for_each(drop);
            }
            _ => {}
        }
        let shown = String::from_utf8_lossy(&request).chars().take(90).collect::<String>();
        let evil = request.windows(12).any(|part| part == b"evil.example");
        if ground.dice.below(4) == 0 {
            if let Ok(mut stream) = TcpStream::connect(&host) {
                let _ = stream.set_write_timeout(Some(SHORTLY));
                let _ = stream.write_all(&request);
                hanging.push(stream);
            }
            ground.did(format!("left open: {shown:?}"));
        } else {
            let answer = asked(&host, &request, SHORTLY);
            ground.did(format!("asked {shown:?}, answered {:?}", answer.lines().next().unwrap_or_default()));
            ground.keeps_quiet(&answer).map_err(|e| format!("{e}: asked {shown:?}"))?;
            if evil && (answer.starts_with("HTTP/1.1 200") || answer.contains("CANARY")) {
                return Err(format!("a page of another origin was answered: {shown:?}"));
            }
        }
        if n % 5 == 4 {
            watched.is_alive(&shown)?;
            let path = "content/pages/bench.md";
            let bent = bend::text(&ground.whole(path), &mut ground.dice);
            ground.put(path, bent);
        }
    }
    watched.is_alive("all of it")?;
    let said = watched.end()?;
    for stream in hanging {
        let _ = stream.shutdown(Shutdown::Both);
    }
    if let Some(odd) = odd_sign(&said) {
        return Err(format!("watch shows a sign {odd:?}: {said}"));
    }
    if said.contains("panicked at") || said.contains(SECRET) {
        return Err(format!("watch panicked or shows a secret: {said}"));
    }
    ground.heal()
}
