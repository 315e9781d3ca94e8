//! Who a piece belongs to and how to reach them: the one place of this room where what is private is opened.
//! Only the board has these, never a page of the site; tests/house.rs keeps that.

use crate::model::Job;
use crate::render::view::frame::{Email, Phone, dial};
use serde::Serialize;

/// A customer, as the owner knows them.
#[derive(Clone, Debug, Serialize)]
pub struct Who {
    /// The whole name.
    pub name: String,
    /// The last word of it, by which lists are sorted.
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
        let before_comma = name.split(',').next().unwrap_or_default();
        let surname = before_comma.split_whitespace().last().unwrap_or_default().to_owned();
        Who {
            surname,
            label: job.label.reveal().clone(),
            phone: facts.phone.as_deref().map(|shown| Phone { shown: shown.to_owned(), dial: dial(shown) }),
            email: facts.email.as_deref().map(|shown| Email { shown: shown.to_owned(), to: mail_to(shown) }),
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

/// The address, if it is one that needs no quoting (RFC 5322, 3.4.1 with 3.2.3).
fn mail_to(shown: &str) -> Option<String> {
    let atom = |c: char| c.is_ascii_alphanumeric() || "!#$%&'*+-/=?^_`{|}~".contains(c);
    let host = |c: char| c.is_ascii_alphanumeric() || c == '-';
    let (name, domain) = shown.split_once('@')?;
    let dotted = |text: &str, fits: &dyn Fn(char) -> bool| {
        text.split('.').all(|part| !part.is_empty() && part.chars().all(fits))
    };
    (dotted(name, &atom) && dotted(domain, &host)).then(|| shown.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_that_need_no_quoting_are_written_to() {
        // RFC 6068, section 6.1: `gorby%kremvax@example.com` and `unlikely?address@example.com` are addresses.
        for good in ["ada@fenn.example", "gorby%kremvax@example.com", "unlikely?address@example.com"] {
            assert_eq!(mail_to(good).as_deref(), Some(good));
        }
        for bad in
            ["ada", "a b@c.example", "a@b@c", ".a@b.example", "a..b@c.example", "a@b c", "a@", "\"a\"@b.c"]
        {
            assert_eq!(mail_to(bad), None, "{bad}");
        }
    }
}
