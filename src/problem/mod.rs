//! Rank 1: what is wrong, where, how bad, and what to do about it.
//!
//! Every room above reports through [`Problem`] and [`Problems`]; only [`mod@print`] puts them into
//! words for a terminal. Which rules there are belongs to the rooms that check them.
//!
//! # How bad, and the last good page
//!
//! | severity | the pass | exit code |
//! |---|---|---|
//! | `Stop` | ends before anything is written | 2 |
//! | `Mend` | goes on; where it lies in a job, a pose or a page, that part is spoiled | 1 |
//! | `Note` | goes on as if nothing were | 0 |
//!
//! A spoiled part goes to `Site::kept`. What the last pass wrote for it stays, found again by the owner word in the record (`write`'s `keep`
//! and `record`). Taking back wins over keeping: a private page made under another key, at an address that is not the job's any more, or
//! past its last day is never kept. A `Mend` that lies in no part, such as a key file that others can read, spoils nothing. Whatever
//! would be a `Mend` in `shop.toml` is a `Stop`, since every page hangs on that file.

mod code;
mod gathered;
mod nearest;
pub mod print;
mod source;

pub use code::Code;
pub use gathered::{Few, Problems};
pub use nearest::nearest;
pub use source::{Location, Source, Span};

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing; nothing is missing from the site because of it.
    Note,
    /// Something in the content needs mending; that piece of the site is left as it was.
    Mend,
    /// The pass cannot go on; nothing is written.
    Stop,
}

/// One thing that is wrong, with its place and a way out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    pub code: Code,
    pub severity: Severity,
    /// One clause, lower case, no full stop, what the owner wrote in ticks.
    pub message: String,
    pub place: Option<Location>,
    /// What to do, as a short sentence without a full stop.
    pub hint: Option<String>,
    /// The number of the job that it concerns, if it concerns one.
    pub job: Option<String>,
    /// How many it stands for: one, but for the last of a file that has too many of them.
    pub stands_for: usize,
}

/// The longest message or hint, in letters: far longer than any sentence, and than most paths in one.
const LONGEST: usize = 1000;

impl Problem {
    /// A problem with the usual severity of its code.
    pub fn new(code: Code, message: impl Into<String>) -> Problem {
        Problem {
            code,
            severity: code.severity(),
            message: bounded(message.into()),
            place: None,
            hint: None,
            job: None,
            stands_for: 1,
        }
    }

    pub fn at(mut self, place: Location) -> Problem {
        self.place = Some(place);
        self
    }

    pub fn hint(mut self, hint: impl Into<String>) -> Problem {
        self.hint = Some(bounded(hint.into()));
        self
    }

    /// Adds `did you mean …` if one of `known` is near to `word`; else lists what there is, if that is little.
    pub fn did_you_mean<'a>(self, word: &str, known: impl IntoIterator<Item = &'a str>) -> Problem {
        let known: Vec<&str> = known.into_iter().collect();
        if let Some(near) = nearest(word, known.iter().copied()) {
            return self.hint(format!("did you mean {}?", crate::base::words::ticked(near)));
        }
        if known.is_empty() || known.len() > 12 {
            return self;
        }
        let all: Vec<String> = known.iter().map(|k| crate::base::words::ticked(k)).collect();
        self.hint(format!("it can be {}", crate::base::words::list(&all, "or")))
    }

    pub fn of_job(mut self, number: &str) -> Problem {
        self.job = Some(number.to_owned());
        self
    }

    pub fn with_severity(mut self, severity: Severity) -> Problem {
        self.severity = severity;
        self
    }
}

/// A text with no value in it that goes on for ever.
fn bounded(text: String) -> String {
    match crate::base::words::short(&text, LONGEST) {
        std::borrow::Cow::Owned(short) => short,
        std::borrow::Cow::Borrowed(_) => text,
    }
}
