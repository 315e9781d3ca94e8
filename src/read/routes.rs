//! `routes/*.toml`: one file a route, its steps put into an order that respects what they wait for.

use super::folder::{self, Entry};
use super::partners::Partners;
use super::table::{self, Table};
use super::value::Value;
use super::{Content, graph, text};
use crate::base::names::{address_word, is_address_word};
use crate::base::words::{list, ticked};
use crate::model::{Route, Step, StepWork};
use crate::problem::{Code, Problem, Source, Span};
use std::collections::{BTreeMap, BTreeSet};

/// The routes of the shop.
#[derive(Debug, Default)]
pub(super) struct Routes {
    pub sound: BTreeMap<String, Route>,
    /// Keys of routes whose files need mending.
    pub broken: BTreeSet<String>,
}

/// What a route may name.
pub(super) struct Known<'a> {
    pub partners: &'a Partners,
    /// The folders of the showroom.
    pub animals: &'a BTreeSet<String>,
    pub currency: crate::base::money::Currency,
}

/// Names that `[reached]` uses for something else.
const TAKEN: [&str; 2] = ["collected", "not-shown"];

/// Reads every route of `content/routes/`.
pub(super) fn routes(entries: &[Entry], known: &Known<'_>, problems: &mut Vec<Problem>) -> Routes {
    let mut routes = Routes::default();
    for entry in entries {
        let Some(key) = entry.name.strip_suffix(".toml").filter(|_| !entry.is_folder()) else {
            problems.push(folder::unexpected(
                entry,
                "a route is a file such as `content/routes/turkey-full.toml`",
            ));
            continue;
        };
        let route =
            if entry.is_file() && entry.twin.is_none() { route(entry, key, known, problems) } else { None };
        match route {
            Some(route) => drop(routes.sound.insert(key.to_owned(), route)),
            None => drop(routes.broken.insert(key.to_owned())),
        }
    }
    routes
}

fn route(entry: &Entry, key: &str, known: &Known<'_>, problems: &mut Vec<Problem>) -> Option<Route> {
    if !is_address_word(key) {
        problems.push(Content::bad_name(entry, &address_word(key), ".toml"));
        return None;
    }
    match text::read(&entry.path, &entry.file) {
        Ok(source) => {
            let (route, told) = of_source(&source, key, known);
            problems.extend(told);
            route
        }
        Err(problem) => {
            problems.push(problem);
            None
        }
    }
}

fn of_source(source: &Source, key: &str, known: &Known<'_>) -> (Option<Route>, Vec<Problem>) {
    table::read(source, "a route", |root| {
        let name = root.needed_text("name");
        let animal = root.get("animal").and_then(|v| animal(&v, known.animals));
        let needs = root.get("needs");
        let gates = needs.as_ref().map(|v| v.address_words("[\"deposit\", \"tag\"]")).unwrap_or_default();
        let gates: Vec<String> = gates.into_iter().map(|(word, _)| word).collect();
        let deposit = root.get("deposit").and_then(|v| v.deposit(known.currency));
        let price_from = root.get("price-from").and_then(|v| v.price(known.currency));
        let steps = steps(root, known)?;
        let steps = with_route_gates(steps, &gates, needs.as_ref());
        Some(Route { key: key.to_owned(), name: name?, animal, needs: gates, deposit, price_from, steps })
    })
}

fn animal(value: &Value<'_>, animals: &BTreeSet<String>) -> Option<String> {
    let animal = value.address_word()?;
    if !animals.contains(&animal) && !animals.is_empty() {
        let message = format!("the showroom has no folder {}", ticked(&animal));
        value.unknown(Code::UnknownPose, message, animals.iter().map(String::as_str), None);
    }
    Some(animal)
}

/// A step as written.
struct Written<'a> {
    name: String,
    /// None where the step before it in the file is meant.
    after: Option<Value<'a>>,
    step: Step,
}

