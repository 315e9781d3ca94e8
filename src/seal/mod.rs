//! Rank 3: private pages that even the host cannot read. Of a finished site, the folders that are to be sealed come to
//! hold nothing but ciphertext and one shell page, which is the same for all of them.
//!
//! A file of such a folder keeps its name inside (`index.html`, `ready.ics`, a photo's): the role that it was sealed for. At the
//! host it has a name that tells nothing (`file::name`), a length off a coarse ladder (`size`), and bytes that only the
//! page's key opens (`file`). Photos are sealed once and kept (`store`). The script of the shell is the theme's; which jobs are
//! sealed is `work`'s.

pub mod file;
pub mod size;
mod store;

pub use store::Store;

use crate::base::files::{FileError, read_up_to};
use crate::model::{Body, PageKey, Piece, Site};
use crate::problem::{Code, Place, Problem, Problems};
use rayon::prelude::*;

/// The page itself, by its name inside.
const PAGE: &str = "index.html";
/// More than any rendition has.
const LARGEST: u64 = 256 << 20;

/// Seals the folders of the site that are to be sealed.
///
/// # Errors
/// A photo cannot be read, or what was sealed cannot be kept: then nothing of the site is to be written.
pub fn site(site: &mut Site, store: &Store) -> Result<(), Problems> {
    let mut open: Vec<(String, String, Piece, &PageKey)> = Vec::new();
    let to_seal = std::mem::take(&mut site.to_seal);
    for (folder, key) in &to_seal {
        let within = site.files.range(folder.clone()..).take_while(|(path, _)| path.starts_with(folder));
        let paths: Vec<String> = within.map(|(path, _)| path.clone()).collect();
        for path in paths {
            let role = path.get(folder.len()..).unwrap_or_default().to_owned();
            open.extend(site.files.remove(&path).map(|piece| (folder.clone(), role, piece, key)));
        }
    }
    let sealed: Vec<(String, String, Piece)> = open
        .into_par_iter()
        .map(|(folder, role, piece, key)| {
            let body = body(key, &role, &piece.body, store)?;
            let path = format!("{folder}{}", file::name(key, &role));
            Ok((path, format!("{folder}{role}"), Piece { body, ..piece }))
        })
        .collect::<Result<_, FileError>>()
        .map_err(told)?;
    for (path, open_path, piece) in sealed {
        if open_path.ends_with(&format!("/{PAGE}")) {
            let shell = Piece::new(Body::Bytes(site.shell.clone()), piece.owner.clone());
            site.files.insert(open_path, shell);
            site.sealed_pages.insert(path.clone());
        }
        site.files.insert(path, piece);
    }
    Ok(())
}

/// A file's bytes, sealed: now, or as they were sealed before.
fn body(key: &PageKey, role: &str, open: &Body, store: &Store) -> Result<Body, FileError> {
    match open {
        Body::Bytes(bytes) => Ok(Body::Bytes(file::sealed(key, role, bytes))),
        Body::Cached { path, digest, .. } => {
            let id = store::id(key, role, digest);
            match store.recall(&id) {
                Some(kept) => Ok(kept),
                None => store.keep(id, &file::sealed(key, role, &read_up_to(path, LARGEST)?)),
            }
        }
    }
}

fn told(error: FileError) -> Problems {
    let place = Place::file(error.path.display().to_string());
    let hint = "what is not sealed is not written; make room or mend that, then run this again";
    Problems::from_iter([Problem::new(Code::OutputFailed, error.to_string()).at(place).hint(hint)])
}
