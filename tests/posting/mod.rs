//! `post` against real servers on this machine: each of the four kinds of place, from the handbook's own lines; what goes
//! wrong on the way; what a visitor meets meanwhile; what it costs; and what no host and no message may ever hold.

mod bad_days;
mod cost;
mod four;
mod killed;
mod proxy;
mod sealed;
mod secrets;
mod servers;
mod shared;
mod watched;

use crate::builder::{Ran, TestShop, tree};
use benchlight::door::base::digest::Digest;
use servers::{ACCESS, PASSWORD, SECRET, Sftp, Storage, Webdav};
use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The page of the handbook that says how a site is put up.
const HANDBOOK: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/hosting.md");

/// The `[post]` parts as they stand in the handbook, by their `to`.
fn readme_lines(to: &str) -> String {
    let page = fs::read_to_string(HANDBOOK).unwrap();
    let blocks = page.split("```toml\n").skip(1).filter_map(|rest| rest.split("```").next());
    let mut of_kind =
        blocks.filter(|block| block.starts_with("[post]\n") && block.contains(&format!("= \"{to}\"")));
    of_kind.next().unwrap_or_else(|| panic!("{HANDBOOK} has no lines for {to}")).to_owned()
}

/// The lines of the file `post.key` as the handbook has them, with the places filled.
fn readme_secrets(first: &str, values: &[&str]) -> String {
    let page = fs::read_to_string(HANDBOOK).unwrap();
    let blocks = page.split("```toml\n").skip(1).filter_map(|rest| rest.split("```").next());
    let mut lines = blocks.filter(|block| block.starts_with(first)).map(str::to_owned);
    let mut lines = lines.next().unwrap_or_else(|| panic!("{HANDBOOK} has no lines {first}"));
    values.iter().for_each(|value| lines = lines.replacen('…', value, 1));
    lines
}

/// One of the four, as it runs here.
enum At {
    Folder(PathBuf),
    Storage(Storage),
    Sftp(Sftp),
    Webdav(Webdav),
}

impl At {
    /// The handbook's lines, with what belongs to this machine in the places of the examples.
    fn lines(&self) -> String {
        match self {
            At::Folder(folder) => readme_lines("folder").replace("../site-to-sync", folder.to_str().unwrap()),
            At::Storage(storage) => {
                readme_lines("storage").replace("https://storage.example", &storage.endpoint())
            }
            At::Sftp(sftp) => readme_lines("sftp")
                .replace("web.example", "127.0.0.1")
                .replace("22", &sftp.port.to_string())
                .replace("\"studio\"", &format!("\"{}\"", whoami()))
                .replace("public_html", sftp.site().to_str().unwrap())
                .replace("~/.ssh/studio", sftp.key().to_str().unwrap()),
            At::Webdav(webdav) => {
                readme_lines("webdav").replace("https://dav.example/studio", &webdav.address())
            }
        }
    }

    fn secrets(&self) -> Option<String> {
        match self {
            At::Storage(_) => Some(readme_secrets("access-key", &[ACCESS, SECRET])),
            At::Webdav(_) => Some(readme_secrets("password", &[PASSWORD])),
            At::Folder(_) | At::Sftp(_) => None,
        }
    }

    fn surroundings(&self) -> Vec<(String, String)> {
        if let At::Sftp(sftp) = self { sftp.surroundings() } else { Vec::new() }
    }

    /// Its power is cut; a folder has none.
    fn cut_off(&mut self) {
        match self {
            At::Folder(_) => {}
            At::Storage(storage) => storage.cut_off(),
            At::Sftp(sftp) => sftp.cut_off(),
            At::Webdav(webdav) => webdav.cut_off(),
        }
    }

    /// And it is back.
    fn again(&mut self) {
        match self {
            At::Folder(_) => {}
            At::Storage(storage) => storage.again(),
            At::Sftp(sftp) => sftp.again(),
            At::Webdav(webdav) => webdav.again(),
        }
    }

    /// What is there: the SHA-256 of each file by its path.
    fn holds(&self) -> BTreeMap<String, String> {
        match self {
            At::Folder(folder) => digests(folder),
            At::Storage(storage) => {
                storage.objects().into_iter().map(|(name, digest, _)| (name, digest)).collect()
            }
            At::Sftp(sftp) => digests(&sftp.site()),
            // Apache writes beside the file and renames; what it leaves of that when it is cut off is its own affair.
            At::Webdav(webdav) => {
                let mut there = digests(&webdav.site());
                there.retain(|path, _| !path.contains("/.davfs.tmp"));
                there
            }
        }
    }

    /// Somebody else's file comes there.
    fn stranger(&self, path: &str, text: &str) {
        let folder = match self {
            At::Folder(folder) => folder.clone(),
            At::Storage(storage) => return storage.put(path, text),
            At::Sftp(sftp) => sftp.site(),
            At::Webdav(webdav) => webdav.site(),
        };
        let file = folder.join(path);
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        servers::write(&file, text);
    }
}

fn whoami() -> String {
    crate::builder::tools::printed(&mut Command::new("whoami")).trim().to_owned()
}

fn digests(folder: &Path) -> BTreeMap<String, String> {
    tree(folder).into_iter().map(|(path, bytes)| (path, Digest::of(&bytes).hex())).collect()
}

/// Writes the lines and the secrets of a place into a shop.
fn put_up_at(shop: &TestShop, at: &At) {
    put_up(shop, &at.lines(), at.secrets().as_deref());
}

fn put_up(shop: &TestShop, lines: &str, secrets: Option<&str>) {
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    let before = text.split("\n[post]\n").next().unwrap().to_owned();
    shop.file("content/shop.toml", format!("{before}\n{lines}"));
    if let Some(secrets) = secrets {
        shop.file("post.key", secrets);
        fs::set_permissions(shop.at("post.key"), fs::Permissions::from_mode(0o600)).unwrap();
    }
}

/// Runs `benchlight` in a shop, with surroundings.
fn run(shop: &TestShop, args: &[&str], surroundings: &[(String, String)]) -> Ran {
    shop.run_with(args, surroundings)
}

/// `post`, which must end well; then the host holds exactly what `public/` does.
fn posts(shop: &TestShop, at: &At) -> Ran {
    let ran = run(shop, &["post"], &at.surroundings()).exits(0);
    assert_eq!(at.holds(), digests(&shop.at("public")));
    ran
}
