//! `shop.toml`: who the studio is, when it works, and its money rules (those are in `money_rules`).
//!
//! Everything else hangs on this file, so whatever needs mending in it stops the pass.

use super::money_rules;
use super::posting;
use super::secrets;
use crate::base::day::Day;
use crate::base::email::is_address;
use crate::base::minutes::Minutes;
use crate::base::words::ticked;
use crate::model::{Closure, EstimateRules, GateRule, LineBy, RegisterField, Studio, Visit, WaitsOn};
use crate::problem::{Code, Problem, Severity, Source};
use crate::read::disk::content::stopping;
use crate::read::showroom::Mention;
use crate::read::toml::table::{self, Table};
use crate::read::toml::value::Value;
use std::collections::{BTreeMap, BTreeSet};

/// The studio and what of the showroom is to stand first, or nothing if the file needs mending. `pages`
/// are the keys that a menu can name.
pub(in crate::read) fn studio(
    source: &Source,
    pages: &BTreeSet<String>,
) -> (Option<(Studio, Vec<Mention>)>, Vec<Problem>) {
    // What looks like a secret is taken out before anything else, so that no message can show it.
    let (source, secret) = secrets::masked(source);
    let (studio, problems) = table::read(&source, "shop.toml", |root| {
        let first = root.get("showroom").map(|value| showroom(&value)).unwrap_or_default();
        take_studio(root, pages).zip(Some(first))
    });
    let stops = |problem: Problem| match problem.severity {
        Severity::Note => problem,
        _ => stopping(problem),
    };
    let studio = studio.filter(|_| secret.is_empty());
    // A key that is a secret is told once, as what it is.
    let others = problems.into_iter().filter(|problem| !secrets::says_more(&secret, problem));
    (studio, others.chain(secret.clone()).map(stops).collect())
}

fn take_studio(root: &Table<'_>, pages: &BTreeSet<String>) -> Option<Studio> {
    let name = root.needed_text("name");
    let line = root
        .get("line")
        .and_then(|v| v.one_of(&[("deposit", LineBy::Deposit), ("arrival", LineBy::Arrival)]));
    let bench = bench(root);
    let private_page = private_page(root);
    let studio = Studio {
        name: String::new(),
        says: root.text("says"),
        keeper: root.text("keeper"),
        phone: root.text("phone"),
        email: root.get("email").and_then(|v| email(&v)),
        address: root.get("address").map(|v| v.texts("[\"12 Mill Lane\", \"Tamarack\"]")).unwrap_or_default(),
        web: root.get("web").and_then(|v| web(&v)),
        language: root.get("language").and_then(|v| language(&v)).unwrap_or_else(|| "en-US".to_owned()),
        length: root.get("length").and_then(|v| length(&v)).unwrap_or_else(|| "in".to_owned()),
        visits: root.tables("visit", "a visit").iter().filter_map(visit).collect(),
        menu: root.get("menu").map(|v| menu(&v, pages)).unwrap_or_default(),
        line: line.unwrap_or(LineBy::Deposit),
        bench: bench.hours,
        hands: bench.hands,
        batches: bench.batches,
        closures: root.tables("closed", "a closure").iter().filter_map(closure).collect(),
        estimates: estimates(root),
        money: money_rules::take(root)?,
        gates: root.table("gate", "`[gate]`").map(|t| gates(&t)).unwrap_or_default(),
        register: register(root),
        sealed: private_page.sealed,
        keep_days: private_page.keep_days,
        post: posting::take(root),
        made_up: made_up(root),
    };
    Some(Studio { name: name?, ..studio })
}

fn email(value: &Value<'_>) -> Option<String> {
    let text = value.text().filter(|t| !t.is_empty())?;
    if is_address(&text) {
        return Some(text);
    }
    value.bad(
        Code::BadValue,
        format!("{} is no e-mail address", ticked(&text)),
        "write it like `bench@studio.example`",
    );
    None
}

