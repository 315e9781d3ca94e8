//! Errors of the template engine as problems with file and line.

use crate::problem::{Code, Place, Problem, Problems, Source};
use std::collections::BTreeMap;
use tera::{ErrorKind, Tera};

/// One error as a problem.
pub fn told(error: &tera::Error, sources: &BTreeMap<String, Source>) -> Problem {
    match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
            let problem = Problem::new(Code::Theme, lowered(report.message()));
            let place = match sources.get(report.filename()) {
                Some(source) => source.place(&report.span().range),
                None => Place::file(report.filename()),
            };
            problem.at(place)
        }
        _ => Problem::new(Code::Theme, lowered(&error.to_string())),
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
