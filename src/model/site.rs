//! The site in memory: paths and bytes. Before what is to be sealed is sealed it is a `DraftSite`, which nothing writes; what
//! may be written is a `Site`.

use super::{MadeOf, PageKey, Role, Spoilt};
use crate::base::day::Day;
use crate::base::digest::Digest;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

/// Every page and file as it was made, what is to be sealed among it in the open.
#[derive(Debug, Default)]
pub struct DraftSite {
    /// By path from the output folder, with forward slashes.
    pub files: BTreeMap<String, SiteFile>,
    /// What could not be made this time: what the last pass wrote for it stays.
    pub kept: Vec<Spoilt>,
    /// What stands in the place of a page that is held back, by how many folders it lies deep.
    pub stand_ins: BTreeMap<usize, Vec<u8>>,
    /// Folders of private pages that are to be sealed (`see/…/`), and the key of each.
    pub to_seal: BTreeMap<String, PageKey>,
    /// What stands in the place of every sealed page: nothing of it is any piece's own.
    pub shell: Vec<u8>,
}

/// A file that may not be written as it is.
#[derive(Debug)]
pub struct OpenFile {
    /// The private folder that it is of, `see/…/`.
    pub folder: String,
    /// Its name in there.
    pub name: String,
    pub key: PageKey,
    pub file: SiteFile,
}

impl DraftSite {
    /// What may be written as it is; and what may not, taken out of it. There is no other way to a `Site`:
    ///
    /// ```
    /// use benchlight::door::model::{DraftSite, Site};
    /// fn write(_: &mut Site) {}
    /// let (mut site, _to_seal) = DraftSite::default().parted();
    /// write(&mut site);
    /// ```
    ///
    /// A draft is none:
    ///
    /// ```compile_fail,E0308
    /// use benchlight::door::model::{DraftSite, Site};
    /// fn write(_: &mut Site) {}
    /// write(&mut DraftSite::default());
    /// ```
    ///
    /// Nor can one be put together:
    ///
    /// ```compile_fail,E0451
    /// use benchlight::door::model::{DraftSite, Site};
    /// let site = Site { files: DraftSite::default().files, ..DraftSite::default().parted().0 };
    /// ```
    pub fn parted(self) -> (Site, Vec<OpenFile>) {
        let DraftSite { mut files, kept, stand_ins, to_seal, shell: _ } = self;
        let mut open = Vec::new();
        for (folder, key) in to_seal {
            let within = files.range(folder.clone()..).take_while(|(path, _)| path.starts_with(&folder));
            let paths: Vec<String> = within.map(|(path, _)| path.clone()).collect();
            for path in paths {
                let name = path.get(folder.len()..).unwrap_or_default().to_owned();
                let file = files.remove(&path);
                open.extend(file.map(|file| OpenFile {
                    folder: folder.clone(),
                    name,
                    key: key.clone(),
                    file,
                }));
            }
        }
        let site = Site {
            files,
            kept,
            stand_ins,
            addresses: BTreeMap::new(),
            still: BTreeMap::new(),
            held: BTreeMap::new(),
            taken_back: BTreeSet::new(),
            sealed_pages: BTreeSet::new(),
            ends: BTreeMap::new(),
            doubted: None,
        };
        (site, open)
    }
}

/// The finished site: nothing in it is still to be sealed.
#[derive(Debug)]
pub struct Site {
    /// By path from the output folder, with forward slashes.
    pub files: BTreeMap<String, SiteFile>,
    /// What could not be made this time: what the last pass wrote for it stays.
    pub kept: Vec<Spoilt>,
    /// What stands in the place of a page that is held back, by how many folders it lies deep.
    pub stand_ins: BTreeMap<usize, Vec<u8>>,
    /// The private address that each job of `kept` has today, as far as it can be known: what stands at
    /// another one is retired and does not stay.
    pub addresses: BTreeMap<String, String>,
    /// What may still be seen of the photos of each part of `kept`; without an entry nothing is known, and nothing of it is
    /// taken back.
    pub still: BTreeMap<Spoilt, Still>,
    /// Pages that are held back, decided by whoever writes: the stand-in is in `files`.
    pub held: BTreeMap<String, Spoilt>,
    /// Files of kept parts that go all the same.
    pub taken_back: BTreeSet<String>,
    /// Sealed files that hold pages: they lead to the others beside them. Not for everybody, so that nobody else makes a site.
    sealed_pages: BTreeSet<String>,
    /// Folders of private pages that end by themselves, and the last day of each.
    pub ends: BTreeMap<String, Day>,
    /// While the day is in doubt: folders of private pages that are over by the day alone. What stands there stays, and no
    /// other page goes because of its last day.
    pub doubted: Option<BTreeSet<String>>,
}

impl Site {
    /// Puts a file that holds a sealed page.
    pub fn put_sealed_page(&mut self, path: String, file: SiteFile) {
        self.sealed_pages.insert(path.clone());
        self.files.insert(path, file);
    }

    /// What the file at `path` is.
    pub fn role(&self, path: &str) -> Role {
        Role::known(path, &self.sealed_pages)
    }
}

/// One file.
#[derive(Debug)]
pub struct SiteFile {
    pub body: Body,
    pub owner: Owner,
    /// The photo that it is a size of, if it is one.
    pub photo: Option<MadeOf>,
}

impl SiteFile {
    /// A file that is no photo.
    pub fn new(body: Body, owner: Owner) -> SiteFile {
        SiteFile { body, owner, photo: None }
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
