//! What a job's page would say and must not: its captions, note, pose and other words are looked through for its own private
//! values and for what looks like somebody's phone or email, before any of it is shown.
//!
//! A caption is left out, and so is a text with a value of the job's own: the page goes on without it and the owner is told how to
//! mend it. Keeping the whole page as it was would help nobody, as what gives something away may stand on it already. What is private
//! in a text is `base::telltale`'s business; the customer's name in captions is `photos`'.

use super::JobContext;
use crate::base::private::Private;
use crate::base::telltale::{Public, Telltale, Text, What, shape_in};
use crate::base::words::{count, ticked};
use crate::model::{Job, Pose, PrivateFacts, Route, Step, Studio};
use crate::problem::{Code, Location, Problem, Severity};
use crate::read::disk::folder;
use crate::read::route::Routes;
use std::collections::{BTreeMap, BTreeSet};

/// What stands in the place of words that cannot be left out.
const LEFT_OUT: &str = "…";
const CAPTION_HINT: &str = "name it by what there is to see, such as `eyes set.jpg`";

/// All that the shop says of itself in public.
pub(in crate::read) fn public(studio: &Studio) -> Public {
    let money = &studio.money;
    let one = [
        Some(&studio.name),
        studio.says.as_ref(),
        studio.keeper.as_ref(),
        studio.phone.as_ref(),
        studio.email.as_ref(),
        money.pay.as_ref(),
        money.policy.as_ref(),
        studio.estimates.says.as_ref(),
    ];
    let gates = studio.gates.values().filter_map(|gate| gate.tells.as_ref());
    let visits = studio.visits.iter().flat_map(|visit| [&visit.days, &visit.hours]);
    // Each line of the address, and all of it in one.
    let address = studio.address.join(", ");
    let texts = one.into_iter().flatten().chain(gates).chain(visits).chain(&studio.address);
    Public::of(texts.map(String::as_str).chain([address.as_str()]))
}

/// The private values of a job.
fn telltale(private: &PrivateFacts, public: &Public) -> Telltale {
    let mut telltale = Telltale::default();
    let tag = private.tag.as_ref();
    let values = [
        (What::Phone, private.phone.as_ref()),
        (What::Email, private.email.as_ref()),
        (What::Address, private.address.as_ref()),
        (What::Tag, tag.and_then(|tag| tag.number.as_ref())),
        (What::Permit, tag.and_then(|tag| tag.permit.as_ref())),
        (What::License, tag.and_then(|tag| tag.license.as_ref())),
        (What::Place, tag.and_then(|tag| tag.place.as_ref())),
        (What::Hunter, tag.and_then(|tag| tag.hunter.as_ref())),
        (What::LastName, Some(&private.customer)),
        (What::Collector, private.collected_by.as_ref()),
        (What::BenchNote, private.bench_note.as_ref()),
    ];
    for (what, value) in values {
        if let Some(value) = value {
            telltale.add(what, value, public);
        }
    }
    telltale
}

/// Takes out of a job what its page must not say; gives what its route says of it.
pub(in crate::read) fn keep_back(
    job: &mut Job,
    route: &Route,
    known: &JobContext<'_>,
    problems: &mut Vec<Problem>,
) -> Leaks {
    let public = known.public;
    let telltale = telltale(job.private.reveal(), public);
    captions(job, &telltale, public, problems);
    let file = job.file();
    let mut gives_away = |key: &str, text: &str| {
        let text = Text::of(text);
        let own = telltale.in_text(&text);
        if let Some(what) = own.or_else(|| shape_in(&text, public)) {
            problems.push(in_text(key, what).at(file.clone()));
        }
        own.is_some()
    };
    if job.note.as_ref().is_some_and(|note| gives_away("note", note)) {
        job.note = None;
    }
    if gives_away("piece", &job.piece) {
        job.piece.clone_from(&route.name);
    }
    if let Some(pose) = job.pose.as_mut().filter(|pose| pose.pose.is_none())
        && gives_away("pose", &pose.words)
    {
        LEFT_OUT.clone_into(&mut pose.words);
    }
    let charged = job.charges.iter_mut().map(|charge| ("[[charge]]", &mut charge.what));
    let less = job.discounts.iter_mut().map(|discount| ("[[discount]]", &mut discount.what));
    for (key, what) in charged.chain(less) {
        if gives_away(key, what) {
            LEFT_OUT.clone_into(what);
        }
    }
    let paid = job.payments.iter_mut().map(|payment| ("[[paid]]", &mut payment.how));
    let back = job.refunds.iter_mut().map(|payment| ("[[refund]]", &mut payment.how));
    for (key, how) in paid.chain(back) {
        if how.as_ref().is_some_and(|how| gives_away(key, how)) {
            *how = None;
        }
    }
    known.route_texts.leaks_of(job, &telltale)
}

