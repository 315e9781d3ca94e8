//! A host that has bad days: stands before a real one, counts the requests, and answers some of them itself, breaks
//! off, or says nothing.

use super::servers::free_port;
use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

/// What it does to a request.
#[derive(Clone, Debug)]
pub enum Mood {
    Passes,
    /// Each so many-th is answered with this status.
    Answers(usize, u16, String),
    /// Each so many-th is cut off in the middle of what is sent.
    Cuts(usize),
    /// Each so many-th is left without an answer.
    Stalls(usize),
    /// Whatever is to be taken away is refused.
    KeepsAll,
    /// Whatever is put there is taken with thanks and forgotten.
    Forgets,
}

pub struct Proxy {
    pub port: u16,
    mood: Arc<Mutex<Mood>>,
    seen: Arc<Mutex<Vec<String>>>,
}

impl Proxy {
    pub fn before(server: u16) -> Proxy {
        let port = free_port();
        let listener = TcpListener::bind(("127.0.0.1", port)).unwrap();
        let mood = Arc::new(Mutex::new(Mood::Passes));
        let seen: Arc<Mutex<Vec<String>>> = Arc::default();
        let (its_mood, its_seen) = (mood.clone(), seen.clone());
        let count = Arc::new(AtomicUsize::new(0));
        thread::spawn(move || {
            for client in listener.incoming().flatten() {
                let (mood, seen, count) = (its_mood.clone(), its_seen.clone(), count.clone());
                thread::spawn(move || drop(serve(client, server, &mood, &seen, &count)));
            }
        });
        Proxy { port, mood, seen }
    }

    pub fn is(&self, mood: Mood) {
        *self.mood.lock().unwrap() = mood;
    }

    /// The first line of each request since the last call.
    pub fn requests(&self) -> Vec<String> {
        std::mem::take(&mut self.seen.lock().unwrap())
    }
}

fn serve(
    mut client: TcpStream,
    server: u16,
    mood: &Mutex<Mood>,
    seen: &Mutex<Vec<String>>,
    count: &AtomicUsize,
) -> std::io::Result<()> {
    let mut bytes = Vec::new();
    let mut piece = [0; 65536];
    let end = loop {
        if let Some(end) = bytes.windows(4).position(|four| four == b"\r\n\r\n") {
            break end + 4;
        }
        match client.read(&mut piece)? {
            0 => return Ok(()),
            n => bytes.extend(&piece[..n]),
        }
    };
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let length = head
        .lines()
        .find_map(|line| line.to_ascii_lowercase().strip_prefix("content-length: ")?.parse().ok());
    let length: usize = length.unwrap_or(0);
    seen.lock().unwrap().push(head.lines().next().unwrap_or_default().to_owned());
    let nth = count.fetch_add(1, Ordering::SeqCst) + 1;
    let due = |each: &usize| nth.is_multiple_of(*each);
    let removes = head.starts_with("DELETE ") || head.starts_with("POST ") && head.contains("?delete");
    // Not locked any longer than to look: one that is left without an answer holds nobody else up.
    let mood = mood.lock().unwrap().clone();
    match mood {
        Mood::Answers(each, status, body) if due(&each) => {
            drain(&mut client, bytes.len() - end, length)?;
            let head = format!(
                "HTTP/1.1 {status} Bad Day\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
                body.len()
            );
            return client.write_all(format!("{head}{body}").as_bytes());
        }
        Mood::KeepsAll if removes => {
            drain(&mut client, bytes.len() - end, length)?;
            return client.write_all(b"HTTP/1.1 403 No\r\nContent-Length: 0\r\nConnection: close\r\n\r\n");
        }
        Mood::Forgets if head.starts_with("PUT ") => {
            drain(&mut client, bytes.len() - end, length)?;
            return client.write_all(
                b"HTTP/1.1 200 OK\r\nETag: \"0\"\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
            );
        }
        // What is cut off has reached the real host in part.
        Mood::Cuts(each) if due(&each) => {
            let mut host = TcpStream::connect(("127.0.0.1", server))?;
            let half = end + (bytes.len() - end) / 2;
            host.write_all(&bytes[..half])?;
            thread::sleep(Duration::from_millis(20));
            host.shutdown(Shutdown::Both)?;
            return client.shutdown(Shutdown::Both);
        }
        Mood::Stalls(each) if due(&each) => {
            thread::sleep(Duration::from_secs(600));
            return Ok(());
        }
        _ => {}
    }
    let mut host = TcpStream::connect(("127.0.0.1", server))?;
    let (first, rest) = head.split_once("\r\n").unwrap_or((&head, ""));
    let rest: Vec<&str> =
        rest.lines().filter(|line| !line.to_ascii_lowercase().starts_with("connection:")).collect();
    let head = format!("{first}\r\nConnection: close\r\n{}\r\n", rest.join("\r\n"));
    host.write_all(head.as_bytes())?;
    host.write_all(&bytes[end..])?;
    let mut left = length.saturating_sub(bytes.len() - end);
    while left > 0 {
        let n = client.read(&mut piece)?;
        if n == 0 {
            return Ok(());
        }
        host.write_all(&piece[..n])?;
        left -= n;
    }
    let mut answer = Vec::new();
    host.read_to_end(&mut answer)?;
    client.write_all(&answer)
}

fn drain(client: &mut TcpStream, have: usize, length: usize) -> std::io::Result<()> {
    let mut left = length.saturating_sub(have);
    let mut piece = [0; 65536];
    while left > 0 {
        match client.read(&mut piece)? {
            0 => break,
            n => left -= n.min(left),
        }
    }
    Ok(())
}
