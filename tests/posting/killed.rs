//! The program is killed at random, or the host is, while a visitor reads without pause: the visitor meets whole pages
//! whose links lead somewhere, and the next posting ends with the host equal to `public/`.

use super::servers::{ACCESS, BUCKET, Sftp, Storage, Webdav};
use super::{At, digests, posts, put_up, put_up_at};
use crate::builder::{TestShop, tree};
use crate::increment::reader;
use std::collections::BTreeMap;
use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Instant;

type Site = BTreeMap<String, Vec<u8>>;

/// Three sites of one shop that differ in much: look, pages, jobs, photos.
fn three_sites(shop: &TestShop) -> Vec<Site> {
    let mut sites = Vec::new();
    shop.make(0);
    sites.push(shop.tree("public"));
    shop.file("themes/hangtag/look.css", "body { color: #123456 }\n");
    shop.file("content/pages/moving.md", "# We move\n\nSoon.\n");
    let job = fs::read_to_string(shop.at("content/jobs/26-042 Ruell hen/job.toml")).unwrap();
    for number in 50..58 {
        let folder = format!("content/jobs/26-0{number} Ruell hen");
        shop.file(&format!("{folder}/job.toml"), &job);
        let photo = [crate::builder::PHONE_PHOTO, &[number]].concat();
        shop.file(&format!("{folder}/IMG_20260510_101010.jpg"), photo);
    }
    shop.make(0);
    sites.push(shop.tree("public"));
    fs::remove_dir_all(shop.at("content/jobs/26-041 Fenn gobbler")).unwrap();
    fs::remove_dir_all(shop.at("content/jobs/26-052 Ruell hen")).unwrap();
    fs::remove_file(shop.at("content/pages/moving.md")).unwrap();
    fs::remove_dir_all(shop.at("themes")).unwrap();
    shop.make(0);
    sites.push(shop.tree("public"));
    sites
}

/// Lays one of them into `public/`, as a pass would leave it.
fn lay(shop: &TestShop, site: &Site) {
    for path in shop.tree("public").keys().filter(|path| !site.contains_key(*path)) {
        fs::remove_file(shop.at("public").join(path)).unwrap();
    }
    for (path, bytes) in site {
        if fs::read(shop.at("public").join(path)).ok().as_ref() != Some(bytes) {
            shop.file(&format!("public/{path}"), bytes);
        }
    }
}

fn begin(shop: &TestShop, at: &At) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command.arg("post").current_dir(shop.path()).envs(at.surroundings());
    command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
}

/// Luck that is the same in every run (Knuth's multiplier, MMIX): a part of a whole.
struct Luck(u64);

impl Luck {
    fn part(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 40) as f64 / (1u64 << 24) as f64
    }
}

/// Kills it so many times at moments all over its run; how many of them were cut short.
fn killed_often(shop: &TestShop, at: &At, sites: &[Site], times: usize) -> usize {
    lay(shop, &sites[0]);
    posts(shop, at);
    lay(shop, &sites[1]);
    let begun = Instant::now();
    assert!(begin(shop, at).wait().unwrap().success());
    let whole = begun.elapsed();
    posts(shop, at);
    let mut luck = Luck(20_260_520);
    let mut cut = 0;
    for round in 0..times {
        lay(shop, &sites[round % sites.len()]);
        let mut child = begin(shop, at);
        sleep(whole.mul_f64(luck.part()));
        let _ = child.kill();
        cut += usize::from(!child.wait().unwrap().success());
        if round % 9 == 8 {
            posts(shop, at);
        }
    }
    posts(shop, at);
    cut
}

/// The same while a visitor reads all the time: how many were cut short, and how many files were read.
fn killed_while_visited(
    shop: &TestShop,
    at: &At,
    sites: &[Site],
    times: usize,
    visit: impl FnOnce(&AtomicBool) -> Result<usize, String> + Send,
) -> (usize, usize) {
    visited(visit, || killed_often(shop, at, sites, times))
}

/// What comes of some work while a visitor reads all the time, and how many files were read.
fn visited(
    visit: impl FnOnce(&AtomicBool) -> Result<usize, String> + Send,
    work: impl FnOnce() -> usize,
) -> (usize, usize) {
    let stop = AtomicBool::new(false);
    let (done, read) = std::thread::scope(|scope| {
        let visitor = scope.spawn(|| visit(&stop));
        let done = std::panic::catch_unwind(std::panic::AssertUnwindSafe(work));
        stop.store(true, Ordering::Relaxed);
        (done, visitor.join().unwrap())
    });
    (done.unwrap(), read.unwrap())
}

#[test]
fn a_folder_is_whole_at_every_moment_of_a_hundred_kills() {
    let shop = TestShop::healthy_and_quick(true);
    let place = tempfile::tempdir_in(shop.path().parent().unwrap()).unwrap();
    let site = place.path().join("site");
    let at = At::Folder(site.clone());
    put_up_at(&shop, &at);
    let sites = three_sites(&shop);
    lay(&shop, &sites[0]);
    posts(&shop, &at);
    let (cut, read) = killed_while_visited(&shop, &at, &sites, 100, |stop| reader::walk(&site, stop));
    assert!(cut > 20, "only {cut} of 100 were cut short");
    assert!(read > 1000, "only {read} files were read meanwhile");
    let drafts = tree(&site).keys().filter(|path| path.contains("draft")).count();
    assert_eq!(drafts, 0);
}

