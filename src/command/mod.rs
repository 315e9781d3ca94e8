//! Rank 4: one file a command. The only place that joins the stages, and the only one that prints (`terminal`), but for the help and
//! version that `cli` shows. How a problem reads is `problem::print`'s.

pub mod arriving;
pub mod board;
pub mod clock;
#[cfg(any(test, fuzzing))]
pub mod door;
mod guard;
pub mod intake;
mod issued;
mod keys;
mod last_pass;
pub mod make;
pub mod memory;
pub mod open;
pub mod parcel;
pub mod pass;
pub mod post;
pub mod printing;
pub mod proof;
pub mod publish;
pub mod register;
pub mod replay;
mod signs;
mod still;
pub mod tag;
pub mod terminal;
pub mod watch;

/// How a command ended: the exit code of the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub enum Outcome {
    /// All is well.
    Done = 0,
    /// Done, but something in the content needs mending.
    Mending = 1,
    /// Could not be done; nothing was changed unless said otherwise.
    CouldNot = 2,
}

impl Outcome {
    /// The exit code that goes with the worst of some problems.
    pub fn of(problems: &crate::problem::Problems) -> Outcome {
        use crate::problem::Severity;
        match problems.worst() {
            Some(Severity::Stop) => Outcome::CouldNot,
            Some(Severity::Mend) => Outcome::Mending,
            Some(Severity::Note) | None => Outcome::Done,
        }
    }
}

/// Runs a command; one that gives up in the middle is told in words, and ends as one that could not be done.
pub fn guarded(command: impl FnOnce() -> Outcome) -> Outcome {
    guard::guarded(command).unwrap_or_else(|problem| {
        terminal::tell_problems(&crate::problem::Problems::from_iter([problem]));
        Outcome::CouldNot
    })
}

/// Whether a folder is a shop, told in the owner's words where it is not.
///
/// # Errors
/// `not-a-shop`, with the way to lay one out.
pub fn is_shop(folder: &std::path::Path) -> Result<(), crate::problem::Problems> {
    use crate::problem::{Code, Problem, Problems};
    if folder.join("content").join("shop.toml").symlink_metadata().is_ok() {
        return Ok(());
    }
    let message = format!("there is no shop in `{}`: it has no file content/shop.toml", folder.display());
    let hint =
        "go to your shop's folder, or name it with `--shop DIR`; `benchlight open DIR` lays out a new one";
    Err(Problems::from_iter([Problem::new(Code::NotAShop, message).hint(hint)]))
}
