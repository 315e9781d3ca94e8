//! What holds of a site at any moment, in `public/` and at a host: every file is whole, nothing private is in any, and a link
//! leads to a file that is there.

use crate::increment::reader;
use std::collections::BTreeMap;
use std::path::Path;

/// The site in a folder; `key` are the symbols of the shop's key. An empty folder holds.
pub fn site(folder: &Path, key: &str) -> Result<(), String> {
    let files = plain_files(folder);
    let addresses: Vec<&str> = files
        .keys()
        .filter_map(|path| path.strip_prefix("see/")?.split_once('/'))
        .map(|(address, _)| address)
        .collect();
    for (path, bytes) in files.iter().filter(|(path, _)| !is_draft(path)) {
        whole(path, bytes)?;
        private(path, bytes, key, &addresses)?;
    }
    if files.contains_key("index.html") {
        links(&files)?;
    }
    Ok(())
}

/// Every plain file under a folder, by its path from there; links and pipes are left closed.
pub fn plain_files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let (mut files, mut ahead) = (BTreeMap::new(), vec![(folder.to_owned(), String::new())]);
    while let Some((at, prefix)) = ahead.pop() {
        for entry in std::fs::read_dir(at).into_iter().flatten().flatten() {
            let path = format!("{prefix}{}", entry.file_name().to_string_lossy());
            match entry.file_type() {
                Ok(kind) if kind.is_dir() => ahead.push((entry.path(), format!("{path}/"))),
                Ok(kind) if kind.is_file() => {
                    files.extend(std::fs::read(entry.path()).ok().map(|bytes| (path, bytes)));
                }
                _ => {}
            }
        }
    }
    files
}

/// Written beside its place, and put there whole; a kill leaves some behind until the next pass.
fn is_draft(path: &str) -> bool {
    path.ends_with(".benchlight-draft")
}

fn whole(path: &str, bytes: &[u8]) -> Result<(), String> {
    let ends = |end: &str| bytes.trim_ascii_end().ends_with(end.as_bytes());
    let well = match path.rsplit('.').next() {
        // Somebody else's file says so.
        _ if bytes.ends_with(b"somebody else's") => true,
        Some("html") => bytes.starts_with(b"<!doctype html>") && ends("</html>"),
        Some("jpg") => bytes.starts_with(b"\xFF\xD8\xFF") && bytes.ends_with(b"\xFF\xD9"),
        Some("ics") => ends("END:VCALENDAR"),
        Some("atom") => ends("</feed>"),
        Some("xml") => ends(">"),
        _ => !bytes.is_empty(),
    };
    if well { Ok(()) } else { Err(format!("a file is not whole: {path}, {} bytes", bytes.len())) }
}

fn private(path: &str, bytes: &[u8], key: &str, addresses: &[&str]) -> Result<(), String> {
    let text = String::from_utf8_lossy(bytes);
    let found =
        [path, &*text].into_iter().find_map(|text| Some((text, text.to_ascii_uppercase().find("CANARY")?)));
    if let Some((text, at)) = found {
        let around: String = text[at..].chars().take(40).collect();
        return Err(format!("something private is published: {around:?} in {path}"));
    }
    let plain: String = text.chars().filter(char::is_ascii_alphanumeric).collect();
    if plain.to_ascii_lowercase().contains(&key[..24]) {
        return Err(format!("the key is published: {path}"));
    }
    let led = addresses.iter().find(|address| address.len() >= 16 && text.contains(**address));
    match led.filter(|_| !path.starts_with("see/")) {
        Some(_) => Err(format!("a public file knows a private address: {path}")),
        None => Ok(()),
    }
}

/// Links of what stands there. The kept page of a broken job may lead to a page that the owner has removed since.
fn links(files: &BTreeMap<String, Vec<u8>>) -> Result<(), String> {
    let starts =
        files.keys().filter(|path| path.ends_with(".html") && !files[*path].ends_with(b"somebody else's"));
    let starts = starts.map(std::path::PathBuf::from).collect();
    let walked = reader::walk_from(starts, &|path| files.get(path.to_str()?).cloned());
    match walked {
        Err(fault) if fault.starts_with("see/") && fault.contains("/index.html, which") => Ok(()),
        Err(fault) => Err(format!("a link leads nowhere: {fault}")),
        Ok(_) => Ok(()),
    }
}
