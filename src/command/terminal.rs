//! What goes to the terminal, and how: results on the standard output, everything else on the
//! standard error; colour and progress only for a person, never in a pipe.
//!
//! The one place that prints (`clippy.toml` and `tests/house.rs` keep that). Nothing that comes from elsewhere, a file, a
//! name, a host, an argument, gets by `base::shown`; colour is added here, behind it.

#![allow(clippy::disallowed_methods, clippy::disallowed_macros, reason = "the one place that prints")]

use crate::base::panics;
use crate::base::qr::Qr;
use crate::base::shown;
use crate::base::words::count;
use crate::problem::{Problems, Severity, print};
use serde::Serialize;
use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

/// A line of a command's result.
pub fn say(line: &str) {
    let _ = writeln!(std::io::stdout(), "{}", shown::line(line));
}

/// A result of several lines.
pub fn say_lines(text: &str) {
    let _ = writeln!(std::io::stdout(), "{}", shown::lines(text.trim_end_matches('\n')));
}

/// A result for other programs.
pub fn say_json(value: &impl Serialize) {
    let text = serde_json::to_string_pretty(value).unwrap_or_default();
    let _ = writeln!(std::io::stdout(), "{}", shown::json(&text));
}

/// A code that a phone can read off the screen: black on white where there are colours.
pub fn say_code(code: &Qr) {
    let coloured = is_coloured(&std::io::stdout());
    let (before, after) = if coloured { ("\x1b[30;107m", RESET) } else { ("", "") };
    for line in code.in_terminal(coloured) {
        let _ = writeln!(std::io::stdout(), "{before}{}{after}", shown::line(&line));
    }
}

/// A line about what is going on.
pub fn tell(line: &str) {
    let _ = writeln!(std::io::stderr(), "{}", shown::line(line));
}

/// What somebody has to be told who typed something wrong, or asked for help, in several lines.
pub fn tell_usage(text: &str, wrong: bool) {
    let text = shown::lines(text);
    let _ = match wrong {
        true => write!(std::io::stderr(), "{text}"),
        false => write!(std::io::stdout(), "{text}"),
    };
}

/// A question whose answer stands on the same line.
pub fn prompt(question: &str) {
    let mut out = std::io::stdout();
    let _ = write!(out, "{}", shown::line(question));
    let _ = out.flush();
}

/// All problems, the worst first.
pub fn tell_problems(problems: &Problems) {
    tell_text(&print::text(&problems.clone().capped()));
}

/// Problems that were put into words before.
pub fn tell_text(text: &str) {
    if text.is_empty() {
        return;
    }
    let coloured = is_coloured(&std::io::stderr());
    let lines = text.split('\n').map(|line| {
        let (plain, severity) = (shown::line(line), print::begins(line).filter(|_| coloured));
        match severity.and_then(|severity| Some((severity, plain.split_once(':')?))) {
            Some((severity, (word, rest))) => format!("{}{word}:{RESET}{rest}", tint(severity)),
            None => plain.into_owned(),
        }
    });
    let _ = writeln!(std::io::stderr(), "{}", lines.collect::<Vec<_>>().join("\n"));
}

const RESET: &str = "\x1b[0m";

fn tint(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "\x1b[1;31m",
        Severity::Mend => "\x1b[1;33m",
        Severity::Note => "\x1b[1m",
    }
}

/// What ends a part of the program unawares is told by the same rule.
pub fn tell_of_panics() {
    panics::tell_by(|info| tell_usage(&format!("Benchlight met something unforeseen: {info}\n"), true));
}

/// `2 things to mend, 1 note`, or nothing when all is well.
pub fn tally(problems: &Problems) -> Option<String> {
    let (stops, mends) = (problems.count(Severity::Stop), problems.count(Severity::Mend));
    let notes = problems.count(Severity::Note);
    let mut parts = Vec::new();
    if stops > 0 {
        parts.push(count(stops, "thing that stops it|things that stop it"));
    }
    if mends > 0 {
        parts.push(count(mends, "thing to mend|things to mend"));
    }
    if notes > 0 {
        parts.push(count(notes, "note"));
    }
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn is_coloured(stream: &impl IsTerminal) -> bool {
    stream.is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

/// A line that says how far a long piece of work is; silent unless a person is watching.
#[derive(Debug)]
pub struct Progress {
    what: &'static str,
    shown: bool,
    begun: Instant,
    highest: AtomicUsize,
    drawing: Mutex<()>,
}

impl Progress {
    pub fn new(what: &'static str) -> Progress {
        let shown = std::io::stderr().is_terminal();
        Progress { what, shown, begun: Instant::now(), highest: AtomicUsize::new(0), drawing: Mutex::new(()) }
    }

    /// `done` of `all` are done; may be called from any thread.
    pub fn at(&self, done: usize, all: usize) {
        if !self.shown || all == 0 || self.highest.fetch_max(done, Ordering::Relaxed) > done {
            return;
        }
        let Ok(_drawing) = self.drawing.lock() else { return };
        let left = self.begun.elapsed().as_secs_f32() / done.max(1) as f32 * all.saturating_sub(done) as f32;
        let filled = done * 24 / all;
        let tape: String = (0..24).map(|i| if i < filled { '|' } else { '.' }).collect();
        let end = if done >= all { "\r\x1b[K".to_owned() } else { format!(" about {left:.0} s to go") };
        let line = format!("\r\x1b[K{} {tape} {done} of {all}", self.what);
        let _ = write!(std::io::stderr(), "{}{end}", if done >= all { "" } else { &line });
        let _ = std::io::stderr().flush();
    }
}
