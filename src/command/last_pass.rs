//! Whether all that a pass looks at is as it was at the last one; then what that one made stands, and nothing has to be
//! read again.
//!
//! Kept in the shop's hidden folder, for the program that wrote it alone, and safe to lose. Only a pass that left
//! nothing to mend is kept: what is broken is looked at each time.

use super::memory::program;
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::{files, glance};
use crate::model::Today;
use crate::write;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

const LIMIT: u64 = 4 << 20;

/// What a pass was made from, and what it had to say.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct LastPass {
    program: Digest,
    day: Day,
    asked: bool,
    out: String,
    content: Digest,
    pub account: Account,
}

/// The account of a pass, for when nothing changed since.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Account {
    /// Whose site, and of which day.
    pub title: String,
    pub pages: usize,
    pub pictures: usize,
    pub sealed: usize,
    pub files: usize,
    /// Its notes in words, and their tally.
    pub notes: String,
    pub tally: Option<String>,
}

impl LastPass {
    /// How everything stands before a pass, but for its day; `None` where a later change might not show.
    pub fn before(shop: &Path, out: &Path, moment: Option<i64>) -> Option<LastPass> {
        let of = |name: &str| glance::of(&shop.join(name), moment?);
        let content = Digest::of_value(&(of("content")?, of("themes")?));
        let out = std::fs::canonicalize(out).ok()?.to_string_lossy().into_owned();
        let (day, asked) = (Day::epoch(), false);
        Some(LastPass { program: program(), day, asked, out, content, account: Account::default() })
    }

    /// The same on the day of the pass.
    pub fn on(self, Today { day, asked }: Today) -> LastPass {
        LastPass { day, asked, ..self }
    }

    /// What the last pass said, if it saw the same and all that it wrote is still there.
    pub fn last(&self, shop: &Path, out: &Path) -> Option<Account> {
        let last: LastPass = serde_json::from_slice(&files::read_up_to(&file(shop), LIMIT).ok()?).ok()?;
        let same = LastPass { account: Account::default(), ..last.clone() } == *self;
        let stands = || write::LastWrite::of(out, shop).is_some_and(|site| site.is_untouched(out));
        (same && stands()).then_some(last.account)
    }

    /// Keeps it for a later run. What cannot be kept only makes that run slower.
    pub fn keep(self, account: Account, shop: &Path) {
        let kept = serde_json::to_vec(&LastPass { account, ..self }).unwrap_or_default();
        let _ = files::replace(&file(shop), &kept);
    }
}

fn file(shop: &Path) -> PathBuf {
    write::hidden_folder(shop).join("standing.json")
}