/// All steps, in order; nothing if they cannot be put into one.
fn steps(root: &Table<'_>, known: &Known<'_>) -> Option<Vec<Step>> {
    let tables = root.tables("step", "a step");
    if tables.is_empty() {
        if root.get("step").is_none() {
            let problem =
                Problem::new(Code::MissingKey, "the route has no steps").at(root.sheet.source.whole());
            root.sheet.tell(
                problem.hint("write `[[step]]` on a line of its own, and what belongs to the step below"),
            );
        }
        return None;
    }
    let read: Vec<Option<Written<'_>>> = tables.iter().map(|table| written(table, known)).collect();
    let written: Vec<Written<'_>> = read.into_iter().collect::<Option<_>>()?;
    let places = places(&tables, &written)?;
    let after: Vec<Option<Vec<usize>>> =
        written.iter().enumerate().map(|(at, step)| after(at, step, &places)).collect();
    let after: Vec<Vec<usize>> = after.into_iter().collect::<Option<_>>()?;
    match graph::order(&after) {
        Ok(order) => Some(ordered(written, &after, &order)),
        Err(circle) => {
            tell_circle(&tables, &written, &circle);
            None
        }
    }
}

fn written<'a>(table: &Table<'a>, known: &Known<'_>) -> Option<Written<'a>> {
    let value = table.need("name", "name = \"skinned\"");
    let name = value.as_ref().and_then(Value::address_word);
    if let (Some(name), Some(value)) = (&name, &value)
        && TAKEN.contains(&name.as_str())
    {
        value.bad(
            Code::BadValue,
            format!("a step cannot be called {}", ticked(name)),
            "give it another name",
        );
    }
    let after = table.get("after");
    let work = work(table, name.as_deref().unwrap_or("…"), known);
    let needs = table.get("needs").map(|v| v.address_words("[\"form\"]")).unwrap_or_default();
    let needs = needs.into_iter().map(|(word, _)| word).collect();
    let tells = table.text("tells");
    let photos = table.get("photos").and_then(|v| v.flag()).unwrap_or(true);
    table.finish();
    let (name, work) = (name?, work?);
    let sent = matches!(work, StepWork::Away { .. }).then(|| sent_name(&name));
    let step = Step { name: name.clone(), after: Vec::new(), work, needs, tells, photos, sent };
    Some(Written { name, after, step })
}

/// The name under which an away step's leaving is recorded.
fn sent_name(name: &str) -> String {
    format!("{}-sent", name.strip_suffix("-back").unwrap_or(name))
}

/// Exactly one of `bench`, `rest` and `away`.
fn work(table: &Table<'_>, name: &str, known: &Known<'_>) -> Option<StepWork> {
    let (bench, rest, away) = (table.get("bench"), table.get("rest"), table.get("away"));
    let written: Vec<&Value<'_>> = [&bench, &rest, &away].into_iter().flatten().collect();
    match written.as_slice() {
        [] => {
            let message = format!("step {} does not say what it takes", ticked(name));
            let problem = table.sheet.problem(Code::MissingKey, &table.span(), message);
            let hint =
                "add `bench = [1, 2, 4]` (hours), `rest = [10, 21, 35]` (days) or `away = \"…\"` (a partner)";
            table.sheet.tell(problem.hint(hint));
            return None;
        }
        [_] => {}
        [first, rest @ ..] => {
            for other in rest {
                let message =
                    format!("step {} has {} beside {}", ticked(name), ticked(other.key), ticked(first.key));
                let problem = table.sheet.problem(Code::BadValue, &other.key_span, message);
                table.sheet.tell(problem.hint("make a step of its own of each"));
            }
            return None;
        }
    }
    let bench = bench.and_then(|v| v.three_hours()).map(StepWork::Bench);
    let rest = rest.and_then(|v| v.three_days()).map(StepWork::Rest);
    bench
        .or(rest)
        .or(away.and_then(|v| partner(&v, known.partners)).map(|partner| StepWork::Away { partner }))
}

