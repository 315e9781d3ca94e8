//! `open --new-key`: another `shop.key` for a shop whose key was lost, damaged or seen by others; then what follows, in order,
//! and the hang tags to hand out anew.
//!
//! The old key is kept beside the new one, as `shop.key.old`: a new key moves the page of every customer, and whoever asked for
//! one by mistake must be able to go back. It opens nothing once the old pages are gone from the host, so the owner is asked to
//! delete it then. Nothing is deleted or published here. The shop stays the same shop for its host: what tells it from others
//! is kept in `shop.id`.

use super::{fresh_key, symbols};
use crate::base::files::{self, FileError};
use crate::base::words::count;
use crate::command::printing::{self, Paper, Wanted};
use crate::command::tag::{self, Tags};
use crate::command::terminal::{say, tell_problems};
use crate::command::{Outcome, is_shop};
use crate::model::PageLife;
use crate::problem::{Code, Location, Problem, Problems};
use crate::write::ShopLock;
use std::fs;
use std::path::{Path, PathBuf};
use zeroize::Zeroizing;

/// The key's file, by its path from the shop's folder.
const FILE: &str = "content/shop.key";
/// What keeps the shop's identity from then on.
const IDENTITY: &str = "content/shop.id";
/// No key is as long as this.
const LIMIT: u64 = 1 << 16;

/// Puts a new key in place and tells what follows.
pub fn run(shop: &Path) -> Outcome {
    printing::end(made(shop))
}

fn made(shop: &Path) -> Result<Outcome, Problems> {
    is_shop(shop)?;
    let lock = ShopLock::take(shop, || say("Another pass is at work on this shop; waiting for it to end."));
    let lock = lock.map_err(|busy| Problems::from_iter([busy]))?;
    let old = changed(shop).map_err(|problem| Problems::from_iter([problem]))?;
    drop(lock);
    say("The new key is in content/shop.key. The address of every private page changes with it.");
    if let Some(old) = &old {
        say(&format!(
            "The old key is kept as {old}. If this was a mistake, put it back in the place of the new one"
        ));
        say("before you do anything else, and all is as it was.");
    }
    Ok(what_follows(shop, old.as_deref()))
}

/// Keeps the old key under another name and writes a new one; the name of the old one, if there was any.
fn changed(shop: &Path) -> Result<Option<String>, Problem> {
    let file = shop.join(FILE);
    let failed = |error: FileError| {
        Problem::new(Code::OutputFailed, error.to_string())
            .hint("the key is as it was; mend that, then run this again")
    };
    match fs::symlink_metadata(&file) {
        Ok(facts) if !facts.is_file() => {
            let message = "the shop's key is a link or a folder, so it was left alone";
            let hint = "put the key itself there, then run this again";
            return Err(Problem::new(Code::BadKey, message).at(Location::file(FILE)).hint(hint));
        }
        _ => {}
    }
    let text = fresh_key()?;
    let old = match files::read_up_to(&file, LIMIT) {
        Ok(bytes) => Some(Zeroizing::new(bytes)),
        Err(error) if error.is_missing() => None,
        Err(error) => return Err(failed(error)),
    };
    keep_identity(shop).map_err(failed)?;
    let kept = old.map(|bytes| kept_aside(shop, &bytes)).transpose().map_err(failed)?;
    files::replace_private(&file, text.as_bytes()).map_err(failed)?;
    Ok(kept)
}

/// Writes the shop's identity down where it is not yet: the new key would give another, and `post` would not know what the
/// shop itself put up. A key that is lost leaves the copy that `post` kept.
fn keep_identity(shop: &Path) -> Result<(), FileError> {
    let file = shop.join(IDENTITY);
    let identity = crate::read::lasting_identity(shop).or_else(|| crate::post::kept_identity(shop));
    match identity.filter(|_| fs::symlink_metadata(&file).is_err()) {
        Some(identity) => files::replace_private(&file, identity_text(identity.reveal()).as_bytes()),
        None => Ok(()),
    }
}

fn identity_text(bytes: &[u8; 32]) -> String {
    format!(
        "# Tells this shop from every other at its host. It stays the same when the key changes; no address is made from it.\n\
         {}\n",
        *symbols(bytes)
    )
}

/// Keeps the old key's bytes beside it, under the first name that is free.
fn kept_aside(shop: &Path, bytes: &[u8]) -> Result<String, FileError> {
    let names = (1..).map(|n| if n == 1 { format!("{FILE}.old") } else { format!("{FILE}.old-{n}") });
    let free = |name: &String| fs::symlink_metadata(shop.join(name)).is_err();
    let name = names.take(1000).find(free).unwrap_or_else(|| format!("{FILE}.old"));
    files::replace_private(&shop.join(&name), bytes)?;
    Ok(name)
}

/// What the owner has to do now, with the tags to hand out anew.
fn what_follows(shop: &Path, old: Option<&str>) -> Outcome {
    let mut outcome = Outcome::Done;
    say("");
    say("What to do now, in this order:");
    say("  1. Keep a copy of the new content/shop.key somewhere safe, where nobody else reads it.");
    say("  2. Run `benchlight make`: the pages move to their new addresses, and none stays at an old one.");
    say("  3. Bring the site to your host, and see to it that what is gone here is gone there too.");
    match tags(shop) {
        Ok(None) => say("  4. No piece has a page just now, so there is no tag to hand out."),
        Ok(Some((number, page))) => {
            say(&format!(
                "  4. Print {} ({}), hand out or send",
                count(number, "new hang tag"),
                page.display()
            ));
            say("     one to each customer listed above, and tell them that the old code leads nowhere now.");
        }
        Err(problems) => {
            tell_problems(&problems);
            say(
                "  4. When everything listed above is mended, print a new hang tag for every piece: `benchlight tag JOB`.",
            );
            outcome = Outcome::Mending;
        }
    }
    if let Some(old) = old {
        say(&format!("  5. When all have their new tags, delete {old}."));
    }
    say("");
    say("What a new key cannot do: take back what somebody has read, or saved, with the old one.");
    outcome
}

/// The printed tags of every job that has a page: how many, and where.
fn tags(shop: &Path) -> Result<Option<(usize, PathBuf)>, Problems> {
    let press = printing::press(shop, None)?;
    let with_page = press.found.worked.jobs.iter().filter(|worked| worked.page != PageLife::Gone);
    let jobs: Vec<String> =
        with_page.filter_map(|worked| Some(press.found.shop.job(worked.job)?.number.clone())).collect();
    if jobs.is_empty() {
        return Ok(None);
    }
    let number = jobs.len();
    let out = crate::write::printed_file(shop, "new tags for all.html");
    let wanted = Wanted { out: Some(out.clone()), paper: Paper::Letter };
    tag::print(&press, shop, &Tags { jobs, single: false, show: false }, &wanted)?;
    tag::note_down(shop, &press);
    Ok(Some((number, out)))
}
