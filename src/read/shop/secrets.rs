//! Secrets that stand in `shop.toml` although they must not: taken out of the text before it is read, so that
//! no message, list of problems or log can show one, whatever else is wrong with the file.
//!
//! Under `[post]`, however it is written, nothing stays but the values of the keys that mean something there; what is cut out
//! does not depend on what it is called. Everywhere else a key that is called like a secret loses its value, and an address its
//! user. How the lines are taken apart is `secrets/lines.rs`; it reads what no parser would.

mod lines;
mod tokens;
mod values;
mod words;

use crate::problem::{Code, Problem, Source, Span};

/// What stands in the place of a secret.
const MASK: &str = "…";

/// The text with every secret masked, and a problem for each.
pub(in crate::read) fn masked(source: &Source) -> (Source, Vec<Problem>) {
    let (text, found) = lines::masked(&source.text);
    if *text == *source.text {
        return (source.clone(), Vec::new());
    }
    let source = Source::new(source.file.clone(), text);
    let problems = found.iter().map(|span| secret_there(&source, span)).collect();
    (source, problems)
}

fn secret_there(source: &Source, span: &Span) -> Problem {
    Problem::new(Code::SecretInShop, "there is a secret in this file, and it does not belong there")
        .at(source.place(span))
        .hint(
            "take it out, and put it into the file `post.key` beside `content` or into the environment; change it \
             at the host too, since it has been here",
        )
}

/// Whether a problem only says once more that a secret's key means nothing, or what follows from the mask.
pub(in crate::read) fn says_more(secrets: &[Problem], problem: &Problem) -> bool {
    let line = |p: &Problem| p.place.as_ref().and_then(|place| place.at.as_ref()).map(|at| at.line);
    secrets.iter().any(|secret| line(secret).is_some() && line(secret) == line(problem))
}

/// The same problem without the line that it shows, for a file that is no text and so cannot be masked.
pub(in crate::read) fn without_line(mut problem: Problem) -> Problem {
    let at = problem.place.as_mut().and_then(|place| place.at.as_mut());
    if let Some(at) = at.filter(|at| !at.text.is_empty()) {
        (at.text, at.mark) = (MASK.to_owned(), (0, 1));
    }
    problem
}

#[cfg(test)]
mod tests;