/// The site's public address, ending in a slash.
fn web(value: &Value<'_>) -> Option<String> {
    let text = value.text().filter(|t| !t.is_empty())?;
    let rest = ["https://", "http://"].iter().find_map(|start| text.strip_prefix(start));
    let odd = |c: char| c.is_whitespace() || c.is_control() || "<>\"'`\\?#@{}|^".contains(c);
    match rest.map(|rest| rest.trim_end_matches('/')) {
        Some(rest) if !rest.is_empty() && !rest.starts_with(['/', ':', '.']) && !rest.contains(odd) => {
            Some(format!("{}/", text.trim_end_matches('/')))
        }
        _ => {
            let message = format!("{} is no web address", ticked(&text));
            value.bad(Code::BadValue, message, "write it like `https://studio.example/`");
            None
        }
    }
}

/// A language tag as BCP 47 (RFC 5646, section 2.1) shapes them: parts of letters and digits, the first one letters.
fn language(value: &Value<'_>) -> Option<String> {
    let text = value.text().filter(|t| !t.is_empty())?;
    let mut parts = text.split('-');
    let first = parts
        .next()
        .is_some_and(|p| (2..=3).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_alphabetic()));
    let rest = parts.all(|p| (1..=8).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_alphanumeric()));
    if first && rest && text.len() <= 35 {
        return Some(text);
    }
    value.bad(
        Code::BadValue,
        format!("{} is no language", ticked(&text)),
        "write its short sign, such as `en-US` or `de`",
    );
    None
}

fn length(value: &Value<'_>) -> Option<String> {
    let text = value.text().filter(|t| !t.is_empty())?;
    if text.chars().count() <= 12 && !text.contains(char::is_control) {
        return Some(text);
    }
    value.bad(
        Code::BadValue,
        format!("{} is no unit of length", ticked(&text)),
        "write it short, such as `in` or `cm`",
    );
    None
}

fn visit(table: &Table<'_>) -> Option<Visit> {
    let (days, hours) = (table.needed_text("days"), table.needed_text("hours"));
    table.finish();
    Some(Visit { days: days?, hours: hours? })
}

/// Keys of pages in their order, each once and each there.
fn menu(value: &Value<'_>, pages: &BTreeSet<String>) -> Vec<String> {
    let mut menu: Vec<String> = Vec::new();
    for item in if value.is_list() { value.items() } else { Vec::new() } {
        let Some(key) = item.text() else { continue };
        if menu.contains(&key) {
            item.bad(
                Code::Twice,
                format!("the menu names {} twice", ticked(&key)),
                "take one of the two out",
            );
        } else if pages.contains(&key) {
            menu.push(key);
        } else if key == "showroom" {
            let hint = "take it out, as the showroom has its place without being named";
            item.bad(Code::UnknownPage, "the menu names the showroom, which is no page of `pages`", hint);
        } else {
            let message = format!("there is no page {}", ticked(&key));
            let hint = format!("write it as `content/pages/{key}.md`, or take it out");
            item.unknown(Code::UnknownPage, message, pages.iter().map(String::as_str), Some(hint));
        }
    }
    if !value.is_list() {
        value.wrong_kind("a list in brackets", "[\"prices\", \"find-us\"]");
    }
    menu
}

/// Animals and poses in the order in which they are to stand; what is not there is told by the showroom.
fn showroom(value: &Value<'_>) -> Vec<Mention> {
    value.list("[\"turkey/full-strut\", \"deer\"]", |item| {
        let words = item.text().filter(|words| !words.is_empty())?;
        Some(Mention { words, place: item.problem(Code::UnknownPose, "").place? })
    })
}

/// `[bench]`.
struct Bench {
    hours: [Minutes; 7],
    hands: u32,
    batches: bool,
}

