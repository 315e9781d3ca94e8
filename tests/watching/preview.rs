//! The preview: who can see it, what is served, how pages load anew, how it ends.

use super::{PATIENCE, Watching, ask, page_of, pinned_shop, signal};
use crate::builder::PHONE_PHOTO;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::process::{Command, Stdio};

#[test]
fn a_saved_photo_is_on_the_page_and_told_in_words() {
    let shop = pinned_shop();
    let mut watching = Watching::on(&shop);
    let page = page_of(&shop, "26-042");
    assert!(!watching.get(&page).2.contains(".jpg"));
    shop.file("content/jobs/26-042 Ruell hen/1 skinned/show PXL_20260510_120000000.jpg", PHONE_PHOTO);
    // The fixture's own EXIF says 4 May, which is before the hen came in; a name cannot overrule it.
    watching.until("26-042 Ruell hen: ");
    watching.shows(&page, ".jpg");
    shop.file("content/jobs/26-041 Fenn gobbler/2 washed/PXL_20260504_160000000.jpg", PHONE_PHOTO);
    let line = watching.until("26-041 Fenn gobbler: ");
    assert!(line.contains("washed, 4 May"), "{line}");
    let line = watching.until("http://");
    assert_eq!(line.trim(), format!("{}{}", watching.base, page_of(&shop, "26-041")));
}

#[test]
fn pages_load_anew_and_the_output_folder_knows_nothing_of_it() {
    let shop = pinned_shop();
    let watching = Watching::on(&shop);
    let host = watching.base.trim_start_matches("http://").trim_end_matches('/').to_owned();
    let mut stream = TcpStream::connect(&host).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    write!(stream, "GET /-/changes HTTP/1.1\r\nHost: {host}\r\n\r\n").unwrap();
    let mut lines = BufReader::new(stream).lines().map(Result::unwrap);
    let first = lines.find(|line| line.starts_with("data: ")).unwrap();
    shop.edit("content/pages/prices.md", "695", "705");
    let second = lines.find(|line| line.starts_with("data: ")).unwrap();
    assert_ne!(first, second);
    let (status, head, page) = watching.get("prices/");
    assert!(status == 200 && page.contains("705"), "{page}");
    assert!(
        page.contains("<script src=\"/-/reload.js\"")
            && watching.get("-/reload.js").2.contains("EventSource")
    );
    assert!(head.contains("script-src 'self'") && head.contains("default-src 'none'"), "{head}");
    for (path, bytes) in shop.tree("public") {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        assert!(!text.contains("EventSource") && !text.contains("/-/"), "{path}");
    }
}

#[test]
fn only_this_machine_by_its_own_name_may_read_and_only_read() {
    let shop = pinned_shop();
    let watching = Watching::on(&shop);
    let host = watching.base.trim_start_matches("http://").trim_end_matches('/').to_owned();
    let port = host.split(':').next_back().unwrap();
    let status = |request: &str| ask(&host, &request.replace("\n", "\r\n")).0;
    assert_eq!(status(&format!("GET / HTTP/1.1\nHost: localhost:{port}\nConnection: close\n\n")), 200);
    for name in [format!("evil.example:{port}"), "localhost".to_owned(), format!("10.0.0.1:{port}")] {
        for path in ["/", "/board/", "/-/changes", "/see/"] {
            assert_eq!(
                status(&format!("GET {path} HTTP/1.1\nHost: {name}\nConnection: close\n\n")),
                403,
                "{name}"
            );
        }
    }
    assert_eq!(status("GET / HTTP/1.0\n\n"), 403);
    for method in ["POST", "PUT", "DELETE", "OPTIONS"] {
        let request = format!("{method} / HTTP/1.1\nHost: {host}\nContent-Length: 0\nConnection: close\n\n");
        assert_eq!(status(&request), 405, "{method}");
    }
    let (code, head, body) =
        ask(&host, &format!("HEAD / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"));
    assert!(code == 200 && body.is_empty() && head.contains("text/html"), "{head}");
    for path in ["../content/shop.key", "%2e%2e/content/shop.key", "see/..%2f..%2fcontent/shop.key"] {
        assert_eq!(watching.get(path).0, 404, "{path}");
    }
    // Nothing listens but on this machine: the socket is bound to its own address alone.
    let bound = std::fs::read_to_string("/proc/net/tcp").unwrap();
    let hex = format!("{:04X}", port.parse::<u16>().unwrap());
    let ours: Vec<&str> = bound
        .lines()
        .filter_map(|line| line.split_whitespace().nth(1))
        .filter(|local| local.ends_with(&format!(":{hex}")))
        .collect();
    assert!(!ours.is_empty() && ours.iter().all(|local| local.starts_with("0100007F:")), "{ours:?}");
}

#[test]
fn the_board_is_served_and_never_written() {
    let shop = pinned_shop();
    let watching = Watching::on(&shop);
    let (status, _, page) = watching.get("board/");
    assert!(status == 200 && page.contains("26-041") && page.contains("../see/"), "{page}");
    assert!(shop.tree("public").keys().all(|path| !path.contains("board")));
    // Since when the page of a broken job is as it was stands on it as well.
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "695", "6,95");
    watching.shows("board/", "26-041 (last good page since");
}

#[test]
fn the_next_free_port_is_taken() {
    let shop = pinned_shop();
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port();
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command.args(["watch", "--port", &port.to_string()]).current_dir(shop.path());
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    let line = lines.into_iter().find(|line| line.contains("the front page")).unwrap();
    let theirs: u16 = line.split([':', '/']).filter_map(|part| part.trim().parse().ok()).next().unwrap();
    assert!(theirs > port && theirs <= port + 50, "{line}");
    signal(&child, "INT");
    assert!(child.wait().unwrap().success());
}

#[test]
fn ctrl_c_ends_it_well_and_so_does_being_asked_to_end() {
    let shop = pinned_shop();
    let watching = Watching::on(&shop);
    let (code, said) = watching.end();
    assert_eq!(code, Some(0), "{said}");
    let mut watching = Watching::on(&shop);
    signal(&watching.child, "TERM");
    assert_eq!(watching.child.wait().unwrap().code(), Some(0));
    shop.make(0).says("0 new, 0 changed, 0 gone");
}

#[test]
fn a_folder_that_is_no_shop_is_refused() {
    let empty = crate::builder::TestShop::empty();
    empty.run(&["watch", "--port", "0"]).exits(2).tells("there is no shop in");
}
