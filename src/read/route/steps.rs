//! The steps of a route as written: what each takes, what it waits for, and an order that respects that.

use super::RouteContext;
use super::graph;
use super::partners::Partners;
use crate::base::words::{list, ticked};
use crate::model::{Step, StepWork, WorkKind};
use crate::problem::{Code, Problem, Span};
use crate::read::toml::table::Table;
use crate::read::toml::value::Value;
use std::collections::BTreeMap;

/// Names that `[reached]` uses for something else.
const TAKEN: [&str; 2] = ["collected", "not-shown"];

/// The most steps of a route, and the most that one waits for: several times what any work has. How they are drawn, and
/// what is reckoned from them, takes time that grows faster than their number.
const MOST: usize = 100;
const MOST_AWAITED: usize = 20;

/// A step as written.
struct Written<'a> {
    name: String,
    /// None where the step before it in the file is meant.
    after: Option<Value<'a>>,
    step: Step,
}

/// All steps, in order; nothing if they cannot be put into one.
pub(in crate::read) fn take(root: &Table<'_>, known: &RouteContext<'_>) -> Option<Vec<Step>> {
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
    if tables.len() > MOST {
        let message = format!("the route has {} steps, and {MOST} are the most", tables.len());
        let hint = "take several of them together, or make two routes of it";
        let span = tables.get(MOST).map_or(0..0, Table::span);
        root.sheet.tell(root.sheet.problem(Code::TooMany, &span, message).hint(hint));
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

fn written<'a>(table: &Table<'a>, known: &RouteContext<'_>) -> Option<Written<'a>> {
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
    let sent = work.kind().is_away().then(|| sent_name(&name));
    let step = Step { name: name.clone(), after: Vec::new(), work, needs, tells, photos, sent };
    Some(Written { name, after, step })
}

/// The name under which an away step's leaving is recorded.
fn sent_name(name: &str) -> String {
    format!("{}-sent", name.strip_suffix("-back").unwrap_or(name))
}

/// Exactly one of `bench`, `rest` and `away`.
fn work(table: &Table<'_>, name: &str, known: &RouteContext<'_>) -> Option<StepWork> {
    let written = WorkKind::ALL.into_iter().filter_map(|kind| Some((kind, table.get(kind.word())?)));
    let written: Vec<(WorkKind, Value<'_>)> = written.collect();
    match written.as_slice() {
        [] => {
            let message = format!("step {} does not say what it takes", ticked(name));
            let problem = table.sheet.problem(Code::MissingKey, &table.span(), message);
            let hint =
                "add `bench = [1, 2, 4]` (hours), `rest = [10, 21, 35]` (days) or `away = \"…\"` (a partner)";
            table.sheet.tell(problem.hint(hint));
            None
        }
        [(WorkKind::Bench, hours)] => hours.three_hours().map(StepWork::Bench),
        [(WorkKind::Rest, days)] => days.three_days().map(StepWork::Rest),
        [(WorkKind::Away, to)] => partner(to, known.partners).map(|partner| StepWork::Away { partner }),
        [(_, first), _, ..] => {
            for (_, other) in written.iter().skip(1) {
                let message =
                    format!("step {} has {} beside {}", ticked(name), ticked(other.key), ticked(first.key));
                let problem = table.sheet.problem(Code::BadValue, &other.key_span, message);
                table.sheet.tell(problem.hint("make a step of its own of each"));
            }
            None
        }
    }
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
            let message = format!("{} means two things in this route", ticked(sent));
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
    if value.items().len() > MOST_AWAITED {
        let message = format!("{} waits for more than {MOST_AWAITED} steps", ticked(&step.name));
        value.bad(
            Code::TooMany,
            message,
            "name only the last step of each branch, as it waits for those before it",
        );
        return None;
    }
    let mut found = Vec::new();
    for item in value.items() {
        let name = item.text();
        let place = name.as_ref().and_then(|name| places.get(name));
        match (name, place) {
            (_, Some(place)) if found.contains(place) => {
                item.bad(
                    Code::Twice,
                    format!("{} is here twice", ticked(item.written())),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaving_is_recorded_under_a_name_of_its_own() {
        assert_eq!(sent_name("head-back"), "head-sent");
        assert_eq!(sent_name("tanned"), "tanned-sent");
    }
}
