//! What gives up in the middle is told in words, and does not take the program with it: one file that brings other people's
//! code to it costs one pass at the most. The guard itself is `base::panics`'; photos have a nearer one (`photo`).

use crate::base::panics;
use crate::problem::{Code, Problem, Severity};

/// Does a piece of work. What it changed in memory may be half done if it gives up, and must not be used after that.
///
/// # Errors
/// `gave-up`, with the place in the program and without what was being worked on: that may be private.
pub(super) fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, Problem> {
    panics::guarded(work).map_err(|place| gave_up(&place))
}

fn gave_up(place: &str) -> Problem {
    let at = if place.is_empty() { String::new() } else { format!(" (at {place})") };
    let message = format!("this ended in the middle, by a mistake in the program itself{at}");
    Problem::new(Code::GaveUp, message).with_severity(Severity::Stop).hint(
        "what was saved last has most likely set it off: take that back, or write it another way; and report this line, please",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_gives_up_becomes_a_problem_that_tells_where() {
        assert_eq!(guarded(|| 7).unwrap(), 7);
        let problem = guarded::<()>(|| panic!("Ada Fenn, 555-0117")).unwrap_err();
        assert_eq!((problem.code, problem.severity), (Code::GaveUp, Severity::Stop));
        assert!(problem.message.contains("src/command/guard.rs:"), "{}", problem.message);
        assert!(!problem.message.contains("Fenn"), "{}", problem.message);
    }

    #[test]
    fn a_command_that_gives_up_ends_as_one_that_could_not_be_done() {
        use crate::command::Outcome;
        assert_eq!(crate::command::guarded(|| panic!("as a template would")), Outcome::CouldNot);
        assert_eq!(crate::command::guarded(|| Outcome::Mending), Outcome::Mending);
    }

    #[test]
    fn work_that_is_shared_out_is_guarded_too() {
        use rayon::prelude::*;
        let sum = guarded(|| (0..1000).into_par_iter().map(|n| 10 / (n - 500)).sum::<i32>());
        assert_eq!(sum.unwrap_err().code, Code::GaveUp);
    }
}
