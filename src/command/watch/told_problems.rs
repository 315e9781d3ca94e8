//! Which problems were told already: after each save only what is new is worth a look.

use crate::problem::{Code, Problem, Problems, Severity};
use std::collections::BTreeSet;

/// The problems of the last pass.
#[derive(Debug, Default)]
pub(super) struct ToldProblems(BTreeSet<ProblemKey>);

/// A problem by what it is and in which file; its line moves when something is typed above it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct ProblemKey {
    code: Code,
    message: String,
    file: Option<String>,
    bad: bool,
}

/// What a pass brings to be told.
pub(super) struct News {
    pub fresh: Problems,
    /// How many that needed mending are gone.
    pub mended: usize,
}

impl ToldProblems {
    /// What of these problems is new; they are the ones that were told from now on. What was told of a file in
    /// `held`, which is on its way, is neither mended nor new.
    pub fn news(&mut self, problems: &Problems, held: &BTreeSet<String>) -> News {
        let mut now: BTreeSet<ProblemKey> = problems.iter().map(ProblemKey::of).collect();
        let on_its_way = |key: &&ProblemKey| key.file.as_ref().is_some_and(|file| held.contains(file));
        now.extend(self.0.iter().filter(on_its_way).cloned());
        let fresh = problems.iter().filter(|problem| !self.0.contains(&ProblemKey::of(problem))).cloned();
        let fresh = fresh.collect::<Problems>();
        let mended = self.0.difference(&now).filter(|key| key.bad).count();
        self.0 = now;
        News { fresh, mended }
    }
}

impl ProblemKey {
    fn of(problem: &Problem) -> ProblemKey {
        ProblemKey {
            code: problem.code,
            message: problem.message.clone(),
            file: problem.place.as_ref().map(|place| place.file.to_string()),
            bad: problem.severity > Severity::Note,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_problem_is_told_once_and_again_when_it_comes_back() {
        let problem = |message: &str| Problem::new(Code::Syntax, message);
        let (one, two) = (problem("one"), problem("two"));
        let all = |problems: &[&Problem]| problems.iter().map(|p| (*p).clone()).collect::<Problems>();
        let mut told = ToldProblems::default();
        let mut news = |problems: &[&Problem]| {
            let news = told.news(&all(problems), &BTreeSet::new());
            (news.fresh.iter().map(|p| p.message.clone()).collect::<Vec<_>>(), news.mended)
        };
        assert_eq!(news(&[&one]), (vec!["one".to_owned()], 0));
        assert_eq!(news(&[&one, &two]), (vec!["two".to_owned()], 0));
        assert_eq!(news(&[&two]), (vec![], 1));
        assert_eq!(news(&[&one, &two]), (vec!["one".to_owned()], 0));
    }
}
