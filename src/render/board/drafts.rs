//! Messages that a customer should hear now, ready to be sent by hand: short, in the theme's words, with the
//! address of the private page. Nothing is sent from here, and nothing is known of what was said; a draft goes away when
//! its cause does: the pose is settled, the balance paid, `told` written down.

use super::who::Who;
use crate::base::day::Day;
use crate::model::{Job, PageLife, ReadyPiece, Route, StepState, Wait, WorkedJob, gate};
use crate::render::desk::Desk;
use crate::render::theme::percent;
use serde::Serialize;

/// What came back is news for so many days.
const NEWS: i64 = 14;
/// Storage is announced so many days before it begins.
const AHEAD: i64 = 14;

/// A message.
#[derive(Clone, Debug, Serialize)]
pub struct Draft {
    /// `ask`, `back`, `ready`, `balance`, `storage` or `stored`.
    pub kind: &'static str,
    pub text: String,
    pub subject: String,
    /// `sms:` with the text (RFC 5724), where there is a number to dial.
    pub sms: Option<String>,
    /// `mailto:` with subject and text (RFC 6068), where there is an address.
    pub mail: Option<String>,
    /// The line to write into `job.toml` once this was sent.
    pub then: Option<String>,
}

/// What a draft is about.
pub(super) struct About<'a> {
    pub desk: &'a Desk<'a>,
    pub job: &'a Job,
    pub route: &'a Route,
    pub worked: &'a WorkedJob,
    pub who: &'a Who,
}

/// A sentence of the theme and what fills its gaps.
type Sentence<'a> = (&'a str, Vec<(&'a str, String)>);

/// Everything that this customer should hear now.
pub(super) fn all(about: &About<'_>, waits: &[&Wait], ready: Option<&ReadyPiece>) -> Vec<Draft> {
    let mut drafts: Vec<Draft> = waits.iter().filter(|w| w.customer).map(|wait| ask(about, wait)).collect();
    drafts.extend(back(about));
    drafts.extend(ready.and_then(|ready| finished(about, ready)));
    drafts.extend(owed(about));
    drafts
}

/// What is still to be paid on a piece that went home.
fn owed(about: &About<'_>) -> Option<Draft> {
    let due = about.worked.ledger.due;
    let owes = about.worked.collected.is_some() && due.is_positive();
    owes.then(|| about.draft("balance", &[("draft.due", vec![("amount", about.desk.money(due))])], None))
}

/// What is needed from the customer.
fn ask(about: &About<'_>, wait: &Wait) -> Draft {
    let ledger = &about.worked.ledger;
    let mut said: Vec<Sentence<'_>> = Vec::new();
    for gate in &wait.gates {
        said.push(match gate.as_str() {
            gate::POSE => ("draft.pose", vec![]),
            gate::DEPOSIT => {
                let missing = ledger.deposit_asked - ledger.paid;
                ("draft.deposit", vec![("missing", about.desk.money(missing))])
            }
            gate::TAG => ("draft.tag", vec![]),
            other => ("draft.other", vec![("gate", about.gate(other))]),
        });
    }
    if let Some(by) = wait.by.filter(|by| *by > about.desk.worked.today) {
        said.push(("draft.by", vec![("day", about.day(by))]));
    }
    about.draft("ask", &said, None)
}

/// What came back from a partner these days.
fn back(about: &About<'_>) -> Option<Draft> {
    if about.worked.ready.is_some() {
        return None;
    }
    let today = about.desk.worked.today;
    let steps = about.route.steps.iter().zip(&about.worked.steps).rev();
    let fresh = |day: &Day| (0..=NEWS).contains(&today.since(*day));
    let (partner, day) = steps
        .filter_map(|(step, own)| match (step.work.partner()?, &own.state) {
            (partner, StepState::Reached { day, exact: true, .. }) if fresh(day) => {
                Some((about.desk.shop.partners.get(partner)?.name.clone(), *day))
            }
            _ => None,
        })
        .next()?;
    let said = vec![("draft.back", vec![("partner", partner), ("day", about.day(day))])];
    Some(about.draft("back", &said, None))
}

/// What there is to say of a finished piece.
fn finished(about: &About<'_>, ready: &ReadyPiece) -> Option<Draft> {
    let today = about.desk.worked.today;
    let due: Option<Sentence<'_>> =
        ready.due.is_positive().then(|| ("draft.due", vec![("amount", about.desk.money(ready.due))]));
    let with_due = |first: Sentence<'static>| -> Vec<Sentence<'_>> {
        [Some(first), due.clone()].into_iter().flatten().collect()
    };
    if ready.customer_told.is_none() {
        let then = format!("told = {}", today.iso());
        return Some(about.draft("ready", &with_due(("draft.ready", vec![])), Some(then)));
    }
    // A rule whose fee is nothing, or none at all, never begins.
    let fee = about.desk.shop.studio.money.storage.as_ref().is_some_and(|rule| rule.fee.is_positive());
    match ready.grace_ends.filter(|_| fee) {
        Some(ends) if ends < today => {
            let said = with_due(("draft.stored", vec![("day", about.day(ends))]));
            Some(about.draft("stored", &said, None))
        }
        Some(ends) if ends.since(today) <= AHEAD => {
            let said = with_due(("draft.storage", vec![("day", about.day(ends))]));
            Some(about.draft("storage", &said, None))
        }
        _ => due.is_some().then(|| about.draft("balance", &with_due(("draft.balance", vec![])), None)),
    }
}

impl About<'_> {
    fn day(&self, day: Day) -> String {
        self.desk.theme.dates.day(day).long
    }

    fn gate(&self, gate: &str) -> String {
        crate::render::gate_words::of_one(self.desk.theme, gate)
    }

    fn say(&self, key: &str, gaps: &[(&str, String)]) -> String {
        let value = |name: &str| gaps.iter().find(|(known, _)| *known == name).map(|(_, text)| text.clone());
        // A theme's own words may lack one; the rest of the message is still of use.
        self.desk.theme.words.say(key, None, &value).unwrap_or_default()
    }

    fn draft(&self, kind: &'static str, said: &[Sentence<'_>], then: Option<String>) -> Draft {
        let shop = &self.desk.shop.studio;
        let gaps = [
            ("shop", shop.name.clone()),
            ("number", self.job.number.clone()),
            ("piece", self.job.piece.clone()),
            ("name", self.first_name()),
        ];
        let hello = if self.first_name().is_empty() { "draft.hello-plain" } else { "draft.hello" };
        let mut text = vec![self.say(hello, &gaps)];
        text.extend(said.iter().map(|(key, gaps)| self.say(key, gaps)));
        let there = self.worked.page != PageLife::Gone;
        if let Some(address) = shop.web_address(self.worked).filter(|_| there) {
            text.push(self.say("draft.page", &[("address", address.reveal().clone())]));
        }
        let text = text.join(" ");
        let subject = self.say("draft.subject", &gaps);
        let dial = self.who.phone.as_ref().and_then(|phone| phone.dial.as_ref());
        let to = self.who.email.as_ref().and_then(|email| email.to.as_ref());
        Draft {
            kind,
            sms: dial.map(|dial| format!("sms:{dial}?body={}", percent(&text))),
            mail: to.map(|to| {
                format!("mailto:{}?subject={}&body={}", percent(to), percent(&subject), percent(&text))
            }),
            text,
            subject,
            then,
        }
    }

    /// What the customer is called by, as the page does; empty where no sound name is known.
    fn first_name(&self) -> String {
        self.job.shown_name.split_whitespace().next().unwrap_or_default().to_owned()
    }
}
