//! The poses of the showroom and the owner's own pages.

use super::Photo;
use crate::base::money::Money;
use crate::problem::Source;
use rust_decimal::Decimal;

/// A pose of the public gallery: a folder `showroom/<animal>/<key>/`.
#[derive(Clone, Debug)]
pub struct Pose {
    pub animal: String,
    pub key: String,
    pub name: String,
    /// What it shows off, each in a few words.
    pub shows_off: Vec<String>,
    pub room: Option<Room>,
    /// How it stands or hangs, in the owner's words.
    pub stands: Option<String>,
    /// What it is drawn on.
    pub on: StandsOn,
    /// Which way it looks and which wall that suits, in the owner's words.
    pub looks: Option<String>,
    pub price_from: Option<Money>,
    /// What must be decided, and by when, in the owner's words.
    pub decide_by: Option<String>,
    /// `about.md`, if there is one.
    pub about: Option<Source>,
    pub photos: Vec<Photo>,
}

/// What a pose is drawn on beside a door.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum StandsOn {
    #[default]
    Floor,
    Wall,
}

/// Room it needs, in the shop's unit of length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Room {
    pub wide: Decimal,
    pub high: Decimal,
    pub deep: Decimal,
}

/// A page of the owner's: `pages/<key>.md`.
#[derive(Clone, Debug)]
pub struct Page {
    /// The file's name without `.md`; its public address.
    pub key: String,
    /// The first heading.
    pub title: String,
    /// The text below the first heading.
    pub text: Source,
    /// Pictures that the text shows, by the name it uses.
    pub pictures: Vec<(String, Photo)>,
}
