//! `job.toml`: what the owner wrote about one piece, checked against its route and the showroom.
//!
//! Whether its dates can be true on a day is `work`'s; what the folder's photos add is `photos`'.

use super::JobContext;
use super::lines::{self, Lines};
use super::measures;
use crate::base::day::Day;
use crate::base::drawn::Drawn;
use crate::base::money::Money;
use crate::base::names::is_address_word;
use crate::base::person::{first_name_and_initial, is_plain_name};
use crate::base::private::Private;
use crate::base::words::ticked;
use crate::model::measures::Measures;
use crate::model::{Choice, DatedFact, PrivateFacts, Route, Tag, gate};
use crate::problem::{Code, Problem, Severity, Source, Span, nearest};
use crate::read::toml::table::{self, Table};
use crate::read::toml::value::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Gates that are met by something else than a line under `[have]`.
const MET_ELSEWHERE: [(&str, &str); 4] = [
    (gate::POSE, "write `pose = \"…\"` further up instead"),
    (gate::DEPOSIT, "write the payment under `[[paid]]` instead"),
    (gate::TAG, "write its number under `[tag]` instead"),
    (gate::SIGNATURE, "write `signed = ` and the day under `[tag]` instead"),
];

/// A job as written, checked.
#[derive(Debug)]
pub(in crate::read) struct Written {
    pub private: PrivateFacts,
    pub piece: String,
    pub route: String,
    pub route_at: Span,
    pub taken_in: Day,
    pub taken_in_at: Span,
    pub pose: Option<Choice>,
    pub note: Option<String>,
    pub rush: bool,
    pub link: u32,
    pub sealed: Option<bool>,
    pub draw: Option<Private<Drawn>>,
    pub reached: BTreeMap<String, DatedFact>,
    pub collected: Option<DatedFact>,
    pub told: Option<DatedFact>,
    pub have: BTreeMap<String, DatedFact>,
    pub tag_since: Option<Day>,
    pub signature_since: Option<Day>,
    pub lines: Lines,
    pub deposit: Option<Money>,
    pub measures: Option<Measures>,
}

/// Reads a job; nothing if anything in it needs mending.
pub(in crate::read) fn read(source: &Source, known: &JobContext<'_>) -> (Option<Written>, Vec<Problem>) {
    table::read(source, "a job", |root| take(root, known))
}

fn take(root: &Table<'_>, known: &JobContext<'_>) -> Option<Written> {
    let customer = customer(root);
    let piece = root.needed_text("piece");
    let route_value = root.need("route", "route = \"turkey-full\"");
    let route_key = route_value.as_ref().and_then(|v| route_key(v, known));
    let route = route_key.as_ref().and_then(|key| known.routes.sound.get(key));
    let taken_in_value = root.need("taken-in", "taken-in = 2026-04-28");
    let taken_in = taken_in_value.as_ref().and_then(Value::date);
    let tag = tag(root, taken_in);
    let tag_since = taken_in.filter(|_| tag.as_ref().is_some_and(|tag| tag.number.is_some()));
    // A signature counts from the day that the piece was here.
    let signed = tag.as_ref().and_then(|tag| tag.signed);
    let signature_since = signed.zip(taken_in).map(|(signed, taken_in)| signed.max(taken_in));
    let private = PrivateFacts {
        customer: String::new(),
        phone: root.text("phone"),
        email: root.text("email"),
        address: root.text("address"),
        bench_note: root.text("bench-note"),
        tag,
        collected_by: root.text("collected-by"),
    };
    let pose = pose(root, taken_in, route, known);
    let note = root.text("note");
    let rush = root.get("rush").and_then(|v| v.flag()).unwrap_or(false);
    let link = root.get("link").and_then(|v| v.whole(1, 9999)).unwrap_or(1);
    let sealed = root.get("sealed").and_then(|v| v.flag());
    let draw = root.get("draw").and_then(|v| draw(&v));
    let deposit = root.get("deposit").and_then(|v| v.price(known.currency));
    let told = root.get("told").and_then(|v| mark(&v));
    let (reached, collected) = reached(root, route);
    let have = have(root, route);
    let lines = lines::take(root, taken_in, known.currency);
    let measures = measures::take(root);
    Some(Written {
        private: PrivateFacts { customer: customer?, ..private },
        piece: piece?,
        route: route_key?,
        route_at: route_value?.span(),
        taken_in: taken_in?,
        taken_in_at: taken_in_value?.span(),
        pose,
        note,
        rush,
        link,
        sealed,
        draw,
        reached,
        collected,
        told,
        have,
        tag_since,
        signature_since,
        lines,
        deposit,
        measures,
    })
}