#[test]
fn object_storage_is_whole_at_every_moment_of_twelve_kills() {
    let shop = TestShop::healthy_and_quick(true);
    let storage = Storage::start();
    let port = storage.port;
    let at = At::Storage(storage);
    put_up_at(&shop, &at);
    let sites = three_sites(&shop);
    lay(&shop, &sites[0]);
    posts(&shop, &at);
    let private = |site: &Site| -> Vec<PathBuf> {
        site.keys()
            .filter(|path| path.starts_with("see/") && path.ends_with(".html"))
            .map(PathBuf::from)
            .collect()
    };
    let starts: Vec<PathBuf> = sites.iter().flat_map(private).collect();
    let (cut, read) = killed_while_visited(&shop, &at, &sites, 12, |stop| {
        let mut read = 0;
        while !stop.load(Ordering::Relaxed) {
            read += reader::walk_from(starts.clone(), &|path| object(port, path))?;
        }
        Ok(read)
    });
    assert!(cut > 2, "only {cut} of 12 were cut short");
    assert!(read > 50, "only {read} files were read meanwhile");
    // Whoever changes anything at all is known by the keys that the handbook names.
    assert_eq!(at.holds(), digests(&shop.at("public")));
}

/// At a host that keeps files in a folder, which the visitor reads: killed twelve times, none of its drafts left.
fn a_web_space_is_whole(at: &At, site: &Path) {
    let shop = TestShop::healthy_and_quick(true);
    put_up_at(&shop, at);
    let sites = three_sites(&shop);
    lay(&shop, &sites[0]);
    posts(&shop, at);
    let (cut, read) = killed_while_visited(&shop, at, &sites, 12, |stop| reader::walk(site, stop));
    assert!(cut > 2, "only {cut} of 12 were cut short");
    assert!(read > 100, "only {read} files were read meanwhile");
    assert_eq!(at.holds(), digests(&shop.at("public")));
}

#[test]
fn a_web_space_by_sftp_is_whole_at_every_moment_of_twelve_kills() {
    let sftp = Sftp::start();
    let site = sftp.site();
    a_web_space_is_whole(&At::Sftp(sftp), &site);
}

#[test]
fn a_webdav_share_is_whole_at_every_moment_of_twelve_kills() {
    let webdav = Webdav::start();
    let site = webdav.site();
    a_web_space_is_whole(&At::Webdav(webdav), &site);
}

/// The host is cut off so many times in the middle of a posting, and comes back with what it has on its disk.
fn the_host_is_cut_off(at: &mut At, site: Option<PathBuf>, times: usize) {
    let shop = TestShop::healthy_and_quick(true);
    put_up_at(&shop, at);
    put_up(&shop, &format!("{}\npatience = 2\n", at.lines().trim_end()), None);
    let sites = three_sites(&shop);
    lay(&shop, &sites[0]);
    posts(&shop, at);
    lay(&shop, &sites[1]);
    let begun = Instant::now();
    assert!(begin(&shop, at).wait().unwrap().success());
    let whole = begun.elapsed();
    let mut cut_off = || {
        let (mut luck, mut cut) = (Luck(20_260_519), 0);
        for round in 0..times {
            lay(&shop, &sites[round % sites.len()]);
            let mut child = begin(&shop, at);
            sleep(whole.mul_f64(luck.part()));
            at.cut_off();
            let code = child.wait().unwrap().code();
            assert!(matches!(code, Some(0 | 2)), "it ended with {code:?}");
            cut += usize::from(code == Some(2));
            at.again();
            posts(&shop, at);
        }
        cut
    };
    let (cut, read) = match &site {
        Some(site) => visited(|stop| reader::walk(site, stop), cut_off),
        None => (cut_off(), 1000),
    };
    assert!(cut > 0, "none of {times} was cut off in the middle");
    assert!(read > 50, "only {read} files were read meanwhile");
}

#[test]
fn object_storage_that_is_cut_off_and_has_forgotten_everything_is_filled_again() {
    // The stand-in keeps its objects in memory: what comes back is an empty bucket.
    the_host_is_cut_off(&mut At::Storage(Storage::start()), None, 5);
}

#[test]
fn a_web_space_by_sftp_that_is_cut_off_is_whole_and_caught_up() {
    let sftp = Sftp::start();
    let site = sftp.site();
    the_host_is_cut_off(&mut At::Sftp(sftp), Some(site), 6);
}

#[test]
fn a_webdav_share_that_is_cut_off_is_whole_and_caught_up() {
    let webdav = Webdav::start();
    let site = webdav.site();
    the_host_is_cut_off(&mut At::Webdav(webdav), Some(site), 6);
}

/// An object as a visitor gets it, over plain HTTP.
fn object(port: u16, path: &Path) -> Option<Vec<u8>> {
    let mut tries = (0..50).map(|n| {
        sleep(std::time::Duration::from_millis(n));
        TcpStream::connect(("127.0.0.1", port))
    });
    let mut stream = tries.find_map(Result::ok).expect("the storage listens");
    // The stand-in gives private objects only to whoever has a key, whichever it is.
    let key = format!(
        "AWS4-HMAC-SHA256 Credential={ACCESS}/20260520/auto/s3/aws4_request, SignedHeaders=host, Signature=0"
    );
    let path = path.display();
    let request = format!(
        "GET /{BUCKET}/{path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nAuthorization: {key}\r\nConnection: close\r\n\r\n"
    );
    stream.write_all(request.as_bytes()).unwrap();
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    let head = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
    bytes.starts_with(b"HTTP/1.1 200").then(|| bytes[head + 4..].to_vec())
}