fn partner(value: &Value<'_>, partners: &Partners) -> Option<String> {
    let key = value.text()?;
    if partners.sound.contains_key(&key) {
        return Some(key);
    }
    if partners.unread || partners.broken.contains(&key) {
        let message = format!("the partner {} needs mending", ticked(&key));
        value.bad(
            Code::UnknownPartner,
            message,
            "mend `content/partners.toml`, and the route is whole again",
        );
        return None;
    }
    let message = format!("no partner is called {}", ticked(&key));
    let hint = format!("add `[{key}]` to `content/partners.toml`");
    value.unknown(Code::UnknownPartner, message, partners.sound.keys().map(String::as_str), Some(hint));
    None
}

/// The place of each name, once no two things of the route share one.
fn places(tables: &[Table<'_>], written: &[Written<'_>]) -> Option<BTreeMap<String, usize>> {
    let mut places = BTreeMap::new();
    let mut sound = true;
    for (at, (table, step)) in tables.iter().zip(written).enumerate() {
        if places.insert(step.name.clone(), at).is_some() {
            tell_at_name(
                table,
                Code::Twice,
                format!("two steps are called {}", ticked(&step.name)),
                "rename one of them",
            );
            sound = false;
        }
    }
    let mut leavings = BTreeMap::new();
    for (table, step) in tables.iter().zip(written) {
        let Some(sent) = &step.step.sent else { continue };
        let clash = places.contains_key(sent) || leavings.insert(sent.clone(), ()).is_some();
        if clash {
            let message = format!("{} stands for two things in this route", ticked(sent));
            let hint =
                format!("it is how the leaving of {} is recorded, so rename a step", ticked(&step.name));
            tell_at_name(table, Code::Twice, message, &hint);
            sound = false;
        }
    }
    sound.then_some(places)
}

fn tell_at_name(table: &Table<'_>, code: Code, message: String, hint: &str) {
    let span: Span = table.get("name").map_or_else(|| table.span(), |value| value.span());
    table.sheet.tell(table.sheet.problem(code, &span, message).hint(hint));
}

/// The places of the steps that a step waits for.
fn after(at: usize, step: &Written<'_>, places: &BTreeMap<String, usize>) -> Option<Vec<usize>> {
    let Some(value) = &step.after else { return Some(at.checked_sub(1).into_iter().collect()) };
    let mut sound = value.is_list();
    if !sound {
        value.wrong_kind("a list in brackets", "[\"skinned\"]");
    }
    let mut found = Vec::new();
    for item in value.items() {
        let name = item.text();
        let place = name.as_ref().and_then(|name| places.get(name));
        match (name, place) {
            (_, Some(place)) if found.contains(place) => {
                item.bad(
                    Code::Twice,
                    format!("{} stands twice here", ticked(item.written())),
                    "take one of the two out",
                );
                sound = false;
            }
            (_, Some(place)) => found.push(*place),
            (Some(name), None) => {
                let message = format!("no step of this route is called {}", ticked(&name));
                item.unknown(Code::UnknownStep, message, places.keys().map(String::as_str), None);
                sound = false;
            }
            (None, None) => sound = false,
        }
    }
    sound.then_some(found)
}

fn tell_circle(tables: &[Table<'_>], written: &[Written<'_>], circle: &[usize]) {
    let name = |at: &usize| written.get(*at).map(|step| ticked(&step.name)).unwrap_or_default();
    let Some((first, others)) = circle.split_first() else { return };
    let message = match others {
        [] => format!("step {} waits for itself", name(first)),
        _ => {
            let waits: Vec<String> =
                circle.windows(2).map(|pair| format!("{} for {}", name(&pair[0]), name(&pair[1]))).collect();
            let last = circle.last().map(|at| format!("{} for {}", name(at), name(first)));
            let waits: Vec<String> = waits.into_iter().chain(last).collect();
            format!("steps wait in a circle: {}", list(&waits, "and"))
        }
    };
    let span = written.get(*first).and_then(|step| step.after.as_ref()).map(Value::span);
    let Some(table) = tables.get(*first) else { return };
    let problem = table.sheet.problem(Code::Cycle, &span.unwrap_or_else(|| table.span()), message);
    table.sheet.tell(problem.hint("take one of them out of an `after` list"));
}

