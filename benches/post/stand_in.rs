//! A stand-in for object storage, in memory: PUT, DELETE and ListObjectsV2 of S3's protocol, a thousand names a page.
//! It believes everybody and keeps no bytes, only their MD5 and length.

use md5::{Digest, Md5};
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::ops::Bound;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

pub const PAGE: usize = 1000;
pub const BUCKET: &str = "bench";

type Objects = BTreeMap<String, (usize, String)>;

pub struct StandIn {
    pub port: u16,
    requests: Arc<AtomicUsize>,
}

impl StandIn {
    pub fn start(files: impl Iterator<Item = (String, Vec<u8>)>) -> StandIn {
        let objects: Arc<Mutex<Objects>> =
            Arc::new(Mutex::new(files.map(|(path, bytes)| (path, told(&bytes))).collect()));
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let requests = Arc::new(AtomicUsize::new(0));
        let counted = requests.clone();
        std::thread::spawn(move || {
            for stream in listener.incoming() {
                let (stream, objects, counted) = (stream.unwrap(), objects.clone(), counted.clone());
                std::thread::spawn(move || talk(stream, &objects, &counted));
            }
        });
        StandIn { port, requests }
    }

    pub fn requests(&self) -> usize {
        self.requests.load(Ordering::SeqCst)
    }
}

fn told(bytes: &[u8]) -> (usize, String) {
    (bytes.len(), data_encoding::HEXLOWER.encode(&Md5::digest(bytes)))
}

/// Answers one request after the other; the client is our own and means well.
fn talk(stream: TcpStream, objects: &Mutex<Objects>, counted: &AtomicUsize) -> io::Result<()> {
    let mut writing = stream.try_clone()?;
    let mut reading = BufReader::new(stream);
    loop {
        let mut first = String::new();
        if reading.read_line(&mut first)? == 0 {
            return Ok(());
        }
        let (mut length, mut last) = (0, false);
        loop {
            let mut header = String::new();
            reading.read_line(&mut header)?;
            match header.trim().split_once(':') {
                Some((name, value)) if name.eq_ignore_ascii_case("content-length") => {
                    length = value.trim().parse().unwrap();
                }
                Some((name, value)) if name.eq_ignore_ascii_case("connection") => {
                    last = value.trim().eq_ignore_ascii_case("close");
                }
                Some(_) => {}
                None => break,
            }
        }
        let mut bytes = vec![0; length];
        reading.read_exact(&mut bytes)?;
        counted.fetch_add(1, Ordering::SeqCst);
        let mut words = first.split(' ');
        let (status, header, body) =
            answer(words.next().unwrap(), words.next().unwrap(), &bytes, &mut objects.lock().unwrap());
        let length =
            if status == 204 { String::new() } else { format!("Content-Length: {}\r\n", body.len()) };
        writing.write_all(format!("HTTP/1.1 {status} So\r\n{header}{length}\r\n{body}").as_bytes())?;
        if last {
            return Ok(());
        }
    }
}

fn answer(method: &str, address: &str, bytes: &[u8], objects: &mut Objects) -> (u16, String, String) {
    let (path, asked) = address.split_once('?').unwrap_or((address, ""));
    let name = path.trim_start_matches('/').trim_start_matches(BUCKET).trim_start_matches('/').to_owned();
    let plain = |status, body| (status, String::new(), body);
    match method {
        "PUT" => {
            let facts = told(bytes);
            let tag = format!("ETag: \"{}\"\r\n", facts.1);
            objects.insert(name, facts);
            (200, tag, String::new())
        }
        "DELETE" => {
            objects.remove(&name);
            plain(204, String::new())
        }
        "GET" if name.is_empty() => plain(200, listing(asked, objects)),
        _ => plain(400, String::new()),
    }
}

fn listing(asked: &str, objects: &Objects) -> String {
    let get = |key: &str| {
        let value = asked.split('&').find_map(|pair| pair.strip_prefix(&format!("{key}=")))?;
        Some(percent_encoding::percent_decode_str(value).decode_utf8().unwrap().into_owned())
    };
    let prefix = get("prefix").unwrap_or_default();
    let from = get("continuation-token").unwrap_or_default();
    let mut xml = String::from("<ListBucketResult>");
    let mut folders = BTreeSet::new();
    let mut names = 0;
    let mut last = String::new();
    for (path, (bytes, tag)) in objects.range::<String, _>((Bound::Excluded(&from), Bound::Unbounded)) {
        let Some(rest) = path.strip_prefix(&prefix) else { continue };
        if names == PAGE {
            xml += &format!(
                "<IsTruncated>true</IsTruncated><NextContinuationToken>{last}</NextContinuationToken>"
            );
            return xml + "</ListBucketResult>";
        }
        last.clone_from(path);
        match rest.split_once('/').filter(|_| get("delimiter").is_some()) {
            Some((folder, _)) => drop(folders.insert(folder.to_owned())),
            None => {
                names += 1;
                xml += &format!(
                    "<Contents><Key>{path}</Key><LastModified>2026-05-20T00:00:00.000Z</LastModified>\
                     <ETag>\"{tag}\"</ETag><Size>{bytes}</Size></Contents>"
                );
            }
        }
    }
    for folder in folders {
        xml += &format!("<CommonPrefixes><Prefix>{prefix}{folder}/</Prefix></CommonPrefixes>");
    }
    xml + "<IsTruncated>false</IsTruncated></ListBucketResult>"
}
