//! The finished site in memory: paths and bytes.

use super::{MadeOf, PageKey, Spoilt};
use crate::base::day::Day;
use crate::base::digest::Digest;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

/// Every file of the site, by its path from the output folder with forward slashes.
#[derive(Debug, Default)]
pub struct Site {
    pub files: BTreeMap<String, Piece>,
    /// What could not be made this time: what the last pass wrote for it stays.
    pub kept: Vec<Spoilt>,
    /// The private address that each job of `kept` has today, as far as it can be known: what stands at
    /// another one is retired and does not stay.
    pub addresses: BTreeMap<String, String>,
    /// What may still be seen of the photos of each part of `kept`; without an entry nothing is known, and nothing of it is
    /// taken back.
    pub still: BTreeMap<Spoilt, Still>,
    /// What stands in the place of a page that is held back, by how many folders it lies deep.
    pub stand_ins: BTreeMap<usize, Vec<u8>>,
    /// Pages that are held back, decided by whoever writes: the stand-in is in `files`.
    pub held: BTreeMap<String, Spoilt>,
    /// Files of kept parts that go all the same.
    pub taken_back: BTreeSet<String>,
    /// Folders of private pages that are still to be sealed (`see/…/`), and the key of each. As long as there is one, nothing of the
    /// site is written.
    pub to_seal: BTreeMap<String, PageKey>,
    /// What stands in the place of every sealed page: nothing of it is any piece's own.
    pub shell: Vec<u8>,
    /// Sealed files that hold pages: they lead to the others beside them.
    pub sealed_pages: BTreeSet<String>,
    /// Folders of private pages that end by themselves, and the last day of each.
    pub ends: BTreeMap<String, Day>,
    /// While the day is in doubt: folders of private pages that are over by the day alone. What stands there stays, and no
    /// other page goes because of its last day.
    pub doubted: Option<BTreeSet<String>>,
}

/// One file.
#[derive(Debug)]
pub struct Piece {
    pub body: Body,
    pub owner: Owner,
    /// The photo that it is a size of, if it is one.
    pub photo: Option<MadeOf>,
}

impl Piece {
    /// A file that is no photo.
    pub fn new(body: Body, owner: Owner) -> Piece {
        Piece { body, owner, photo: None }
    }
}

/// What may still be seen of the photos of something that keeps its last good page.
#[derive(Clone, Debug, Default)]
pub struct Still {
    /// Photos that are there and are to be shown.
    pub shown: BTreeSet<Digest>,
    /// Photos that are there and are not to be shown (any more).
    pub hidden: BTreeSet<Digest>,
    /// Files and folders of which nothing can be told now: what was made of them stays.
    pub unread: BTreeSet<String>,
    /// Whether something of it is on its way: then what is missing may be too.
    pub waits: bool,
    /// The files of the site that `shown` would give today, for a record that does not say what they were made of.
    pub files: BTreeMap<String, MadeOf>,
    /// Sealed files that are no photos.
    pub others: BTreeSet<String>,
}

/// Its bytes, in memory or ready in the cache.
#[derive(Debug)]
pub enum Body {
    Bytes(Vec<u8>),
    Cached { path: PathBuf, digest: Digest, bytes: u64 },
}

impl Body {
    /// How many bytes.
    pub fn length(&self) -> u64 {
        match self {
            Body::Bytes(bytes) => bytes.len() as u64,
            Body::Cached { bytes, .. } => *bytes,
        }
    }
}

/// What a file of the site belongs to; when that is spoilt, the file stays as it was.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Owner {
    /// The site as a whole.
    Shop,
    Part(Spoilt),
}
