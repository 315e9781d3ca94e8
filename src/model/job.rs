//! A job as it stands in its folder, checked. What is known on which day is told by its dates;
//! what follows from it is `work`'s.

use super::Photo;
use super::measures::Measures;
use crate::base::day::Day;
use crate::base::drawn::Drawn;
use crate::base::exact::{Exact, Rounding};
use crate::base::money::Money;
use crate::base::private::Private;
use crate::problem::{Location, Source, Span};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// One piece taken in for one customer.
#[derive(Clone, Debug)]
pub struct Job {
    /// The first word of the folder's name.
    pub number: String,
    /// The rest of the folder's name: how the owner calls it. It may hold a surname.
    pub label: Private<String>,
    /// Path of the folder from the shop's folder, with forward slashes; it ends in number and label.
    pub folder: Private<String>,
    /// `job.toml`, for pointing into.
    pub source: Private<Source>,
    /// First name and initial, the only form of the name that is ever shown.
    pub shown_name: String,
    pub private: Private<PrivateFacts>,
    pub piece: String,
    /// Key of the route.
    pub route: String,
    pub taken_in: Day,
    pub taken_in_at: Span,
    pub pose: Option<Choice>,
    /// What the customer reads, as Markdown.
    pub note: Option<String>,
    pub rush: bool,
    /// Raised by one to retire the old private address.
    pub link: u32,
    /// The word that was drawn for it, which its address hangs on; old jobs and those typed by hand have none.
    pub draw: Option<Private<Drawn>>,
    /// Whether its page is sealed, where the job says otherwise than the shop, or the same.
    pub sealed: Option<bool>,
    /// Steps reached, and away steps sent, by name (`mounted`, `head-sent`): from `[reached]`, else from photos.
    pub reached: BTreeMap<String, DatedFact>,
    /// The day on which the customer took it home.
    pub collected: Option<DatedFact>,
    /// The day on which the customer was told that it is ready.
    pub customer_told: Option<DatedFact>,
    /// Gates met by hand: what is in hand since when (`form`, `base`).
    pub have: BTreeMap<String, DatedFact>,
    /// The day from which the tag's number is on record, if it is.
    pub tag_since: Option<Day>,
    /// The day from which the hunter's signature is on the tag, if it is.
    pub signature_since: Option<Day>,
    pub charges: Vec<Charge>,
    pub discounts: Vec<Discount>,
    pub payments: Vec<Payment>,
    pub refunds: Vec<Payment>,
    pub write_offs: Vec<WriteOff>,
    /// Deposit asked for this piece, where it differs from the rule.
    pub deposit: Option<Money>,
    /// What was measured on it.
    pub measures: Option<Measures>,
    /// In the order in which they are shown.
    pub photos: Vec<Photo>,
}

impl Job {
    /// Where a span of `job.toml` stands, for messages.
    pub fn place(&self, span: &Span) -> Location {
        self.source.reveal().place(span)
    }

    /// `job.toml` as a whole, for messages.
    pub fn file(&self) -> Location {
        self.source.reveal().whole()
    }

    /// What the address of its page hangs on.
    pub fn page_link(&self) -> super::PageLink {
        super::PageLink { link: self.link, sealed: self.sealed, draw: self.draw }
    }
}

/// What is on record and never published.
#[derive(Clone, Debug, Default)]
pub struct PrivateFacts {
    pub customer: String,
    pub phone: Option<String>,
    pub email: Option<String>,
    pub address: Option<String>,
    pub bench_note: Option<String>,
    pub tag: Option<Tag>,
    /// Who took the finished piece home, where it was not the customer.
    pub collected_by: Option<String>,
}

/// The harvest tag, for the register.
#[derive(Clone, Debug, Default)]
pub struct Tag {
    pub number: Option<String>,
    /// A permit, seal or confirmation that stands beside the tag or in its place.
    pub permit: Option<String>,
    /// Who took the animal, where it was not the customer.
    pub hunter: Option<String>,
    /// The day on which the hunter signed the tag of a migratory bird.
    pub signed: Option<Day>,
    pub taken_on: Option<Day>,
    pub place: Option<String>,
    pub species: Option<String>,
    pub sex: Option<String>,
    pub license: Option<String>,
}

/// A dated fact and where it stands in `job.toml`; without a span it comes from a photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DatedFact {
    pub day: Day,
    pub at: Option<Span>,
    /// The photo that it comes from, as messages name it.
    pub photo: Option<Private<String>>,
}

/// The pose that was chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// A folder of the showroom (`half-strut`), or free words.
    pub words: String,
    /// Animal and folder of the showroom's pose, if it is one.
    pub pose: Option<(String, String)>,
    /// When the customer settled it.
    pub on: Day,
}

/// A line of `[[charge]]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Charge {
    pub what: String,
    pub amount: Amount,
    /// The kind of line that tax rules speak of, such as `work` or `goods`.
    pub kind: String,
    pub on: Day,
}

/// Flat, or each times a count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    Flat(Money),
    Each { each: Money, count: Decimal },
}

impl Amount {
    /// What it comes to; each times a count is rounded to the nearest, halves away from zero.
    pub fn comes_to(self) -> Money {
        match self {
            Amount::Flat(amount) => amount,
            Amount::Each { each, count } => Exact::times(each, count).rounded(Rounding::HalfUp),
        }
    }
}

/// A line of `[[discount]]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Discount {
    pub what: String,
    pub less: Less,
    pub on: Day,
}

/// How much a discount takes off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Less {
    Flat(Money),
    /// Of all charges, in percent.
    Percent(Decimal),
}

/// A line of `[[written-off]]`: what the shop does not ask for any more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WriteOff {
    pub on: Day,
    pub on_at: Span,
    pub amount: Money,
    pub amount_at: Span,
    /// For the owner's own record; the customer is shown the amount alone.
    pub why: Private<String>,
}

/// A line of `[[paid]]` or `[[refund]]`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Payment {
    pub on: Day,
    pub on_at: Span,
    pub amount: Money,
    pub how: Option<String>,
}
