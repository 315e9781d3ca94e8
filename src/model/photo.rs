//! Photos as they were found, and the renditions that are shown of them.

use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::private::Private;
use crate::base::words::ticked;
use crate::problem::{Code, Location, Problem};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

/// A photo of the owner's, found in a folder and looked at but not yet decoded.
#[derive(Clone, Debug)]
pub struct Photo {
    pub path: Private<PathBuf>,
    /// Path from the shop's folder with forward slashes, for messages.
    pub file: Private<String>,
    /// The words that the owner named it by; none for a camera's own name.
    pub caption: Option<String>,
    /// The step whose folder it lies in.
    pub step: Option<String>,
    /// Whether it may be published.
    pub shown: bool,
    pub taken: Taken,
    pub look: Look,
}

impl Photo {
    /// What the photo room needs to open it.
    pub fn picture(&self) -> Picture {
        let (path, file) = (self.path.reveal().clone(), self.file.reveal().clone());
        Picture { digest: self.look.digest, path, file }
    }

    /// The file's own name, for messages.
    pub fn name(&self) -> &str {
        self.file.reveal().rsplit('/').next().unwrap_or_default()
    }
}

/// When a photo was taken, and how that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Taken {
    pub day: Day,
    /// Seconds after midnight, where known; for the order within a day.
    pub second: Option<u32>,
    pub by: TakenBy,
}

/// Where a photo's date comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TakenBy {
    /// `DateTimeOriginal` in its EXIF.
    Exif,
    /// The date in the file's name.
    Name,
    /// The file's own time, for want of better.
    File,
}

/// What a file's header tells, without decoding it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Look {
    /// Of the file's bytes.
    pub digest: Digest,
    pub format: Format,
    /// Width and height in pixels, upright (after its EXIF orientation).
    pub width: u32,
    pub height: u32,
    /// `DateTimeOriginal`: the day and the second of that day, as the camera's clock stood.
    pub exif_taken: Option<(Day, u32)>,
}

/// A kind of picture file. Its name is kept in records.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Format {
    Jpeg,
    Png,
    WebP,
    Gif,
    Heic,
    Avif,
}

/// Why a file gives no picture.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PhotoFault {
    /// It could not be read at all; the system's reason.
    Unreadable(String),
    /// Nothing in it.
    Empty,
    /// A moving picture, which is left out.
    Video,
    /// No picture, or one of a kind that this program cannot show; what it looks like.
    NotShowable(String),
    /// Its header asks for more pixels than is safe to decode: width and height.
    TooLarge(u32, u32),
    /// It begins as a picture and breaks off or is damaged; the decoder's reason.
    Damaged(String),
    /// Nothing is wrong with it, but what was made of it could not be kept; the system's reason.
    NotKept(String),
    /// Nothing is known of it, as no helper could be started to open it; the system's reason.
    NoHelper(String),
}

impl PhotoFault {
    /// The fault as the owner is told of it, whoever met it. `file` is the photo's path from the shop's folder.
    pub fn problem(&self, file: &str) -> Problem {
        let name = ticked(file.rsplit('/').next().unwrap_or(file));
        let again = "copy it again from the phone or camera, or take it out of the folder";
        let (code, message, hint) = match self {
            PhotoFault::Unreadable(why) => {
                (Code::BadPhoto, format!("the photo {name} could not be read ({why})"), again)
            }
            PhotoFault::Empty => (Code::BadPhoto, format!("the photo {name} has nothing in it"), again),
            PhotoFault::Video => (
                Code::VideoLeftOut,
                format!("the video {name} is not shown"),
                "save a photo from it if customers are to see something of it",
            ),
            PhotoFault::NotShowable(kind) => (
                Code::PhotoKind,
                format!("{name} is no picture that can be shown ({kind})"),
                "save it as a JPEG picture, or take it out of the folder",
            ),
            PhotoFault::TooLarge(wide, high) => (
                Code::BadPhoto,
                format!("the photo {name} is too large to open ({wide} x {high} pixels)"),
                "save it smaller, or take it out of the folder",
            ),
            PhotoFault::Damaged(why) => {
                (Code::BadPhoto, format!("the photo {name} is damaged ({why})"), again)
            }
            PhotoFault::NotKept(why) => (
                Code::PhotoCache,
                format!("the photo is good, but what was made of it could not be kept: {why}"),
                "see whether the disk is full, and whether the shop's folder `.benchlight` may be written",
            ),
            PhotoFault::NoHelper(why) => (
                Code::PhotoHelper,
                format!("the photo could not be opened: the helper that opens photos did not start ({why})"),
                "close other programs or restart the computer, then make again",
            ),
        };
        Problem::new(code, message).at(Location::file(file)).hint(hint)
    }
}

/// A picture that the site needs, by what it holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    pub digest: Digest,
    pub path: PathBuf,
    pub file: String,
}

/// The photos of something that cannot be made, as they lie in its folder now.
#[derive(Clone, Debug, Default)]
pub struct Remains {
    /// With those that are not to be shown.
    pub photos: Vec<Photo>,
    /// Files and folders of which nothing can be told now, as messages name them: kept elsewhere, unreadable.
    pub unread: BTreeSet<String>,
}

/// Which photo of the owner's a file of the site was made from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MadeOf {
    pub digest: Digest,
    /// Its path from the shop's folder.
    pub file: Private<String>,
}

/// All that is shown of one photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Renditions {
    /// Upright, metadata gone, from the widest to the narrowest; never empty.
    pub sizes: Vec<Rendition>,
    /// A tiny picture as a `data:` address, to stand in until the photo has loaded.
    pub placeholder: String,
}

/// One size of one photo, ready in the cache.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rendition {
    pub width: u32,
    pub height: u32,
    pub bytes: u64,
    /// Of the rendition's own bytes; its public name comes from this.
    pub digest: Digest,
    /// `jpg` and the like.
    pub ending: &'static str,
    /// Where it lies in the cache.
    pub path: PathBuf,
}

/// Renditions by the digest of the photo that they were made from.
pub type Album = BTreeMap<Digest, Renditions>;
