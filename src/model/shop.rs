//! The whole shop, read and checked.

use super::{Job, Page, Partner, Pose, Post, RegisterField, Remains, Route, WorkedJob};
use crate::base::day::Day;
use crate::base::drawn::Drawn;
use crate::base::exact::Rounding;
use crate::base::issued::Issued;
use crate::base::minutes::Minutes;
use crate::base::money::{Currency, Money};
use crate::base::private::Private;
use crate::base::secret::Secret;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// Everything of the content folder that could be read and is right.
#[derive(Debug)]
pub struct Shop {
    pub studio: Studio,
    pub key: ShopKey,
    pub partners: BTreeMap<String, Partner>,
    pub routes: BTreeMap<String, Route>,
    /// In the order of their numbers.
    pub jobs: Vec<Job>,
    /// What was left out because something in it needs mending; its last good pages stay.
    pub spoilt: Vec<Spoilt>,
    /// For each job in `spoilt`, by number, the `link` of its private address as far as it can still be read, even from
    /// a file that is otherwise damaged; the first where a readable file has no such line, none where nothing can be
    /// read. It tells whether a page that is kept stands at an address that the owner has retired since. Jobs that
    /// contradict themselves are not in it, as they are read well and stand in `jobs`.
    pub spoilt_links: BTreeMap<String, Option<PageLink>>,
    /// Which numbers and addresses are known to have been given, and to whom.
    pub issued: Issued,
    /// For each part in `spoilt`, the photos that lie in its folder now; without an entry nothing is known of them.
    pub remains: BTreeMap<Spoilt, Remains>,
    /// In the owner's order: animals as `showroom` in `shop.toml` names them, then by name; so the poses of each.
    pub poses: Vec<Pose>,
    pub pages: Vec<Page>,
}

/// What the address of a job's page hangs on, besides the shop's key and the job's number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PageLink {
    /// Raised by one to retire the old address.
    pub link: u32,
    /// Whether the page is sealed, where the job says so itself.
    pub sealed: Option<bool>,
    /// The word that was drawn for the job.
    pub draw: Option<Private<Drawn>>,
}

/// Something that has pages but cannot be made this time.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Spoilt {
    /// A job, by number.
    Job(String),
    /// A pose, by animal and key.
    Pose(String, String),
    /// A page of the owner's, by key.
    Page(String),
}

impl Spoilt {
    /// `job 26-041`, `pose turkey/half-strut`, `page prices`.
    pub fn words(&self) -> String {
        match self {
            Spoilt::Job(number) => format!("job {number}"),
            Spoilt::Pose(animal, key) => format!("pose {animal}/{key}"),
            Spoilt::Page(key) => format!("page {key}"),
        }
    }

    /// The same in lower case, as records know it: a job's number is the same in capitals.
    pub fn folded(&self) -> Spoilt {
        match self {
            Spoilt::Job(number) => Spoilt::Job(number.to_ascii_lowercase()),
            Spoilt::Pose(animal, key) => Spoilt::Pose(animal.to_ascii_lowercase(), key.to_ascii_lowercase()),
            Spoilt::Page(key) => Spoilt::Page(key.to_ascii_lowercase()),
        }
    }

    /// The part that [`Spoilt::words`] tells of.
    pub fn of_words(words: &str) -> Option<Spoilt> {
        let (kind, name) = words.split_once(' ')?;
        match kind {
            "job" => Some(Spoilt::Job(name.to_owned())),
            "pose" => {
                name.split_once('/').map(|(animal, key)| Spoilt::Pose(animal.to_owned(), key.to_owned()))
            }
            "page" => Some(Spoilt::Page(name.to_owned())),
            _ => None,
        }
    }
}

/// `shop.key`: 32 secret bytes.
#[derive(Clone, Debug)]
pub struct ShopKey(Secret<[u8; 32]>);

impl ShopKey {
    pub fn new(bytes: [u8; 32]) -> ShopKey {
        ShopKey(Secret::new(bytes))
    }

    /// The bytes, for a derivation that does not give them away.
    pub fn reveal(&self) -> &[u8; 32] {
        self.0.reveal()
    }
}

