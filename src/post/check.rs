//! The look at the host afterwards: what was put is there, what should be gone is gone, and folders that were left
//! empty go too, as their names would tell of an address.

use super::host::{Host, HostKind, Listing};
use super::local::Local;
use super::plan::Plan;
use crate::base::site_path::folder_of;
use crate::base::words::{count, list, ticked};
use crate::problem::{Code, Problem};
use futures::{StreamExt, TryStreamExt};
use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

/// What was found.
#[derive(Debug, Default)]
pub(super) struct Checked {
    /// What the host calls each file that was put.
    pub tags: BTreeMap<String, String>,
    /// Files that should be there as they are in `public/`, and are not.
    pub wrong: Vec<String>,
    /// Files that should be gone, and are not.
    pub still: Vec<String>,
}

/// Some hosts tell of a change only after a moment: what is not right yet is looked at again after these.
const MOMENTS: [Duration; 3] = [Duration::ZERO, Duration::from_millis(500), Duration::from_secs(2)];
/// More names than this are only counted.
const NAMED: usize = 5;

/// Looks into every folder in which something changed, or once at everything if that takes fewer requests.
pub(super) async fn look(host: &Host, local: &Local, plan: &Plan) -> Result<Checked, Problem> {
    let mut found = Checked::default();
    let mut open: BTreeSet<&String> = plan.puts.iter().chain(&plan.removals).flatten().collect();
    let mut empty = BTreeSet::new();
    for moment in MOMENTS {
        if open.is_empty() {
            break;
        }
        tokio::time::sleep(moment).await;
        let folders: BTreeSet<&str> = open.iter().map(|path| folder_of(path)).collect();
        let listing = listing(host, &folders, plan.pages).await?;
        open.retain(|path| match (local.files.get(*path), listing.files.get(*path)) {
            (Some(file), Some(seen)) if seen.plain && seen.bytes == file.bytes => {
                found.tags.insert((*path).clone(), seen.tag.clone());
                false
            }
            (None, None) => false,
            _ => true,
        });
        empty =
            folders.iter().filter(|folder| listing.is_empty_in(folder)).map(|f| (*f).to_owned()).collect();
    }
    let (wrong, still) = open.into_iter().cloned().partition(|path| local.has(path));
    (found.wrong, found.still) = (wrong, still);
    if host.has_folders() {
        clear(host, empty).await?;
    }
    Ok(found)
}

async fn listing(host: &Host, folders: &BTreeSet<&str>, pages: usize) -> Result<Listing, Problem> {
    if host.kind == HostKind::Storage && folders.len() > pages {
        return host.list().await;
    }
    let looks = folders.iter().map(|folder| host.list_folder(folder));
    let parts: Vec<Listing> =
        futures::stream::iter(looks).buffer_unordered(host.side_by_side()).try_collect().await?;
    let mut whole = Listing::default();
    for part in parts {
        whole.files.extend(part.files);
        whole.folders.extend(part.folders);
    }
    Ok(whole)
}

/// Takes away folders that were seen to be empty, and then those above that are empty by that.
async fn clear(host: &Host, empty: BTreeSet<String>) -> Result<(), Problem> {
    let mut left: Vec<String> = empty.into_iter().filter(|folder| !folder.is_empty()).collect();
    while let Some(folder) = left.pop() {
        host.remove_folder(&folder).await?;
        let above = folder_of(&folder).to_owned();
        if !above.is_empty() && !left.contains(&above) && host.list_folder(&above).await?.is_empty_in(&above)
        {
            left.push(above);
        }
    }
    Ok(())
}

impl Checked {
    /// What is not as it should be, in words; `refused` is what the host said to it.
    pub fn problems(&self, refused: &[(String, Problem)], place: &str) -> Vec<Problem> {
        let mut problems = Vec::new();
        if !self.still.is_empty() {
            let why = refused.iter().find(|(path, _)| self.still.contains(path)).map(|(_, problem)| problem);
            let message =
                format!("{} should be gone from the host, and is still there ({place})", named(&self.still));
            let hint = why.and_then(|problem| problem.hint.clone());
            let hint =
                hint.unwrap_or_else(|| "run this again; if it stays, take it away there yourself".to_owned());
            problems.push(Problem::new(Code::StillThere, message).hint(hint));
        }
        if !self.wrong.is_empty() {
            let message = format!(
                "{} was put up, and is not at the host as it should be ({place})",
                named(&self.wrong)
            );
            problems
                .push(Problem::new(Code::NotThere, message).hint("run this again: it is put up once more"));
        }
        problems
    }
}

fn named(paths: &[String]) -> String {
    let mut names: Vec<String> = paths.iter().take(NAMED).map(|path| ticked(path)).collect();
    if paths.len() > NAMED {
        names.push(count(paths.len() - NAMED, "more file"));
    }
    list(&names, "and")
}
