//! Problems in words: for a terminal, and as JSON for other programs.
//!
//! The one place besides `command` that decides how messages look. Which signs may be seen is `base::shown`'s.

use super::{Problem, Problems, Severity};
use crate::base::shown;
use serde::Serialize;
use std::fmt::Write;

/// All problems as text, a blank line between them. Whoever prints it may tint the words that begin a line: only the
/// first line of a problem has no margin.
pub fn text(problems: &Problems) -> String {
    let each: Vec<String> = problems.iter().map(words_of).collect();
    each.join("\n")
}

/// One problem:
///
/// ```text
/// mend: no route is called `turkey-ful`
///     content/jobs/26-041 Fenn gobbler/job.toml:4:12
///     route = "turkey-ful"
///             ^^^^^^^^^^^^
///     did you mean `turkey-full`?   (unknown-route)
/// ```
fn words_of(problem: &Problem) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}: {}", word(problem.severity), shown::line(&problem.message));
    if let Some(place) = &problem.place {
        let _ = writeln!(out, "    {}", shown::line(&place.short()));
        if let Some(at) = place.at.as_ref().filter(|at| !at.text.trim().is_empty()) {
            let (skip, long) = at.mark;
            let _ = writeln!(out, "    {}", shown::line(&at.text));
            let _ = writeln!(out, "    {}{}", " ".repeat(skip), "^".repeat(long));
        }
    }
    let code = problem.code.name();
    match &problem.hint {
        Some(hint) => writeln!(out, "    {}   ({code})", shown::line(hint)),
        None => writeln!(out, "    ({code})"),
    }
    .unwrap_or_default();
    out
}

/// The word that says how bad it is.
pub fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "stop",
        Severity::Mend => "mend",
        Severity::Note => "note",
    }
}

/// How bad the problem is that begins with this line of [`text`]; none for any other line.
pub fn begins(line: &str) -> Option<Severity> {
    let (first, _) = line.split_once(':')?;
    [Severity::Stop, Severity::Mend, Severity::Note].into_iter().find(|severity| word(*severity) == first)
}

#[derive(Serialize)]
struct ProblemJson<'a> {
    severity: &'static str,
    code: &'static str,
    message: &'a str,
    file: Option<&'a str>,
    line: Option<usize>,
    column: Option<usize>,
    text: Option<&'a str>,
    hint: Option<&'a str>,
    job: Option<&'a str>,
}

/// The problems as values for `--json`, in the same order.
pub fn json(problems: &Problems) -> serde_json::Value {
    let all = problems.iter().map(|p| {
        let at = p.place.as_ref().and_then(|place| place.at.as_ref());
        ProblemJson {
            severity: word(p.severity),
            code: p.code.name(),
            message: &p.message,
            file: p.place.as_ref().map(|place| &*place.file),
            line: at.map(|at| at.line),
            column: at.map(|at| at.column),
            text: at.map(|at| at.text.as_str()),
            hint: p.hint.as_deref(),
            job: p.job.as_deref(),
        }
    });
    serde_json::to_value(all.collect::<Vec<_>>()).unwrap_or_default()
}