/// The customer's name; one that is written so that the page may show it oddly is told.
fn customer(root: &Table<'_>) -> Option<String> {
    let name = root.needed_text("customer")?;
    if let Some(value) = root.get("customer").filter(|_| !is_plain_name(&name)) {
        let message = match first_name_and_initial(&name) {
            shown if shown.is_empty() => "no name can be shown of this customer".to_owned(),
            shown => format!("the page shows this customer as {}", ticked(&shown)),
        };
        value.bad(
            Code::OddName,
            message,
            "write a first and a last name and nothing else, such as `Ada Fenn`",
        );
    }
    Some(name)
}

/// The drawn word. The line may be shown where it is wrong: nothing follows from the word without the shop's key.
fn draw(value: &Value<'_>) -> Option<Private<Drawn>> {
    let word = Drawn::read(&value.text()?);
    if word.is_none() {
        let hint = "bring the line back as it was, since the address on the tag hangs on it; if that is lost, take the line \
                    out and print a new tag";
        value.bad(Code::BadValue, "the word that was drawn for this job is not whole", hint);
    }
    word.map(Private::new)
}

/// The key of a route that there is, even if it needs mending.
fn route_key(value: &Value<'_>, known: &JobContext<'_>) -> Option<String> {
    let key = value.text()?;
    let routes = known.routes;
    if routes.sound.contains_key(&key) || routes.broken.contains(&key) {
        return Some(key);
    }
    let message = format!("no route is called {}", ticked(&key));
    let keys = routes.sound.keys().chain(&routes.broken).map(String::as_str);
    let hint = "a route is a file such as `content/routes/turkey-full.toml`".to_owned();
    value.unknown(Code::UnknownRoute, message, keys, Some(hint));
    None
}

fn mark(value: &Value<'_>) -> Option<DatedFact> {
    value.date().map(|day| DatedFact { day, at: Some(value.span()), photo: None })
}

/// `[reached]`: steps, leavings of away steps, and `collected`.
fn reached(root: &Table<'_>, route: Option<&Route>) -> (BTreeMap<String, DatedFact>, Option<DatedFact>) {
    let (mut reached, mut collected) = (BTreeMap::new(), None);
    let Some(table) = root.table("reached", "`[reached]`") else { return (reached, collected) };
    let steps: Option<BTreeSet<&str>> = route.map(|route| step_words(route).collect());
    let home = table.all().iter().any(|value| value.key == "collected");
    for value in table.all() {
        let known = steps.as_ref().is_none_or(|steps| steps.contains(value.key));
        if value.key == "collected" {
            collected = mark(&value);
        } else if known {
            reached.extend(mark(&value).map(|mark| (value.key.to_owned(), mark)));
        } else if home {
            // A route may change after a piece went home; its record stands as it is.
            let message = format!("the route has no step {}, so its day is left out", ticked(value.key));
            let problem = table.sheet.problem(Code::UnknownStep, &value.key_span, message);
            let problem = problem.with_severity(Severity::Note);
            let near = nearest(value.key, route.into_iter().flat_map(step_words));
            table.sheet.tell(problem.hint(match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => "it can stay, as the piece went home".to_owned(),
            }));
        } else {
            let message = format!("the route has no step {}", ticked(value.key));
            let words = || {
                let words = route.into_iter().flat_map(step_words).chain(["collected"]);
                words.map(str::to_owned).collect()
            };
            table.stray(&value, Code::UnknownStep, message, words);
        }
    }
    (reached, collected)
}

/// Every word that can stand under `[reached]` for a route, `collected` left aside.
pub(in crate::read) fn step_words(route: &Route) -> impl Iterator<Item = &str> {
    let names = route.steps.iter().map(|step| step.name.as_str());
    names.chain(route.steps.iter().filter_map(|step| step.sent.as_deref()))
}

/// `[have]`: what is in hand, by gate.
fn have(root: &Table<'_>, route: Option<&Route>) -> BTreeMap<String, DatedFact> {
    let mut have = BTreeMap::new();
    let Some(table) = root.table("have", "`[have]`") else { return have };
    let gates: Option<BTreeSet<&str>> = route.map(|route| {
        let gates = route.steps.iter().flat_map(|step| &step.needs).map(String::as_str);
        gates.filter(|gate| MET_ELSEWHERE.iter().all(|(other, _)| other != gate)).collect()
    });
    for value in table.all() {
        if let Some((_, hint)) = MET_ELSEWHERE.iter().find(|(gate, _)| *gate == value.key) {
            let message = format!("{} does not go here", ticked(value.key));
            let problem = table.sheet.problem(Code::UnknownGate, &value.key_span, message);
            table.sheet.tell(problem.hint(*hint));
        } else if gates.as_ref().is_none_or(|gates| gates.contains(value.key)) {
            have.extend(mark(&value).map(|mark| (value.key.to_owned(), mark)));
        } else {
            let message = format!("no step of the route needs {}", ticked(value.key));
            let words = || gates.iter().flatten().map(|gate| (*gate).to_owned()).collect();
            table.stray(&value, Code::UnknownGate, message, words);
        }
    }
    have
}