/// Takes captions away that give something away; told once for a job.
fn captions(job: &mut Job, telltale: &Telltale, public: &Public, problems: &mut Vec<Problem>) {
    let mut held_back: Vec<(Private<String>, What)> = Vec::new();
    for photo in &mut job.photos {
        let found = photo.caption.as_deref().map(Text::of);
        let found = found.and_then(|text| telltale.in_text(&text).or_else(|| shape_in(&text, public)));
        if let Some(what) = found {
            photo.caption = None;
            held_back.extend(photo.shown.then(|| (photo.file.clone(), what)));
        }
    }
    let Some((first, what)) = held_back.first() else { return };
    let name = ticked(first.reveal().rsplit('/').next().unwrap_or_default());
    let (message, place) = match held_back.len() {
        1 => (format!("{name} holds {}, so it is shown without words", what.words()), first),
        n => {
            let all = format!("the names of {} hold something private", count(n, "photo"));
            (format!("{all} (the first {}), so they are shown without words", what.words()), &job.folder)
        }
    };
    problems
        .push(folder::at(Problem::new(Code::PrivateInCaption, message).hint(CAPTION_HINT), place.reveal()));
}

/// A text that gives something away. Its line is not shown: it would stand on the screen.
fn in_text(key: &str, what: What) -> Problem {
    let key = ticked(key);
    match what.is_own() {
        true => Problem::new(
            Code::PrivateInText,
            format!("{key} holds {}, so it is left out of the page", what.words()),
        )
        .hint("the page can be passed on: write it without that, and it is shown again"),
        false => Problem::new(Code::PrivateInText, format!("{key} holds {}", what.words()))
            .with_severity(Severity::Note)
            .hint("the page can be passed on: take it out, unless it is meant for everybody who reads it"),
    }
}

/// Takes captions of poses away that everybody would read a phone number or an email in.
pub(in crate::read) fn keep_back_in_poses(poses: &mut [Pose], public: &Public, problems: &mut Vec<Problem>) {
    for photo in poses.iter_mut().flat_map(|pose| &mut pose.photos) {
        let found = photo.caption.as_deref().and_then(|caption| shape_in(&Text::of(caption), public));
        let Some(what) = found else { continue };
        photo.caption = None;
        let name = ticked(photo.name());
        let message = format!("{name} holds {}, so it is shown without words", what.words());
        let problem = Problem::new(Code::PrivateInCaption, message).hint(CAPTION_HINT);
        problems.extend(photo.shown.then(|| folder::at(problem, photo.file.reveal())));
    }
}

/// What all customers of a route read, made ready for looking: by route, the steps that tell something.
#[derive(Debug)]
pub(in crate::read) struct RouteTexts(BTreeMap<String, Vec<(String, Text)>>);

/// What of that gives a job away: the route, the step, and what.
pub(in crate::read) type Leaks = BTreeSet<(String, String, What)>;

impl RouteTexts {
    pub fn of(routes: &Routes) -> RouteTexts {
        let of_step = |step: &Step| Some((step.name.clone(), Text::of(step.tells.as_deref()?)));
        let of_route = |route: &Route| route.steps.iter().filter_map(of_step).collect();
        RouteTexts(routes.sound.iter().map(|(key, route)| (key.clone(), of_route(route))).collect())
    }

    /// What the job's own route tells of it.
    fn leaks_of(&self, job: &Job, telltale: &Telltale) -> Leaks {
        let steps = self.0.get(&job.route).into_iter().flatten();
        let found =
            steps.filter_map(|(step, text)| Some((job.route.clone(), step.clone(), telltale.in_text(text)?)));
        found.collect()
    }
}

/// Takes out of the routes what says something private of one of the jobs.
pub(in crate::read) fn keep_back_in_routes(
    routes: &mut Routes,
    texts: &RouteTexts,
    leaks: &Leaks,
    public: &Public,
    problems: &mut Vec<Problem>,
) {
    for (key, steps) in &texts.0 {
        let Some(route) = routes.sound.get_mut(key) else { continue };
        let place = Location::file(format!("content/routes/{key}.toml"));
        let mut whats = BTreeSet::new();
        for (name, text) in steps {
            let own =
                leaks.iter().find(|(route, step, _)| (route, step) == (key, name)).map(|(_, _, what)| *what);
            whats.extend(own.or_else(|| shape_in(text, public)));
            for step in route.steps.iter_mut().filter(|step| own.is_some() && step.name == *name) {
                step.tells = None;
            }
        }
        problems.extend(whats.into_iter().map(|what| in_text("tells", what).at(place.clone())));
    }
}
