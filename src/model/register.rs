//! The register: the log of who brought what, when, under which tag, for an inspector. Never published.

use crate::base::day::Day;
use crate::base::private::Private;

/// What a state may ask for in the register, besides the job's number and the day it came in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RegisterField {
    Address,
    Phone,
    Species,
    Sex,
    /// The number of the tag, or of the permit, seal or confirmation.
    Tag,
    TakenOn,
    Place,
    License,
    /// The hunter's signature on the tag of a migratory bird; asked where the route waits for it.
    Signature,
}

impl RegisterField {
    pub const ALL: [RegisterField; 9] = [
        RegisterField::Address,
        RegisterField::Phone,
        RegisterField::Species,
        RegisterField::Sex,
        RegisterField::Tag,
        RegisterField::TakenOn,
        RegisterField::Place,
        RegisterField::License,
        RegisterField::Signature,
    ];

    /// What is asked where the shop does not say: what most of the state rules that were read agree on.
    pub const USUAL: [RegisterField; 7] = [
        RegisterField::Address,
        RegisterField::Species,
        RegisterField::Sex,
        RegisterField::Tag,
        RegisterField::TakenOn,
        RegisterField::Place,
        RegisterField::Signature,
    ];

    /// The stable word: in `[register] asks`, and as part of the theme's keys.
    pub fn word(self) -> &'static str {
        match self {
            RegisterField::Address => "address",
            RegisterField::Phone => "phone",
            RegisterField::Species => "species",
            RegisterField::Sex => "sex",
            RegisterField::Tag => "tag",
            RegisterField::TakenOn => "taken-on",
            RegisterField::Place => "place",
            RegisterField::License => "licence",
            RegisterField::Signature => "signature",
        }
    }
}

/// The register over a span of days, both ends counted.
#[derive(Clone, Debug)]
pub struct Register {
    pub from: Day,
    pub to: Day,
    /// By the day each came in, then by number.
    pub entries: Vec<RegisterEntry>,
    /// What is missing in it, by entry; first of all what could not be read.
    pub gaps: Vec<Gap>,
}

/// One piece that came in or went out within the span.
#[derive(Clone, Debug)]
pub struct RegisterEntry {
    pub number: String,
    pub came_in: Day,
    pub piece: String,
    pub went_out: Option<Day>,
    pub private: Private<EntryFacts>,
}

/// The part of an entry that is for the owner and the inspector alone.
#[derive(Clone, Debug, Default)]
pub struct EntryFacts {
    pub from_whom: String,
    pub address: Option<String>,
    pub phone: Option<String>,
    pub species: Option<String>,
    pub sex: Option<String>,
    pub tag: Option<String>,
    pub permit: Option<String>,
    pub hunter: Option<String>,
    pub taken_on: Option<Day>,
    pub place: Option<String>,
    pub license: Option<String>,
    pub signed: Option<Day>,
    /// Who took it home; only where it went out.
    pub to_whom: Option<String>,
}

/// What is missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    pub number: String,
    /// Empty for a job that could not be read at all.
    pub fields: Vec<RegisterField>,
}
