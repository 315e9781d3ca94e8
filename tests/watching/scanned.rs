//! The preview as a general-purpose scanner for weak spots of web sites sees it: `wapiti` (PyPI `wapiti3`, 3.2), with its
//! modules for reading and writing where one may not, injection, redirects, headers, cookies and methods. It asks this
//! machine alone: its modules that need a host of its makers are left out, and where they would answer is nowhere.

use super::{Watching, pinned_shop};
use crate::builder::tools;

const MODULES: &str = "backup,cookieflags,crlf,csp,exec,file,htaccess,http_headers,ldap,methods,permanentxss,redirect,\
                       shellshock,sql,upload,xss";
/// So many requests it makes at the least; with fewer it has not looked.
const REQUESTS: usize = 100;

#[test]
fn a_scanner_finds_nothing_and_leaves_it_alive() {
    let shop = pinned_shop();
    let watching = Watching::on(&shop);
    let before = shop.tree("public");
    let place = tempfile::tempdir().unwrap();
    let at = |name: &str| place.path().join(name).to_str().unwrap().to_owned();
    let mut seen = 0;
    for (start, pages) in [("", 5), ("board/", 1)] {
        let mut scan = tools::wapiti();
        scan.args(["-u", &format!("{}{start}", watching.base), "--scope", "folder", "-m", MODULES]);
        scan.args(["--max-scan-time", "60", "--max-attack-time", "20", "--flush-session", "--no-bugreport"]);
        scan.args(["--endpoint", "http://127.0.0.1:9/", "-v", "2", "-f", "json", "-o", &at("found.json")]);
        scan.args(["--store-session", &at("session"), "--store-config", &at("config")]);
        scan.env("HOME", place.path()).current_dir(place.path());
        let said = tools::printed(&mut scan);
        let requests = said.lines().filter(|line| line.starts_with("[¨] ")).count();
        let found: serde_json::Value =
            serde_json::from_slice(&std::fs::read(at("found.json")).unwrap()).unwrap();
        let crawled = found["infos"]["crawled_pages_nbr"].as_u64().unwrap();
        println!("wapiti: {requests} requests and {crawled} pages from /{start}");
        seen += requests;
        for kind in ["vulnerabilities", "anomalies"] {
            for (name, list) in found[kind].as_object().unwrap() {
                assert!(list.as_array().unwrap().is_empty(), "{kind}: {name}: {list:#}");
            }
        }
        assert!(crawled >= pages, "{said}");
    }
    assert!(seen >= REQUESTS, "it made {seen} requests, so nothing is proved");
    assert_eq!(watching.get("").0, 200);
    assert!(shop.tree("public") == before);
    assert_eq!(watching.end().0, Some(0));
}
