//! What the program wrote itself, and what a host says: both may have been in other hands since.

use super::claims::visible;
use crate::base::files;
use crate::post;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// A folder of this process.
pub(super) static FOLDER: LazyLock<PathBuf> = LazyLock::new(|| {
    let memory = Path::new("/dev/shm");
    let base = if memory.is_dir() { memory.to_owned() } else { std::env::temp_dir() };
    base.join(format!("benchlight-fuzz-{}", std::process::id()))
});

/// Puts a file there.
pub(super) fn put(path: &Path, bytes: &[u8]) {
    files::replace_quickly(path, bytes).expect("a folder that can be written");
}

const PLACE: &str = "the host";

/// The files of the hidden folder; the first byte says which.
pub fn record(input: &[u8]) {
    let Some((which, bytes)) = input.split_first() else { return };
    let shop = FOLDER.join("record");
    match which % 6 {
        0 => {
            let file = shop.join("written.json");
            put(&file, bytes);
            let paths = crate::write::door::recorded(&file);
            assert!(paths.iter().all(|path| inside(path)), "{paths:?}");
        }
        kind @ 1..=2 => {
            let file = post::door::record_file(&shop, PLACE);
            let journal = file.with_extension("going");
            put(&file, if kind == 1 { bytes } else { b"" });
            put(&journal, if kind == 2 { bytes } else { b"" });
            let (paths, again) = post::door::recorded(&shop, PLACE);
            assert!(paths.iter().all(|path| inside(path)), "{paths:?}");
            assert_eq!(paths, again, "saved and read again it is the same");
        }
        3 => {
            let cache = shop.join("photos");
            put(&cache.join("photos/looks.json"), bytes);
            put(&cache.join("looks.json"), bytes);
            let _ = crate::photo::Looks::open(&cache).keep();
        }
        4 => {
            let text = crate::work::Memo::of_text(bytes).as_text();
            assert_eq!(
                crate::work::Memo::of_text(&text).as_text(),
                text,
                "saved and read again it is the same"
            );
        }
        _ => {
            put(&shop.join(".benchlight/standing.json"), bytes);
            crate::command::door::last_pass(&shop);
        }
    }
}

fn inside(path: &str) -> bool {
    path.split('/').all(|part| !part.is_empty() && part != "." && part != "..")
}

/// The answer of a host that is asked what it holds; the first byte says which kind of host.
pub fn listing(input: &[u8]) {
    let Some((which, bytes)) = input.split_first() else { return };
    let public = FOLDER.join("public");
    if !public.exists() {
        put(&public.join("index.html"), b"<!doctype html><!-- made by Benchlight --><p>a");
        put(
            &public.join("see/0123456789abcdefghjkmnpqrs/index.html"),
            b"<!doctype html><!-- made by Benchlight --><p>b",
        );
    }
    let local = post::Local::read(&public, &|_, _| None).expect("a folder that can be read");
    match post::door::planned(which % 2 == 0, bytes, &local) {
        Ok((puts, removals)) => {
            assert!(puts.iter().all(|path| local.has(path)), "{puts:?}");
            assert!(removals.iter().all(|path| inside(path) && !local.has(path)), "{removals:?}");
        }
        Err(told) => {
            visible(&told);
            assert!(told.len() < 4000, "{} bytes are told", told.len());
            assert!(!told.contains(post::door::SECRET), "{told}");
        }
    }
}