/// `shop.toml`.
#[derive(Clone, Debug)]
pub struct Studio {
    pub name: String,
    /// A line under the name.
    pub says: Option<String>,
    /// Who works there.
    pub keeper: Option<String>,
    pub phone: Option<String>,
    pub email: Option<String>,
    pub address: Vec<String>,
    /// The site's public address, ending in a slash.
    pub web: Option<String>,
    /// BCP 47 language of the pages, such as `en-US`.
    pub language: String,
    /// The unit that sizes in the showroom are in, such as `in`.
    pub length: String,
    pub visits: Vec<Visit>,
    /// Keys of pages, in the order of the menu.
    pub menu: Vec<String>,
    pub line: LineBy,
    /// Hands-on time by weekday, Monday first.
    pub bench: [Minutes; 7],
    /// How many work at the bench side by side, each for these hours.
    pub hands: u32,
    /// Whether the bench stays with one kind of work as long as there is some.
    pub batches: bool,
    pub closures: Vec<Closure>,
    pub estimates: EstimateRules,
    pub money: MoneyRules,
    pub gates: BTreeMap<String, GateRule>,
    /// What the owner's state asks for in the register; what is missing of it is told.
    pub register: Vec<RegisterField>,
    /// Whether private pages are sealed, so that even the host cannot read them; a job may say otherwise for itself.
    pub sealed: bool,
    /// Days for which the closing page stays after the piece was collected.
    pub keep_days: u32,
    /// Where the finished site is put up.
    pub post: Option<Post>,
    /// The pinned day of an invented shop; its pages say that it is made up.
    pub made_up: Option<Day>,
}

impl Studio {
    /// The whole web address of a private page, for hang tags and messages, with its key where it is sealed; none as
    /// long as the shop has no `web`.
    pub fn web_address(&self, worked: &WorkedJob) -> Option<Private<String>> {
        self.web.as_ref().map(|web| Private::new(format!("{web}{}", worked.page_path().reveal())))
    }
}

/// When visitors are welcome, in the owner's words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Visit {
    pub days: String,
    pub hours: String,
}

/// What a piece's place in line counts from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineBy {
    Deposit,
    Arrival,
}

/// Days on which the bench stands still.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Closure {
    pub from: Day,
    pub to: Day,
    /// The day from which it was known; from the beginning of time where left out.
    pub announced: Option<Day>,
    pub why: Option<String>,
}

/// `[estimates]`: how dates are told.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EstimateRules {
    /// The shop's own words for "an estimate, not a promise".
    pub says: Option<String>,
    /// Whether the front page tells how the windows of the past held.
    pub show_past: bool,
}

/// Whom a gate waits on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WaitsOn {
    Customer,
    Shop,
}

/// `[gate.NAME]` of `shop.toml`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GateRule {
    pub who: WaitsOn,
    /// What the customer reads while it is not met.
    pub tells: Option<String>,
}

/// `[money]`, `[[tax]]` and `[storage]`.
#[derive(Clone, Debug)]
pub struct MoneyRules {
    pub currency: Currency,
    pub deposit: DepositRule,
    pub taxes: Vec<Tax>,
    pub tax_rounding: Rounding,
    pub tax_by: TaxBy,
    pub storage: Option<Storage>,
    /// How one may pay, as Markdown.
    pub pay: Option<String>,
    /// Deposit and storage policy in the shop's words, as Markdown.
    pub policy: Option<String>,
}

/// Deposit asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DepositRule {
    None,
    Flat(Money),
    /// Of the charges made on the day it was taken in, tax included, in percent.
    Percent(Decimal),
}

/// One tax.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tax {
    pub name: String,
    /// Percent.
    pub rate: Decimal,
    /// The kinds of charge that it is on.
    pub on: Vec<String>,
    /// Whether the prices already include it.
    pub included: bool,
}

/// Whether a tax is rounded on each line or once on the whole; section 324 lets the seller elect.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TaxBy {
    Whole,
    Line,
}

/// Storage after the grace.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Storage {
    /// Days after the customer was told that it is ready that cost nothing; who was not told owes no storage.
    pub grace: u32,
    pub fee: Money,
    pub per: StoragePer,
    /// The most that storage can come to.
    pub cap: Option<Money>,
}

/// What a storage fee is for; each begun day, week or month counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoragePer {
    Day,
    Week,
    Month,
    Once,
}
