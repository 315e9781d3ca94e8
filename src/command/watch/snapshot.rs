//! How every job stood after a pass: what the next pass is compared with.

use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::command::pass::Pass;
use crate::model::{Job, Spoilt, Stage, WorkedJob};
use std::collections::{BTreeMap, BTreeSet};

/// All jobs, by number.
#[derive(Debug, Default)]
pub(super) struct Snapshot {
    pub jobs: BTreeMap<String, JobSnapshot>,
    /// Jobs that could not be made; how they stood before is as good as known.
    pub spoilt: BTreeSet<String>,
    /// Those among them that only wait for a file.
    pub waiting: BTreeSet<String>,
}

/// How one job stood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct JobSnapshot {
    /// The folder's own name, such as `26-041 Fenn gobbler`.
    pub name: String,
    pub taken_in: Day,
    /// What is reached or sent since when, in the words of `[reached]`.
    pub reached: BTreeMap<String, Day>,
    pub ready: bool,
    /// The amount due, as it is written.
    pub due: String,
    /// By path from the shop's folder.
    pub photos: BTreeMap<String, PhotoSnapshot>,
    /// The private folder.
    pub folder: String,
    /// The whole way to the page, with the key of a sealed one.
    pub page_address: String,
}

/// One photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct PhotoSnapshot {
    pub digest: Digest,
    pub caption: Option<String>,
    pub step: Option<String>,
    pub shown: bool,
}

impl Snapshot {
    pub fn of(pass: &Pass) -> Snapshot {
        let currency = pass.shop.studio.money.currency;
        let jobs = pass.worked.jobs.iter().filter_map(|worked| {
            let job = pass.shop.jobs.get(worked.job)?;
            let due = worked.ledger.due.plain(currency);
            Some((job.number.clone(), JobSnapshot::of(job, worked, due, pass.today.day)))
        });
        let spoilt = pass.site.kept.iter().filter_map(|part| match part {
            Spoilt::Job(number) => Some(number.clone()),
            _ => None,
        });
        Snapshot { jobs: jobs.collect(), spoilt: spoilt.collect(), waiting: pass.arriving.jobs.clone() }
    }

    /// The same, with how those jobs stood before that cannot be made now.
    pub fn after(mut self, before: Option<Snapshot>) -> Snapshot {
        for (number, job) in before.unwrap_or_default().jobs {
            if self.spoilt.contains(&number) {
                self.jobs.entry(number).or_insert(job);
            }
        }
        self
    }
}

impl JobSnapshot {
    fn of(job: &Job, worked: &WorkedJob, due: String, today: Day) -> JobSnapshot {
        let marks = job.reached.iter().map(|(word, mark)| (word.as_str(), mark));
        let marks = marks.chain(job.collected.iter().map(|mark| ("collected", mark)));
        let photos = job.photos.iter().map(|photo| {
            let picture = PhotoSnapshot {
                digest: photo.look.digest,
                caption: photo.caption.clone(),
                step: photo.step.clone(),
                shown: photo.shown,
            };
            (photo.file.reveal().clone(), picture)
        });
        JobSnapshot {
            name: job.folder.reveal().rsplit('/').next().unwrap_or_default().to_owned(),
            taken_in: job.taken_in,
            reached: marks
                .filter(|(_, mark)| mark.day <= today)
                .map(|(word, mark)| (word.to_owned(), mark.day))
                .collect(),
            ready: worked.stage == Stage::Ready,
            due,
            photos: photos.collect(),
            folder: worked.address.clone(),
            page_address: worked.way().reveal().clone(),
        }
    }
}
