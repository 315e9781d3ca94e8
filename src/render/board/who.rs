//! Who a piece belongs to and how to reach them: the one place of this room where what is private is opened.
//! Only the board has these, never a page of the site; tests/house.rs keeps that.

use crate::base::person::surname;
use crate::model::Job;
use crate::render::view::frame::{Email, Phone};
use serde::Serialize;

/// A customer, as the owner knows them.
#[derive(Clone, Debug, Serialize)]
pub struct Who {
    /// The whole name.
    pub name: String,
    /// By which lists are sorted.
    pub surname: String,
    /// How the owner calls the piece: the rest of the folder's name.
    pub label: String,
    pub phone: Option<Phone>,
    pub email: Option<Email>,
    pub tag: Option<String>,
    pub bench_note: Option<String>,
}

impl Who {
    /// What is on record of a job's customer.
    pub fn of(job: &Job) -> Who {
        let facts = job.private.reveal();
        let name = facts.customer.trim().to_owned();
        Who {
            surname: surname(&name).to_owned(),
            label: job.label.reveal().clone(),
            phone: facts.phone.as_deref().map(Phone::of),
            email: facts.email.as_deref().map(Email::of),
            tag: facts.tag.as_ref().and_then(|tag| tag.number.clone()),
            bench_note: facts.bench_note.clone(),
            name,
        }
    }

    /// All that a piece can be found by besides what its page says.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        let phone = self.phone.iter().flat_map(|phone| [Some(phone.shown.as_str()), phone.dial.as_deref()]);
        let more = [self.tag.as_deref(), self.email.as_ref().map(|email| email.shown.as_str())];
        let told = phone.chain(more).flatten();
        [self.name.as_str(), self.label.as_str()].into_iter().chain(told)
    }
}