/// The steps in their order, with `after` as places in that order.
fn ordered(written: Vec<Written<'_>>, after: &[Vec<usize>], order: &[usize]) -> Vec<Step> {
    let mut new_place = vec![0; order.len()];
    for (new, old) in order.iter().enumerate() {
        new_place[*old] = new;
    }
    let mut steps: Vec<(usize, Step)> = Vec::with_capacity(order.len());
    for (old, step) in written.into_iter().enumerate() {
        let mut after: Vec<usize> = after[old].iter().map(|place| new_place[*place]).collect();
        after.sort_unstable();
        steps.push((new_place[old], Step { after, ..step.step }));
    }
    steps.sort_by_key(|(place, _)| *place);
    steps.into_iter().map(|(_, step)| step).collect()
}

/// Puts the gates of the route before those of its first bench step.
fn with_route_gates(mut steps: Vec<Step>, gates: &[String], written: Option<&Value<'_>>) -> Vec<Step> {
    let first = steps.iter_mut().find(|step| matches!(step.work, StepWork::Bench(_)));
    match (first, written) {
        (Some(step), _) => {
            let own = std::mem::take(&mut step.needs);
            let own = own.into_iter().filter(|gate| !gates.contains(gate));
            step.needs = gates.iter().cloned().chain(own).collect();
        }
        (None, Some(value)) if !gates.is_empty() => {
            let message = "the route has no bench step that could wait for this";
            value.bad(Code::BadValue, message, "write `needs` below the step that waits");
        }
        _ => {}
    }
    steps
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::money::Currency;

    fn route_of(text: &str) -> (Option<Route>, Vec<String>) {
        let (partners, animals) = (Partners::default(), BTreeSet::new());
        let known =
            Known { partners: &partners, animals: &animals, currency: Currency::from_code("USD").unwrap() };
        let (route, problems) = of_source(&Source::new("content/routes/fan.toml", text), "fan", &known);
        (route, problems.into_iter().map(|p| p.message).collect())
    }

    #[test]
    fn steps_are_ordered_and_the_routes_gates_go_to_the_first_bench_step() {
        let (route, problems) = route_of(
            "name = \"Fan\"\nneeds = [\"deposit\", \"tag\"]\n\
             [[step]]\nname = \"mounted\"\nafter = [\"dried\", \"cut\"]\nbench = 2\nneeds = [\"base\"]\n\
             [[step]]\nname = \"dried\"\nafter = []\nrest = [1, 2, 3]\n\
             [[step]]\nname = \"cut\"\nbench = [0.5, 1, 2]\nneeds = [\"tag\", \"form\"]\n",
        );
        assert_eq!(problems, Vec::<String>::new());
        let steps: Vec<_> = route.unwrap().steps.into_iter().map(|s| (s.name, s.after, s.needs)).collect();
        let words = |all: &[&str]| all.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
        assert_eq!(steps[0], ("dried".into(), vec![], vec![]));
        assert_eq!(steps[1], ("cut".into(), vec![0], words(&["deposit", "tag", "form"])));
        assert_eq!(steps[2], ("mounted".into(), vec![0, 1], words(&["base"])));
    }

    #[test]
    fn leaving_is_recorded_under_a_name_of_its_own() {
        assert_eq!(sent_name("head-back"), "head-sent");
        assert_eq!(sent_name("tanned"), "tanned-sent");
    }

    #[test]
    fn circles_are_named() {
        let step =
            |name: &str, after: &str| format!("[[step]]\nname = \"{name}\"\nafter = [{after}]\nbench = 1\n");
        let text = format!("name = \"x\"\n{}{}", step("a", "\"b\""), step("b", "\"a\""));
        assert_eq!(route_of(&text).1, ["steps wait in a circle: `a` for `b` and `b` for `a`"]);
        let text = format!("name = \"x\"\n{}", step("a", "\"a\""));
        assert_eq!(route_of(&text).1, ["step `a` waits for itself"]);
    }
}
