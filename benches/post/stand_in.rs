//! A stand-in for object storage, in memory: PUT, DELETE and ListObjectsV2 of S3's protocol, a thousand names a page.
//! It believes everybody and keeps no bytes, only their MD5 and length.

use md5::{Digest, Md5};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use tiny_http::{Header, Method, Request, Response, Server};

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
        let server = Arc::new(Server::http("127.0.0.1:0").unwrap());
        let port = server.server_addr().to_ip().unwrap().port();
        let requests = Arc::new(AtomicUsize::new(0));
        for _ in 0..4 {
            let (server, objects, requests) = (server.clone(), objects.clone(), requests.clone());
            std::thread::spawn(move || {
                for request in server.incoming_requests() {
                    requests.fetch_add(1, Ordering::SeqCst);
                    answer(request, &objects);
                }
            });
        }
        StandIn { port, requests }
    }

    pub fn requests(&self) -> usize {
        self.requests.load(Ordering::SeqCst)
    }
}

fn told(bytes: &[u8]) -> (usize, String) {
    (bytes.len(), data_encoding::HEXLOWER.encode(&Md5::digest(bytes)))
}

fn answer(mut request: Request, objects: &Mutex<Objects>) {
    let address = request.url().to_owned();
    let (path, asked) = address.split_once('?').unwrap_or((&address, ""));
    let name = path.trim_start_matches('/').trim_start_matches(BUCKET).trim_start_matches('/').to_owned();
    let response = match request.method() {
        Method::Put => {
            let mut bytes = Vec::new();
            request.as_reader().read_to_end(&mut bytes).unwrap();
            let facts = told(&bytes);
            let tag = Header::from_bytes("ETag", format!("\"{}\"", facts.1)).unwrap();
            objects.lock().unwrap().insert(name, facts);
            Response::from_string("").with_header(tag)
        }
        Method::Delete => {
            objects.lock().unwrap().remove(&name);
            Response::from_string("").with_status_code(204)
        }
        Method::Get if name.is_empty() => Response::from_string(listing(asked, &objects.lock().unwrap())),
        _ => Response::from_string("").with_status_code(400),
    };
    let _ = request.respond(response);
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
