//! What a posting of 5,000 jobs and 50,000 photos costs: in requests, which are counted by the host, and in time beside
//! what cannot be left out.
//!
//! `cargo bench --bench post [-- JOBS]`. The host is a stand-in in this program that speaks just enough of S3: it lists a
//! thousand names a page. The floor reads the same pages with nothing behind, and reads every file of the site once.

// A bench ends by a panic when it cannot measure.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_macros,
    clippy::disallowed_methods
)]

mod stand_in;

use benchlight::door::base::digest::Digest;
use benchlight::door::command::post::{post_now, prepared_for};
use benchlight::door::model::{Post, PostTo};
use rayon::prelude::*;
use stand_in::StandIn;
use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::time::{Duration, Instant};

const PHOTOS: usize = 10;
/// Three sizes of each photo.
const SIZES: usize = 3;

fn main() {
    let jobs = std::env::args().filter_map(|arg| arg.parse().ok()).next().unwrap_or(5_000);
    let shop = tempfile::tempdir().unwrap();
    let files = lay_out(shop.path(), jobs);
    println!("{jobs} jobs, {} photos, {} files", jobs * PHOTOS, files.len());
    let host = StandIn::start(
        files.iter().map(|path| (path.clone(), fs::read(shop.path().join("public").join(path)).unwrap())),
    );
    let pages = files.len().div_ceil(stand_in::PAGE);
    let post = Post {
        to: PostTo::Storage {
            endpoint: format!("http://127.0.0.1:{}", host.port),
            bucket: stand_in::BUCKET.to_owned(),
            region: "auto".to_owned(),
            folder: String::new(),
        },
        key_file: None,
        quiet: 60,
        patience: 60,
    };
    told("no record yet, all there", &host, pages, || posted(shop.path(), &post));
    let nothing = told("nothing changed", &host, pages, || posted(shop.path(), &post));
    let page = files.iter().find(|path| path.starts_with("see/") && path.ends_with("index.html")).unwrap();
    put(&shop.path().join("public").join(page), b"<!doctype html>another page</html>");
    told("one save", &host, pages, || posted(shop.path(), &post));
    let begun = Instant::now();
    floor(shop.path(), &host, &files);
    let floor = begun.elapsed();
    println!(
        "nothing changed: {:.2} s, floor {:.2} s, ratio {:.2}",
        nothing.as_secs_f64(),
        floor.as_secs_f64(),
        nothing.as_secs_f64() / floor.as_secs_f64()
    );
}

fn told(what: &str, host: &StandIn, pages: usize, work: impl FnOnce() -> usize) -> Duration {
    let before = host.requests();
    let begun = Instant::now();
    let said = work();
    let took = begun.elapsed();
    let requests = host.requests() - before;
    println!(
        "{what}: {requests} requests ({pages} pages of one listing), it says {said}, {:.2} s",
        took.as_secs_f64()
    );
    assert_eq!(requests, said, "it counts what the host counts");
    assert!(requests <= pages + 3, "{what}: more than three requests beyond a listing");
    took
}

fn posted(shop: &Path, post: &Post) -> usize {
    let posted =
        prepared_for(post, shop).and_then(|poster| post_now(shop, &poster, false, &|_, _| {}, &|_| {}));
    posted.unwrap_or_else(|problem| panic!("{problem:?}")).requests
}

/// A shop with a `public/` as a pass would leave it, in names and numbers; the bytes are short.
fn lay_out(shop: &Path, jobs: usize) -> Vec<String> {
    put(&shop.join("post.key"), b"access-key = \"a\"\nsecret-key = \"b\"\n");
    fs::set_permissions(shop.join("post.key"), fs::Permissions::from_mode(0o600)).unwrap();
    let mut files: Vec<String> = (0..jobs)
        .into_par_iter()
        .flat_map_iter(|job| {
            let address: String = Digest::of(format!("job {job}").as_bytes()).hex()[..26].to_owned();
            let folder = format!("see/{address}");
            let page = format!("{folder}/index.html");
            put(&shop.join("public").join(&page), format!("<!doctype html>{job}</html>").as_bytes());
            let photos = (0..PHOTOS * SIZES).map(move |photo| {
                let bytes = format!("photo {job} {photo}");
                let path = format!("{folder}/{}.jpg", Digest::of(bytes.as_bytes()).short());
                put(&shop.join("public").join(&path), bytes.as_bytes());
                path
            });
            photos.chain([page])
        })
        .collect();
    for path in ["index.html", "see/index.html"] {
        put(&shop.join("public").join(path), b"<!doctype html></html>");
        files.push(path.to_owned());
    }
    files
}

fn put(path: &Path, bytes: &[u8]) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::File::create(path).and_then(|mut file| file.write_all(bytes)).unwrap();
}

/// The same pages of the listing, one after the other as they have to be, and every file read once.
fn floor(shop: &Path, host: &StandIn, files: &[String]) {
    let read: u64 =
        files.par_iter().map(|path| fs::read(shop.join("public").join(path)).unwrap().len() as u64).sum();
    assert!(read > 0);
    let mut token = String::new();
    loop {
        let answer = get(host.port, &format!("/{}?list-type=2&continuation-token={token}", stand_in::BUCKET));
        match answer.split("<NextContinuationToken>").nth(1) {
            Some(rest) => token = rest.split('<').next().unwrap().replace('/', "%2F"),
            None => return,
        }
    }
}

fn get(port: u16, path: &str) -> String {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    write!(stream, "GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}
