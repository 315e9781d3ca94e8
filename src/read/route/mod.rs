//! `routes/*.toml`: one file a route, its steps put into an order that respects what they wait for.
//!
//! `steps` reads the steps and `graph` orders them; `partners` and `parcels` read who pieces are sent to on the way, and when.

mod graph;
mod parcels;
pub(in crate::read) mod partners;
mod steps;

use self::partners::Partners;
use crate::base::money::Currency;
use crate::base::names::is_address_word;
use crate::base::words::ticked;
use crate::model::{Price, PriceOf, Route, Step};
use crate::problem::{Code, Problem, Source};
use crate::read::disk::content;
use crate::read::disk::folder::{self, FolderEntry};
use crate::read::disk::text;
use crate::read::toml::table::{self, Table};
use crate::read::toml::value::Value;
use std::collections::{BTreeMap, BTreeSet};

/// The routes of the shop.
#[derive(Debug, Default, Hash)]
pub(in crate::read) struct Routes {
    pub sound: BTreeMap<String, Route>,
    /// Keys of routes whose files need mending.
    pub broken: BTreeSet<String>,
}

/// What a route may name.
pub(in crate::read) struct RouteContext<'a> {
    pub partners: &'a Partners,
    /// The folders of the showroom.
    pub animals: &'a BTreeSet<String>,
    pub currency: Currency,
}

/// Reads every route of `content/routes/`.
pub(in crate::read) fn routes(
    entries: &[FolderEntry],
    known: &RouteContext<'_>,
    problems: &mut Vec<Problem>,
) -> Routes {
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

fn route(
    entry: &FolderEntry,
    key: &str,
    known: &RouteContext<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Route> {
    if !is_address_word(key) {
        problems.extend(content::bad_name(entry, key, ".toml"));
        return None;
    }
    match text::read(&entry.path, &entry.file) {
        Ok(source) => {
            let (route, found) = of_source(&source, key, known);
            problems.extend(found);
            route
        }
        Err(problem) => {
            problems.push(problem);
            None
        }
    }
}

pub(in crate::read) fn of_source(
    source: &Source,
    key: &str,
    known: &RouteContext<'_>,
) -> (Option<Route>, Vec<Problem>) {
    table::read(source, "a route", |root| {
        let name = root.needed_text("name");
        let animal = root.get("animal").and_then(|v| animal(&v, known.animals));
        let needs = root.get("needs");
        let gates = needs.as_ref().map(|v| v.address_words("[\"deposit\", \"tag\"]")).unwrap_or_default();
        let gates: Vec<String> = gates.into_iter().map(|(word, _)| word).collect();
        let deposit = root.get("deposit").and_then(|v| v.deposit(known.currency));
        let price_from = root.get("price-from").and_then(|v| v.price(known.currency));
        let listed = root.tables("price", "a price");
        let prices = listed.iter().filter_map(|table| price(table, known.currency)).collect();
        let steps = steps::take(root, known)?;
        let steps = with_route_gates(steps, &gates, needs.as_ref());
        let key = key.to_owned();
        Some(Route { key, name: name?, animal, needs: gates, deposit, price_from, prices, steps })
    })
}

/// A line of the price list: `amount` for the whole, or `each` for one of several.
fn price(table: &Table<'_>, currency: Currency) -> Option<Price> {
    let what = table.needed_text("what");
    let amount = match (table.get("amount"), table.get("each")) {
        (Some(_), Some(each)) => {
            let message = format!("{} cannot go together with {}", ticked("each"), ticked("amount"));
            each.bad(Code::BadValue, message, "keep one of the two");
            None
        }
        (Some(flat), None) => flat.price(currency).map(PriceOf::Flat),
        (None, Some(each)) => each.price(currency).map(PriceOf::Each),
        (None, None) => {
            table.missing("amount", "amount = 85");
            None
        }
    };
    let kind = match table.get("kind") {
        Some(value) => value.address_word(),
        None => Some("work".to_owned()),
    };
    table.finish();
    Some(Price { what: what?, amount: amount?, kind: kind? })
}

fn animal(value: &Value<'_>, animals: &BTreeSet<String>) -> Option<String> {
    let animal = value.address_word()?;
    if !animals.contains(&animal) && !animals.is_empty() {
        let message = format!("the showroom has no folder {}", ticked(&animal));
        value.unknown(Code::UnknownPose, message, animals.iter().map(String::as_str), None);
    }
    Some(animal)
}

/// Puts the gates of the route before those of its first bench step.
fn with_route_gates(mut steps: Vec<Step>, gates: &[String], written: Option<&Value<'_>>) -> Vec<Step> {
    let first = steps.iter_mut().find(|step| step.work.kind().is_bench());
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

    fn route_of(text: &str) -> (Option<Route>, Vec<String>) {
        let (partners, animals) = (Partners::default(), BTreeSet::new());
        let known = RouteContext {
            partners: &partners,
            animals: &animals,
            currency: Currency::from_code("USD").unwrap(),
        };
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
    fn circles_are_named() {
        let step =
            |name: &str, after: &str| format!("[[step]]\nname = \"{name}\"\nafter = [{after}]\nbench = 1\n");
        let text = format!("name = \"x\"\n{}{}", step("a", "\"b\""), step("b", "\"a\""));
        assert_eq!(route_of(&text).1, ["steps wait in a circle: `a` for `b` and `b` for `a`"]);
        let text = format!("name = \"x\"\n{}", step("a", "\"a\""));
        assert_eq!(route_of(&text).1, ["step `a` waits for itself"]);
    }
}