/// `[tag]`.
fn tag(root: &Table<'_>, taken_in: Option<Day>) -> Option<Tag> {
    let table = root.table("tag", "the tag")?;
    let taken_on = table.get("taken-on");
    // The same word, as it is spelled on either side of the ocean.
    let license = table.text("license");
    let licence = table.text("licence");
    let tag = Tag {
        number: table.text("number"),
        permit: table.text("permit"),
        hunter: table.text("hunter"),
        signed: table.get("signed").and_then(|value| value.date()),
        taken_on: taken_on.as_ref().and_then(Value::date),
        place: table.text("place"),
        species: table.text("species"),
        sex: table.text("sex"),
        license: license.or(licence),
    };
    table.finish();
    if let (Some(value), Some(day), Some(taken_in)) = (taken_on, tag.taken_on, taken_in)
        && day > taken_in
    {
        let message = format!("the piece came in on {taken_in}, before the day on its tag");
        value.bad_as(Severity::Note, Code::BadDate, message, "look which of the two dates is right");
    }
    Some(tag)
}

fn pose(
    root: &Table<'_>,
    taken_in: Option<Day>,
    route: Option<&Route>,
    known: &JobContext<'_>,
) -> Option<Choice> {
    let value = root.get("pose");
    let on_value = root.get("pose-on");
    let on = on_value.as_ref().map_or(taken_in, Value::date);
    let words = value.as_ref().and_then(Value::text).filter(|words| !words.is_empty());
    let (Some(value), Some(words)) = (value, words) else {
        if let Some(on) = on_value {
            let problem =
                root.sheet.problem(Code::MissingKey, &on.key_span, "there is a `pose-on` without a `pose`");
            let problem = problem.with_severity(Severity::Note);
            root.sheet.tell(problem.hint("add `pose = \"…\"`, or take the day out"));
        }
        return None;
    };
    let pose = route.and_then(|route| showroom_pose(&value, &words, route, known));
    Some(Choice { words, pose, on: on? })
}

/// The pose of the showroom that the words name. Words that only look like one are told.
fn showroom_pose(
    value: &Value<'_>,
    words: &str,
    route: &Route,
    known: &JobContext<'_>,
) -> Option<(String, String)> {
    let room = known.showroom;
    let (animal, key) = match words.split_once('/') {
        Some((animal, key)) => (animal.trim(), key.trim()),
        None => (route.animal.as_deref().unwrap_or_default(), words),
    };
    let keys = room.keys.get(animal);
    if keys.is_some_and(|keys| keys.contains(key)) {
        return (!room.is_spoilt(animal, key)).then(|| (animal.to_owned(), key.to_owned()));
    }
    let words_of_animal = || keys.into_iter().flatten().map(String::as_str);
    let like_a_folder = is_address_word(words) && words.contains('-');
    let like_a_path = words.contains('/') && !words.contains(char::is_whitespace);
    if !like_a_folder && !like_a_path && nearest(key, words_of_animal()).is_none() {
        return None;
    }
    let hint = match near_pose(words, key, animal, known) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "write it with blanks between the words if you mean no folder of the showroom".to_owned(),
    };
    value.bad(Code::UnknownPose, format!("the showroom has no pose {}", ticked(words)), hint);
    None
}

/// The pose that was meant, if one is near: of the same animal, or the same folder under another one.
fn near_pose(words: &str, key: &str, animal: &str, known: &JobContext<'_>) -> Option<String> {
    let keys = &known.showroom.keys;
    let own = keys.get(animal).into_iter().flatten().map(String::as_str);
    if let Some(near) = nearest(key, own) {
        let whole = words.contains('/');
        return Some(if whole { format!("{animal}/{near}") } else { near.to_owned() });
    }
    let whole = keys.iter().flat_map(|(animal, keys)| keys.iter().map(move |key| format!("{animal}/{key}")));
    let whole: Vec<String> = whole.collect();
    let exact = whole.iter().find(|path| path.rsplit('/').next() == Some(key));
    exact.map(String::as_str).or_else(|| nearest(words, whole.iter().map(String::as_str))).map(str::to_owned)
}
