//! What goes to the terminal, and how: results on the standard output, everything else on the
//! standard error; colour and progress only for a person, never in a pipe.

use crate::base::words::count;
use crate::problem::{Problems, Severity, print};
use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;

/// A line of a command's result.
pub fn say(line: &str) {
    let _ = writeln!(std::io::stdout(), "{line}");
}

/// A line about what is going on.
pub fn tell(line: &str) {
    let _ = writeln!(std::io::stderr(), "{line}");
}

/// A question whose answer stands on the same line.
pub fn prompt(question: &str) {
    let mut out = std::io::stdout();
    let _ = write!(out, "{question}");
    let _ = out.flush();
}

/// All problems, the worst first.
pub fn tell_problems(problems: &Problems) {
    if !problems.is_empty() {
        tell(&print::text(problems, colour()));
    }
}

/// Problems that were put into words before, for a pipe and for a terminal.
pub fn tell_text([plain, coloured]: &[String; 2]) {
    let text = if colour() { coloured } else { plain };
    if !text.is_empty() {
        tell(text);
    }
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

/// Whether the standard output is a terminal that may be coloured.
pub fn is_coloured() -> bool {
    std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

fn colour() -> bool {
    std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none()
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