fn bench(root: &Table<'_>) -> Bench {
    let Some(table) = root.table("bench", "`[bench]`") else {
        return Bench { hours: [Minutes(0); 7], hands: 1, batches: false };
    };
    let days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
    let written = days.map(|day| table.get(day));
    let hours = written.each_ref().map(|day| day.as_ref().and_then(|v| v.hours(24)).unwrap_or_default());
    if let Some(first) = written.iter().flatten().next().filter(|_| hours.iter().all(|h| h.0 == 0)) {
        let message = "no day has any bench hours, so no date can be estimated".to_owned();
        first.note(message, "write the hours of each day that you are at the bench, such as `tue = 5`");
    }
    let hands = table.get("hands").and_then(|v| v.whole(1, 16));
    let batches = table.get("batches").and_then(|v| v.flag()).unwrap_or(false);
    table.finish();
    Bench { hours, hands: hands.unwrap_or(1), batches }
}

fn closure(table: &Table<'_>) -> Option<Closure> {
    let from = table.need("from", "from = 2026-04-10").and_then(|v| v.date());
    let last = table.need("to", "to = 2026-04-24");
    let to = last.as_ref().and_then(Value::date);
    let announced = table.get("announced").and_then(|v| v.date());
    let why = table.text("why");
    table.finish();
    if let (Some(from), Some(to), Some(value)) = (from, to, &last)
        && to < from
    {
        let message = format!("the closure ends on {to}, before it begins");
        value.bad(Code::BadDate, message, format!("write a day from {from} on"));
    }
    Some(Closure { from: from?, to: to?, announced, why })
}

/// `[estimates]`.
fn estimates(root: &Table<'_>) -> EstimateRules {
    let Some(table) = root.table("estimates", "`[estimates]`") else { return EstimateRules::default() };
    let says = table.text("says");
    let show_past = table.get("show-past").and_then(|v| v.flag());
    table.finish();
    EstimateRules { says, show_past: show_past.unwrap_or(false) }
}

fn gates(table: &Table<'_>) -> BTreeMap<String, GateRule> {
    let mut gates = BTreeMap::new();
    for value in table.all() {
        let (name, rule) = (value.key_word(), value.table("a gate"));
        let Some(rule) = rule else { continue };
        let who = rule.need("who", "who = \"customer\"");
        let who = who.and_then(|v| v.one_of(&[("customer", WaitsOn::Customer), ("shop", WaitsOn::Shop)]));
        let tells = rule.text("tells");
        rule.finish();
        if let (Some(name), Some(who)) = (name, who) {
            gates.insert(name, GateRule { who, tells });
        }
    }
    gates
}

/// `[register]`: what the owner's state asks for.
fn register(root: &Table<'_>) -> Vec<RegisterField> {
    let Some(table) = root.table("register", "`[register]`") else { return RegisterField::USUAL.to_vec() };
    let mut words = RegisterField::ALL.map(|field| (field.word(), field)).to_vec();
    words.insert(0, ("license", RegisterField::License));
    let asks = table.get("asks").map(|value| {
        let mut asks = value.list("[\"tag\", \"species\", \"sex\"]", |item| item.one_of(&words));
        asks.sort();
        asks.dedup();
        asks
    });
    table.finish();
    asks.unwrap_or_else(|| RegisterField::USUAL.to_vec())
}

/// `[private-page]`.
struct PrivatePage {
    keep_days: u32,
    sealed: bool,
}

fn private_page(root: &Table<'_>) -> PrivatePage {
    let table = root.table("private-page", "`[private-page]`");
    let days = table.as_ref().and_then(|t| t.get("keep-days")).and_then(|v| v.whole(0, 3650));
    let sealed = table.as_ref().and_then(|t| t.get("sealed")).and_then(|v| v.flag());
    if let Some(table) = table {
        table.finish();
    }
    PrivatePage { keep_days: days.unwrap_or(90), sealed: sealed.unwrap_or(false) }
}

fn made_up(root: &Table<'_>) -> Option<Day> {
    let table = root.table("made-up", "`[made-up]`")?;
    let day = table.need("day", "day = 2026-05-02").and_then(|v| v.date());
    table.finish();
    day
}
