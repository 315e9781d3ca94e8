//! Problems in words: for a terminal, and as JSON for other programs.
//!
//! The one place besides `command` that decides how messages look.

use super::{Problem, Problems, Severity};
use serde::Serialize;
use std::fmt::Write;

/// All problems as text, a blank line between them. `colour` marks what is bad in a terminal.
pub fn text(problems: &Problems, colour: bool) -> String {
    let each: Vec<String> = problems.iter().map(|p| one(p, colour)).collect();
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
fn one(problem: &Problem, colour: bool) -> String {
    let mut out = String::new();
    let (before, after) = if colour { (tint(problem.severity), "\x1b[0m") } else { ("", "") };
    let _ = writeln!(out, "{before}{}:{after} {}", word(problem.severity), shown(&problem.message));
    if let Some(place) = &problem.place {
        let _ = writeln!(out, "    {}", shown(&place.short()));
        if let Some(at) = place.at.as_ref().filter(|at| !at.text.trim().is_empty()) {
            let cut: String = shown(&at.text).chars().take(160).collect();
            let (skip, long) = at.mark;
            let _ = writeln!(out, "    {cut}");
            if skip < 160 {
                let _ = writeln!(out, "    {}{}", " ".repeat(skip), "^".repeat(long.min(160 - skip)));
            }
        }
    }
    let code = problem.code.name();
    match &problem.hint {
        Some(hint) => writeln!(out, "    {}   ({code})", shown(hint)),
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

fn tint(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "\x1b[1;31m",
        Severity::Mend => "\x1b[1;33m",
        Severity::Note => "\x1b[1m",
    }
}

/// Control characters in an owner's file never reach the terminal.
fn shown(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
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
