//! What is wrong with one file of the owner's, gathered while it is read.
//!
//! Words that nothing knows wait until everything that is known has been asked for; then they are told
//! with the nearest right word. Taking values out of the file is `table`'s.

use crate::base::words::ticked;
use crate::problem::{Code, Few, Problem, Source, Span, nearest};
use std::cell::RefCell;

/// The file that is being read.
#[derive(Debug)]
pub(in crate::read) struct Sheet<'a> {
    pub source: &'a Source,
    problems: RefCell<Few>,
    strays: RefCell<Vec<Stray>>,
    missing: RefCell<Vec<Missing>>,
}

/// A key that is missing; told at the end, unless it is there misspelt.
#[derive(Debug)]
pub(in crate::read) struct Missing {
    /// The table that it is missing from.
    pub table: Span,
    pub key: String,
    pub problem: Problem,
}

/// A word that nothing knows; judged at the end, when all that is known has been asked for.
#[derive(Debug)]
pub(in crate::read) struct Stray {
    pub code: Code,
    pub message: String,
    pub word: String,
    pub span: Span,
    /// The table that it stands in.
    pub table: Span,
    /// The words that it can have been meant for, then all that could stand there.
    pub free: Vec<String>,
    pub known: Vec<String>,
}

impl<'a> Sheet<'a> {
    pub fn new(source: &'a Source) -> Self {
        Sheet {
            source,
            problems: RefCell::default(),
            strays: RefCell::default(),
            missing: RefCell::default(),
        }
    }

    /// Tells of a problem in this file.
    pub fn tell(&self, problem: Problem) {
        self.problems.borrow_mut().push_with_waiting(problem, self.waiting());
    }

    /// Whether further problems are only counted.
    pub fn is_full(&self) -> bool {
        self.problems.borrow().is_full_with(self.waiting())
    }

    fn waiting(&self) -> usize {
        self.strays.borrow().len() + self.missing.borrow().len()
    }

    /// A problem at a place of this file.
    pub fn problem(&self, code: Code, span: &Span, message: impl Into<String>) -> Problem {
        // Finding the line takes time in a long file; nobody sees the place of what is only counted.
        let problem = Problem::new(code, message);
        if self.problems.borrow().is_over() { problem } else { problem.at(self.source.place(span)) }
    }

    /// Tells of a word that nothing knows.
    pub fn stray(&self, stray: Stray) {
        if self.is_full() {
            self.tell(self.problem(stray.code, &stray.span, stray.message));
        } else {
            self.strays.borrow_mut().push(stray);
        }
    }

    /// Tells of a key that is missing.
    pub fn missing(&self, missing: Missing) {
        if self.is_full() {
            self.tell(missing.problem);
        } else {
            self.missing.borrow_mut().push(missing);
        }
    }

    /// Tells of words that nothing knows, with the nearest right one, or where they belong; then of
    /// what is missing and not just misspelt.
    pub fn judge(&self, top: &[&'static str]) {
        let (strays, missing) = (self.strays.take(), self.missing.take());
        let mut misspelt = Vec::new();
        for stray in strays {
            let near = nearest(&stray.word, stray.free.iter().map(String::as_str)).map(str::to_owned);
            let problem = Problem::new(stray.code, stray.message).at(self.source.place(&stray.span));
            let problem = match &near {
                None if top.contains(&stray.word.as_str()) => problem.hint(format!(
                    "{} belongs further up, above the first heading in brackets",
                    ticked(&stray.word)
                )),
                None => problem.did_you_mean(&stray.word, stray.known.iter().map(String::as_str)),
                Some(near) => problem.hint(format!("did you mean `{near}`?")),
            };
            let hint = problem.hint.clone();
            let hint = hint
                .unwrap_or_else(|| "take it out, or put a `#` before it to keep it as a remark".to_owned());
            self.tell(problem.hint(hint));
            misspelt.extend(near.map(|near| (stray.table, near)));
        }
        for lost in missing {
            if !misspelt.iter().any(|(table, key)| *table == lost.table && *key == lost.key) {
                self.tell(lost.problem);
            }
        }
    }

    /// Takes out all that was told.
    pub fn take_problems(&self) -> Vec<Problem> {
        self.problems.take().into_problems()
    }
}
