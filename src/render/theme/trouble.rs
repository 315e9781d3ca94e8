//! Errors of the template engine as problems with file and line.

use super::files::{is_own, named};
use crate::problem::{Code, Location, Problem, Problems, Source, Span};
use std::collections::BTreeMap;
use tera::{ErrorKind, Tera};

/// One error as a problem.
pub fn told(error: &tera::Error, sources: &BTreeMap<String, Source>) -> Problem {
    match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
            let problem = Problem::new(Code::Theme, lowered(report.message()));
            let place = match sources.get(report.filename()) {
                Some(source) => source.place(&report.span().range),
                None => Location::file(report.filename()),
            };
            problem.at(place)
        }
        ErrorKind::CircularExtend { tpl, inheritance_chain } => {
            let chain: Vec<&str> =
                std::iter::once(tpl).chain(inheritance_chain).map(String::as_str).collect();
            circle(&chain, "extends", sources)
        }
        ErrorKind::CircularInclude { include_chain, .. } => {
            let chain: Vec<&str> = include_chain.iter().map(String::as_str).collect();
            circle(&chain, "include", sources)
        }
        ErrorKind::MissingParent { current, parent } => {
            let known = sources.keys().map(String::as_str).filter(|name| name.ends_with(".html"));
            let problem = Problem::new(Code::Theme, format!("the theme has no `{parent}`"));
            problem.did_you_mean(parent, known).at(tag_place(current, "extends", parent, sources))
        }
        _ => Problem::new(Code::Theme, lowered(&error.to_string())),
    }
}

/// Templates that lead back to one of them. The chain ends in the template that closes the circle;
/// what stands before its first mention only leads there. The place is in a file of the shop's own,
/// as the built-in ones alone make no circle.
fn circle(chain: &[&str], tag: &str, sources: &BTreeMap<String, Source>) -> Problem {
    let begin = chain.last().and_then(|end| chain.iter().position(|name| name == end)).unwrap_or(0);
    let links: Vec<(&str, &str)> =
        chain.iter().zip(chain.iter().skip(1)).skip(begin).map(|(from, to)| (*from, *to)).collect();
    let verb = if tag == "extends" { "extends" } else { "includes" };
    let told: Vec<String> = links.iter().map(|(_, to)| format!("{verb} `{to}`")).collect();
    let first = links.first().map_or("", |(from, _)| *from);
    let message = match links.as_slice() {
        [_] => format!("`{first}` {verb} itself"),
        _ => format!("`{first}` {}: that is a circle", told.join(", which ")),
    };
    let problem = Problem::new(Code::Theme, message);
    let problem =
        problem.hint(format!("take one `{tag}` out, or delete your file to get the built-in one back"));
    let own = |name: &str| sources.get(name).is_some_and(|source| is_own(name, source));
    match links.iter().find(|(from, _)| own(from)).or(links.first()) {
        Some((from, to)) => problem.at(tag_place(from, tag, to, sources)),
        None => problem,
    }
}

/// Where a template names another one in a tag; else the template as a whole.
fn tag_place(template: &str, tag: &str, named_in_it: &str, sources: &BTreeMap<String, Source>) -> Location {
    let Some(source) = sources.get(template) else { return Location::file(named(template)) };
    let tag_at = |(at, _): (usize, &str)| -> Option<Span> {
        let behind = source.text.get(at + tag.len()..)?;
        let start = at + tag.len() + (behind.len() - behind.trim_start().len());
        let name = source.text.get(start + 1..)?.strip_prefix(named_in_it)?;
        name.starts_with(['"', '\'', '`']).then(|| start..start + named_in_it.len() + 2)
    };
    match source.text.match_indices(tag).find_map(tag_at) {
        Some(span) => source.place(&span),
        None => source.whole(),
    }
}

/// Every template that is not well-formed; else the one error that was met.
pub fn all_of(
    error: &tera::Error,
    templates: &[(&String, &str)],
    sources: &BTreeMap<String, Source>,
) -> Problems {
    let broken = templates.iter().filter_map(|(name, text)| {
        let alone = Tera::new().add_raw_template(name, text).err()?;
        matches!(alone.kind(), ErrorKind::SyntaxError(_)).then(|| told(&alone, sources))
    });
    let broken: Problems = broken.collect();
    if broken.is_empty() { Problems::from_iter([told(error, sources)]) } else { broken }
}

/// As messages begin: in lower case.
fn lowered(message: &str) -> String {
    let mut letters = message.trim().trim_end_matches('.').chars();
    match letters.next() {
        Some(first) => first.to_lowercase().chain(letters).collect(),
        None => String::new(),
    }
}
