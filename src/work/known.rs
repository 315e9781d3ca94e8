//! What is known of a job on a day: the one door through which the other files of this room see
//! its dated facts.
//!
//! Whatever is dated later does not exist yet. Whether such a date is a mistake is `truth`'s question.

use crate::base::day::Day;
use crate::model::{Charge, DatedFact, Discount, Job, Payment, WriteOff};

/// A job as it stood on a day.
#[derive(Clone, Copy, Debug)]
pub(super) struct KnownJob<'a> {
    pub job: &'a Job,
    pub day: Day,
}

impl<'a> KnownJob<'a> {
    pub fn on(job: &'a Job, day: Day) -> KnownJob<'a> {
        KnownJob { job, day }
    }

    fn only(&self, mark: Option<&'a DatedFact>) -> Option<&'a DatedFact> {
        mark.filter(|m| m.day <= self.day)
    }

    /// A step reached or an away step sent, by the name it is recorded under.
    pub fn reached(&self, name: &str) -> Option<&'a DatedFact> {
        self.only(self.job.reached.get(name))
    }

    pub fn collected(&self) -> Option<&'a DatedFact> {
        self.only(self.job.collected.as_ref())
    }

    pub fn customer_told(&self) -> Option<&'a DatedFact> {
        self.only(self.job.customer_told.as_ref())
    }

    /// Since when something that a gate asks for is in hand.
    pub fn have(&self, gate: &str) -> Option<Day> {
        self.only(self.job.have.get(gate)).map(|m| m.day)
    }

    pub fn pose_on(&self) -> Option<Day> {
        self.job.pose.as_ref().map(|p| p.on).filter(|d| *d <= self.day)
    }

    pub fn tag_since(&self) -> Option<Day> {
        self.job.tag_since.filter(|d| *d <= self.day)
    }

    pub fn signature_since(&self) -> Option<Day> {
        self.job.signature_since.filter(|d| *d <= self.day)
    }

    pub fn charges(&self) -> impl Iterator<Item = &'a Charge> + use<'a> {
        let day = self.day;
        self.job.charges.iter().filter(move |c| c.on <= day)
    }

    pub fn discounts(&self) -> impl Iterator<Item = &'a Discount> + use<'a> {
        let day = self.day;
        self.job.discounts.iter().filter(move |d| d.on <= day)
    }

    pub fn payments(&self) -> impl Iterator<Item = &'a Payment> + use<'a> {
        let day = self.day;
        self.job.payments.iter().filter(move |p| p.on <= day)
    }

    pub fn refunds(&self) -> impl Iterator<Item = &'a Payment> + use<'a> {
        let day = self.day;
        self.job.refunds.iter().filter(move |p| p.on <= day)
    }

    pub fn write_offs(&self) -> impl Iterator<Item = &'a WriteOff> + use<'a> {
        let day = self.day;
        self.job.write_offs.iter().filter(move |w| w.on <= day)
    }
}
