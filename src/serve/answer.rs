//! What to answer to a request: pure, so that every rule of it can be tested without a network.
//!
//! Only browsers of this machine that name it by its own name are answered: a web page elsewhere that has
//! its own name lead here (rebinding) is not. Only reading is answered, and what comes with a request is not read.

use super::files::{self, Located};
use super::policy;
use super::reload::{self, Changes};
use crate::base::files::open;
use crate::base::media_type::{HTML, media_type};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::RwLock;

/// What the preview holds.
pub(super) struct Shown {
    /// The output folder.
    pub root: PathBuf,
    pub port: u16,
    /// Pages that are shown here and never written into the output folder, by path.
    pub aside: RwLock<BTreeMap<String, Vec<u8>>>,
    pub changes: Changes,
}

/// A request, as far as it matters.
pub(super) struct Asked<'a> {
    pub method: &'a str,
    pub target: &'a str,
    pub hosts: &'a [&'a str],
    /// Whether something is to come behind its headers.
    pub has_body: bool,
}

/// What is sent back.
pub(super) struct Reply {
    pub status: u16,
    pub headers: Vec<(&'static str, String)>,
    pub body: Body,
}

/// What is sent behind the headers.
pub(super) enum Body {
    Bytes(Vec<u8>),
    /// A file and its length.
    File(File, u64),
}

impl Body {
    pub fn nothing() -> Body {
        Body::Bytes(Vec::new())
    }
}

/// A longer page is sent as it is, without loading anew: nobody made it for the preview.
const LONGEST_PAGE: u64 = 4 << 20;

pub(super) enum Answer {
    Reply(Reply),
    /// The stream that tells of changes.
    Changes,
}

pub(super) fn to(asked: &Asked<'_>, shown: &Shown) -> Answer {
    let mut answer = by_the_rules(asked, shown);
    if let Answer::Reply(reply) = &mut answer
        && asked.has_body
    {
        // What comes behind is not read, so no other request can follow on the connection.
        reply.headers.push(("Connection", "close".to_owned()));
    }
    answer
}

fn by_the_rules(asked: &Asked<'_>, shown: &Shown) -> Answer {
    if !is_own_name(asked.hosts, shown.port) {
        return plain(403, "This preview answers only to this computer's own name.");
    }
    if asked.method == "other" {
        let Answer::Reply(mut reply) = plain(405, "This preview can only be read.") else {
            return plain(405, "");
        };
        reply.headers.push(("Allow", "GET, HEAD".to_owned()));
        return Answer::Reply(reply);
    }
    if asked.has_body {
        return plain(413, "This preview takes nothing in.");
    }
    let path = asked.target.split(['?', '#']).next().unwrap_or_default();
    match path {
        reload::CHANGES if asked.method == "GET" => return Answer::Changes,
        reload::SCRIPT => return reply(200, "text/javascript; charset=utf-8", reload::TEXT.into()),
        _ => {}
    }
    if let Some(page) = aside(path, shown) {
        return page;
    }
    match files::find(&shown.root, path) {
        Located::File(file) => content(&file).unwrap_or_else(|_| missing(shown)),
        Located::Folder => moved(format!("{path}/")),
        Located::Nothing => missing(shown),
    }
}

/// A page as a whole, as it is shown with what loads it anew; any other file as it is read.
fn content(path: &Path) -> io::Result<Answer> {
    let (mut file, kind) = (open(path)?, media_type(&path.to_string_lossy()));
    let facts = file.metadata()?;
    if !facts.is_file() {
        return Err(io::ErrorKind::NotFound.into());
    }
    if kind != HTML || facts.len() > LONGEST_PAGE {
        return Ok(Answer::Reply(Reply {
            status: 200,
            headers: headers(kind),
            body: Body::File(file, facts.len()),
        }));
    }
    let mut page = Vec::new();
    (&mut file).take(LONGEST_PAGE).read_to_end(&mut page)?;
    Ok(reply(200, kind, page))
}

/// The names under which a browser of this machine finds it.
fn is_own_name(hosts: &[&str], port: u16) -> bool {
    let [host] = hosts else { return false };
    let host = host.to_ascii_lowercase();
    ["127.0.0.1", "localhost", "[::1]"].iter().any(|name| {
        // A browser leaves the port of plain HTTP out.
        host.strip_prefix(name)
            .is_some_and(|rest| rest == format!(":{port}") || (rest.is_empty() && port == 80))
    })
}

fn aside(path: &str, shown: &Shown) -> Option<Answer> {
    let aside = shown.aside.read().ok()?;
    let name = path.trim_start_matches('/');
    if let Some(page) = aside.get(name) {
        return Some(reply(200, HTML, page.clone()));
    }
    aside.contains_key(&format!("{name}/")).then(|| moved(format!("/{name}/")))
}

/// The site's own page for missing addresses, if there is one already.
fn missing(shown: &Shown) -> Answer {
    let page = match files::find(&shown.root, "/404.html") {
        Located::File(page) => content(&page).ok(),
        Located::Folder | Located::Nothing => None,
    };
    match page {
        Some(Answer::Reply(reply)) => Answer::Reply(Reply { status: 404, ..reply }),
        _ => plain(404, "There is nothing here."),
    }
}

fn moved(to: String) -> Answer {
    let mut reply = made(301, "text/plain; charset=utf-8", Vec::new());
    reply.headers.push(("Location", to));
    Answer::Reply(reply)
}

fn plain(status: u16, text: &str) -> Answer {
    reply(status, "text/plain; charset=utf-8", format!("{text}\n").into_bytes())
}

fn reply(status: u16, kind: &str, body: Vec<u8>) -> Answer {
    Answer::Reply(made(status, kind, body))
}

fn headers(kind: &str) -> Vec<(&'static str, String)> {
    vec![
        ("Content-Type", kind.to_owned()),
        ("Cache-Control", "no-store".to_owned()),
        ("X-Content-Type-Options", "nosniff".to_owned()),
        // For what has no policy of its own, and for browsers that know `frame-ancestors` not yet.
        ("X-Frame-Options", "DENY".to_owned()),
        ("Cross-Origin-Resource-Policy", "same-origin".to_owned()),
        ("Referrer-Policy", "no-referrer".to_owned()),
    ]
}

fn made(status: u16, kind: &str, body: Vec<u8>) -> Reply {
    let mut headers = headers(kind);
    let mut body = body;
    if kind == HTML
        && let Some((page, policy)) = policy::with_reload(&body)
    {
        body = page;
        headers.push(("Content-Security-Policy", policy));
    }
    Reply { status, headers, body: Body::Bytes(body) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "<!doctype html><head><meta content=\"default-src 'none'\" \
                        http-equiv=Content-Security-Policy><title>x</title><p>Hello";

    fn shown() -> (tempfile::TempDir, Shown) {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("public");
        for (path, text) in [
            ("public/index.html", PAGE),
            ("public/404.html", "<!doctype html>nothing"),
            ("public/see/abc/index.html", PAGE),
            ("public/see/abc/a b.jpg", "jpg"),
            ("public/.hidden", "hidden"),
            ("content/shop.key", "secret"),
        ] {
            crate::base::files::create_new(&folder.path().join(path), text.as_bytes()).unwrap();
        }
        let aside = BTreeMap::from([("board/".to_owned(), PAGE.as_bytes().to_vec())]);
        (folder, Shown { root, port: 7026, aside: RwLock::new(aside), changes: Changes::new() })
    }

    fn asked(shown: &Shown, method: &str, target: &str, hosts: &[&str]) -> Reply {
        match to(&Asked { method, target, hosts, has_body: false }, shown) {
            Answer::Reply(reply) => reply,
            Answer::Changes => panic!("{target} is the stream"),
        }
    }

    fn got(shown: &Shown, target: &str) -> (u16, String) {
        let reply = asked(shown, "GET", target, &["127.0.0.1:7026"]);
        (reply.status, text(reply))
    }

    fn text(reply: Reply) -> String {
        match reply.body {
            Body::Bytes(bytes) => String::from_utf8(bytes).unwrap(),
            Body::File(file, length) => {
                let text = io::read_to_string(file).unwrap();
                assert_eq!(text.len() as u64, length);
                text
            }
        }
    }

    fn header(reply: &Reply, name: &str) -> Option<String> {
        reply.headers.iter().find(|(n, _)| *n == name).map(|(_, v)| v.clone())
    }

    #[test]
    fn only_this_machines_own_names_are_answered() {
        let (_folder, shown) = shown();
        let status = |hosts: &[&str]| asked(&shown, "GET", "/", hosts).status;
        for host in ["127.0.0.1:7026", "localhost:7026", "LocalHost:7026", "[::1]:7026"] {
            assert_eq!(status(&[host]), 200, "{host}");
        }
        for host in [
            "evil.example:7026",
            "127.0.0.1",
            "127.0.0.1:7027",
            "127.0.0.1:7026.evil.example",
            "localhost.evil.example:7026",
            "127.0.0.1:70260",
            "",
        ] {
            assert_eq!(status(&[host]), 403, "{host}");
        }
        assert_eq!(status(&[]), 403);
        assert_eq!(status(&["127.0.0.1:7026", "evil.example:7026"]), 403);
    }

    #[test]
    fn reading_is_all_that_can_be_done() {
        let (_folder, shown) = shown();
        let host = &["127.0.0.1:7026"];
        let refused = asked(&shown, "other", "/", host);
        assert_eq!((refused.status, header(&refused, "Allow").as_deref()), (405, Some("GET, HEAD")));
        assert_eq!(asked(&shown, "HEAD", "/", host).status, 200);
    }

    #[test]
    fn nothing_is_taken_in_and_the_connection_ends_with_that() {
        let (_folder, shown) = shown();
        let hosts = &["127.0.0.1:7026"];
        for (method, status) in [("GET", 413), ("HEAD", 413), ("other", 405)] {
            for target in ["/", "/board/", "/-/changes", "/-/reload.js"] {
                let asked = Asked { method, target, hosts, has_body: true };
                let Answer::Reply(reply) = to(&asked, &shown) else { panic!("{target} is the stream") };
                assert_eq!(reply.status, status, "{method} {target}");
                assert_eq!(header(&reply, "Connection").as_deref(), Some("close"), "{method} {target}");
            }
        }
        let foreign = Asked { method: "GET", target: "/", hosts: &["evil.example"], has_body: true };
        let Answer::Reply(reply) = to(&foreign, &shown) else { panic!("it is a reply") };
        assert_eq!((reply.status, header(&reply, "Connection").as_deref()), (403, Some("close")));
    }

    #[test]
    fn a_page_that_is_longer_than_any_of_ours_is_sent_as_it_is() {
        let (_folder, shown) = shown();
        let long = format!("{PAGE}{}", " ".repeat(LONGEST_PAGE as usize));
        crate::base::files::create_new(&shown.root.join("long.html"), long.as_bytes()).unwrap();
        let reply = asked(&shown, "GET", "/long.html", &["127.0.0.1:7026"]);
        assert!(matches!(reply.body, Body::File(..)) && text(reply) == long);
    }

    #[test]
    fn files_folders_and_pages_aside_are_found() {
        let (_folder, shown) = shown();
        assert_eq!(got(&shown, "/see/abc/a%20b.jpg"), (200, "jpg".to_owned()));
        assert_eq!(got(&shown, "/see/abc/?x=1").0, 200);
        assert_eq!(got(&shown, "/board/").0, 200);
        for (from, to) in [("/see/abc", "/see/abc/"), ("/board", "/board/")] {
            let reply = asked(&shown, "GET", from, &["127.0.0.1:7026"]);
            assert_eq!((reply.status, header(&reply, "Location").as_deref()), (301, Some(to)));
        }
        assert_eq!(got(&shown, "/nothing").0, 404);
        assert!(got(&shown, "/nothing").1.contains("<!doctype html>nothing"));
        // A folder without a page lists nothing.
        assert_eq!(got(&shown, "/see/").0, 404);
    }

    #[test]
    fn every_file_is_sent_as_a_host_would_send_it() {
        let (_folder, shown) = shown();
        for (name, kind) in [
            // The types that RFC 5545 and RFC 4287 register.
            ("ready.ics", "text/calendar; charset=utf-8"),
            ("news.atom", "application/atom+xml; charset=utf-8"),
            ("sitemap.xml", "application/xml; charset=utf-8"),
        ] {
            crate::base::files::create_new(&shown.root.join(name), b"x").unwrap();
            let reply = asked(&shown, "GET", &format!("/{name}"), &["127.0.0.1:7026"]);
            assert_eq!(header(&reply, "Content-Type").as_deref(), Some(kind), "{name}");
        }
    }

    #[test]
    fn nothing_outside_of_the_folder_can_be_had() {
        let (folder, shown) = shown();
        #[cfg(unix)]
        std::os::unix::fs::symlink(folder.path().join("content"), shown.root.join("way")).unwrap();
        for target in [
            "/../content/shop.key",
            "/see/../../content/shop.key",
            "/%2e%2e/content/shop.key",
            "/..%2fcontent/shop.key",
            "/%2e%2e%2fcontent%2fshop.key",
            "/..\\content\\shop.key",
            "/..%5ccontent%5cshop.key",
            "//content/shop.key",
            "/way/shop.key",
            "/.hidden",
            "/index.html%00",
            "/index.html/",
            "http://127.0.0.1:7026/index.html",
            "*",
            "",
        ] {
            let (status, body) = got(&shown, target);
            assert!(status == 404 && !body.contains("secret"), "{target}: {status} {body}");
        }
    }

    #[test]
    fn pages_load_anew_under_their_own_policy_and_other_files_are_as_they_are() {
        let (_folder, shown) = shown();
        let page = asked(&shown, "GET", "/", &["localhost:7026"]);
        let policy = header(&page, "Content-Security-Policy").unwrap();
        assert_eq!(
            policy,
            "default-src 'none'; script-src 'self'; connect-src 'self'; frame-ancestors 'none'"
        );
        let text = text(page);
        assert!(text.contains(reload::SCRIPT) && !text.contains("Content-Security-Policy"), "{text}");
        let on_disk = std::fs::read_to_string(shown.root.join("index.html")).unwrap();
        assert_eq!(on_disk, PAGE);
    }
}
