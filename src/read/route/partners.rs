//! `partners.toml`: who pieces are sent to, how long they keep them, when a parcel leaves.

use super::parcels;
use crate::model::{Parcels, Partner};
use crate::problem::{Code, Problem, Source};
use crate::read::disk::text;
use crate::read::toml::table::{self, Table};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The most partners: many times what any shop sends to. What is reckoned of each takes its time.
const MOST: usize = 100;

/// The partners of the shop.
#[derive(Debug, Default)]
pub(in crate::read) struct Partners {
    pub sound: BTreeMap<String, Partner>,
    /// Keys of partners that need mending; routes that name them do too.
    pub broken: BTreeSet<String>,
    /// Whether the file as a whole could not be read, so that nothing is known of anybody.
    pub unread: bool,
}

impl Partners {
    pub fn read(path: &Path, file: &str) -> (Partners, Vec<Problem>) {
        match text::read(path, file) {
            Ok(source) => Partners::of(&source),
            Err(problem) => (Partners { unread: true, ..Partners::default() }, vec![problem]),
        }
    }

    pub fn of(source: &Source) -> (Partners, Vec<Problem>) {
        let mut partners = None;
        let (_, problems) = table::read(source, "partners.toml", |root| {
            partners = Some(take_all(root));
            Some(())
        });
        let unread = partners.is_none();
        (Partners { unread, ..partners.unwrap_or_default() }, problems)
    }
}

fn take_all(root: &Table<'_>) -> Partners {
    let mut partners = Partners::default();
    for (at, value) in root.all().into_iter().enumerate() {
        if at == MOST {
            let message = format!("there are more than {MOST} partners");
            value.bad(Code::TooMany, message, "take out those that nothing is sent to");
            partners.unread = true;
            break;
        }
        let key = value.key_word();
        let partner = value.table("a partner").and_then(|table| take(&table));
        match (key, partner) {
            (Some(key), Some(partner)) => {
                partners.sound.insert(key.clone(), Partner { key, ..partner });
            }
            _ => {
                partners.broken.insert(value.key.to_owned());
            }
        }
    }
    partners
}

fn take(table: &Table<'_>) -> Option<Partner> {
    let name = table.needed_text("name");
    let days = table.need("days", "days = [60, 90, 150]").and_then(|v| v.three_days());
    let parcels = match table.get("parcels") {
        Some(value) => parcels::take(&value),
        None => Some(Parcels::Any),
    };
    let tidy = table.finish();
    let partner = Partner { key: String::new(), name: name?, days: days?, parcels: parcels? };
    tidy.then_some(partner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_broken_partner_leaves_the_others_alone() {
        let text =
            "[tannery]\nname = \"the tannery\"\ndays = [60, 90, 150]\n[caster]\nname = \"the caster\"\n";
        let (partners, problems) = Partners::of(&Source::new("content/partners.toml", text));
        assert_eq!(partners.sound.keys().collect::<Vec<_>>(), ["tannery"]);
        assert!(partners.broken.contains("caster") && !partners.unread);
        assert_eq!(problems.len(), 1);
    }
}
