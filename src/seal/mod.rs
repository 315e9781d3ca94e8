//! Rank 3: private pages that even the host cannot read. Of a finished site, the folders that are to be sealed come to
//! hold nothing but ciphertext and one shell page, which is the same for all of them.
//!
//! A file of such a folder keeps its name inside (`index.html`, `ready.ics`, a photo's): the role that it was sealed for. At the
//! host it has a name that tells nothing (`file::name`), a length off a coarse ladder (`size`), and bytes that only the
//! page's key opens (`file`). Photos are sealed once and kept (`store`). The script of the shell is the theme's; which jobs are
//! sealed is `work`'s.
//!
//! The way of a page: `work::address` derives, `render` makes the private folder as ever, this room seals it, the theme's `sealed.js` opens
//! it in the browser. `write` takes a `Site`, and this room alone makes one: of a `DraftSite` nothing can be written.
//!
//! - **Keys.** HKDF-SHA-256 (RFC 5869) from `shop.key`, salt `benchlight sealed pages 1`, info `folder/NUMBER/LINK` and `key/NUMBER/LINK`. The
//!   folder's name has 16 symbols (80 bits). The page's key has 26 (130 bits), and everything else is drawn from its text. The open page's
//!   folder is another function of the shop's key altogether. So none of the three gives another. The folder's name is shorter than an
//!   open page's, because it only keeps ciphertext from being fetched; with it the code of a usual address stays at version 5.
//! - **Files.** `file` tells the format and why no nonce repeats for a key (SP 800-38D, section 8): key *and* nonce of a file come from a
//!   salt that is a keyed hash of role and content. The same content gives the same bytes in every pass, with or without a memory.
//! - **Names and sizes.** A file's name at the host is drawn from the key and its role, so the script finds it with the key alone, and a
//!   wrong key finds nothing. Lengths are off a ladder of two steps an octave (`size` says why no finer one).
//! - **The shell** is the same bytes for every piece. Its policy lets in the one script by its hash, fetches from itself, and `blob:` pictures.
//!   The script sets text by `textContent`, and the page by a parsed document of authenticated bytes. The page's own policy is not taken over.
//! - **Left out**: the news feed, which no reader could open. Number of files, their rough sizes and when they change can be seen.
//! - **Not proved by a file**: that it is the newest. A host can serve an older one, whole and authentic.
//! - **The whole address** is `WorkedJob::way` and `Studio::web_address`, which the site's own views never call (`tests/house.rs`).
//! - **A job that is broken** keeps its last good page under the usual rules. Whether it is to be sealed is read out of its damaged file. What
//!   is not plainly `false` counts as `true`, so that an open page never stays where a sealed one is wanted.
//! - **Proof.** `tests/sealed/`: vectors of NIST and RFC 5869 through our functions; OpenSSL opens what we seal; canaries over the whole output;
//!   a phone-sized Chromium opens a page from the printed code alone, and the reader hears plainly what is wrong in eight ways.
//! - **Cost.** `cargo bench --bench photos -- seal` prints what sealing 24 photos costs beside making them: 1.9 to 3.3 % on a busy machine, in
//!   the build that tests use, for 1.28 times the bytes (0.1 % at most where they were sealed before).

pub mod file;
pub mod size;
mod store;

pub use store::Store;

use crate::base::files::{FileError, read_up_to};
use crate::model::{Body, DraftSite, OpenFile, Site, SiteFile};
use crate::problem::{Code, Location, Problem, Problems};
use rayon::prelude::*;

/// The page itself, by its name inside.
const PAGE: &str = "index.html";
/// More than any rendition has.
const LARGEST: u64 = 256 << 20;

/// The site with every folder sealed that is to be.
///
/// # Errors
/// A photo cannot be read, or what was sealed cannot be kept: then there is no site.
pub fn site(mut draft: DraftSite, store: &Store) -> Result<Site, Problems> {
    let shell = std::mem::take(&mut draft.shell);
    let (mut site, open) = draft.parted();
    let sealed: Vec<(OpenFile, Body)> = open
        .into_par_iter()
        .map(|open| body(&open, store).map(|body| (open, body)))
        .collect::<Result<_, FileError>>()
        .map_err(not_sealed)?;
    for (OpenFile { folder, name, key, file }, body) in sealed {
        let path = format!("{folder}{}", file::name(&key, &name));
        if name == PAGE {
            let shell = SiteFile::new(Body::Bytes(shell.clone()), file.owner.clone());
            site.files.insert(format!("{folder}{PAGE}"), shell);
            site.put_sealed_page(path, SiteFile { body, ..file });
        } else {
            site.files.insert(path, SiteFile { body, ..file });
        }
    }
    Ok(site)
}

/// A file's bytes, sealed: now, or as they were sealed before.
fn body(open: &OpenFile, store: &Store) -> Result<Body, FileError> {
    let OpenFile { key, name: role, file, .. } = open;
    match &file.body {
        Body::Bytes(bytes) => Ok(Body::Bytes(self::file::sealed(key, role, bytes))),
        Body::Cached { path, digest, .. } => {
            let id = store::id(key, role, digest);
            match store.recall(&id) {
                Some(kept) => Ok(kept),
                None => store.keep(id, &self::file::sealed(key, role, &read_up_to(path, LARGEST)?)),
            }
        }
    }
}

fn not_sealed(error: FileError) -> Problems {
    let place = Location::file(error.path.display().to_string());
    let hint = "what is not sealed is not written; make room or mend that, then run this again";
    Problems::from_iter([Problem::new(Code::OutputFailed, error.to_string()).at(place).hint(hint)])
}
