//! All problems of a pass: gathered, without repeats, in the order of files and lines, and of one file only so many that
//! a person looks through them.

use super::{Code, Problem, Severity};
use crate::base::words::count;
use std::collections::BTreeMap;
use std::sync::Arc;

/// More problems than this of one file are only counted: the first few are what helps.
const MOST: usize = 20;

/// What counts together: a file, or a kind of problem that belongs to none.
type Group = (Option<Arc<str>>, Option<Code>);

/// The first problems of one file; what is over `MOST` is counted, and need not even be put together.
#[derive(Clone, Debug, Default)]
pub struct Few {
    problems: Vec<Problem>,
    more: Option<Problem>,
}

impl Few {
    /// Whether further problems are only counted; so many others wait to be told.
    pub fn is_full_with(&self, waiting: usize) -> bool {
        self.problems.len() + waiting >= MOST
    }

    /// Whether anything was only counted so far.
    pub fn is_over(&self) -> bool {
        self.more.is_some()
    }

    /// Takes in a problem, or counts it.
    pub fn push(&mut self, problem: Problem) {
        self.push_with_waiting(problem, 0);
    }

    /// The same where so many others wait to be told.
    pub fn push_with_waiting(&mut self, problem: Problem, waiting: usize) {
        if !self.is_full_with(waiting) {
            self.problems.push(problem);
        } else {
            match &mut self.more {
                Some(more) => more.absorb(&problem),
                None => self.more = Some(problem),
            }
        }
    }

    /// Takes in a problem of which putting it together takes work; that is left out where it is only counted.
    pub fn push_with(&mut self, code: Code, severity: Severity, whole: impl FnOnce() -> Problem) {
        let problem = if self.is_over() { Problem::new(code, "") } else { whole() };
        self.push(problem.with_severity(severity));
    }

    /// All of them, and one that says how many more there are.
    pub fn into_problems(self) -> Vec<Problem> {
        let more = self.more.map(Problem::counted);
        self.problems.into_iter().chain(more).collect()
    }
}

/// A growing collection of problems.
#[derive(Clone, Debug, Default)]
pub struct Problems(Vec<Problem>);

impl Problems {
    pub fn push(&mut self, problem: Problem) {
        self.0.push(problem);
    }

    pub fn extend(&mut self, others: impl IntoIterator<Item = Problem>) {
        self.0.extend(others);
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub fn iter(&self) -> impl Iterator<Item = &Problem> {
        self.0.iter()
    }

    pub fn worst(&self) -> Option<Severity> {
        self.0.iter().map(|p| p.severity).max()
    }

    /// How many are exactly this bad.
    pub fn count(&self, severity: Severity) -> usize {
        self.0.iter().filter(|p| p.severity == severity).count()
    }

    /// The worst first, then by file, line and code; what is told twice is told once.
    pub fn sorted(mut self) -> Problems {
        let key = |p: &Problem| {
            let at = p.place.as_ref().map(|place| {
                let at = place.at.as_ref().map(|at| (at.line, at.column));
                (place.file.clone(), at)
            });
            (std::cmp::Reverse(p.severity), at, p.code, p.message.clone())
        };
        self.0.sort_by_cached_key(key);
        self.0.dedup();
        self.capped()
    }

    /// Of each file only so many, in the order in which they are; what belongs to no file counts by its kind.
    pub fn capped(self) -> Problems {
        if self.0.len() <= MOST {
            return self;
        }
        let mut out: Vec<Problem> = Vec::with_capacity(self.0.len());
        // For each file: how many of it are told, and where the one is that counts the others.
        let mut files: BTreeMap<Group, (usize, Option<usize>)> = BTreeMap::new();
        for problem in self.0 {
            let file = problem.place.as_ref().map(|place| place.file.clone());
            let kind = file.is_none().then_some(problem.code);
            let (told, more) = files.entry((file, kind)).or_default();
            match more {
                _ if *told < MOST && problem.stands_for == 1 => {
                    *told += 1;
                    out.push(problem);
                }
                Some(at) => out.get_mut(*at).into_iter().for_each(|more| more.absorb(&problem)),
                None => {
                    *more = Some(out.len());
                    out.push(problem);
                }
            }
        }
        for at in files.into_values().filter_map(|(_, more)| more) {
            if let Some(more) = out.get_mut(at) {
                *more = more.clone().counted();
            }
        }
        Problems(out)
    }
}

impl Problem {
    /// Stands for another one as well.
    fn absorb(&mut self, other: &Problem) {
        self.severity = self.severity.max(other.severity);
        self.stands_for += other.stands_for;
    }

    /// Says how many it stands for.
    fn counted(self) -> Problem {
        let whose = if self.place.is_some() { "in this file" } else { "of this kind" };
        let message = format!("{} {whose}", count(self.stands_for, "more problem"));
        Problem { message, ..self }.hint("mend the first ones, then look again")
    }
}

impl IntoIterator for Problems {
    type Item = Problem;
    type IntoIter = std::vec::IntoIter<Problem>;
    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl FromIterator<Problem> for Problems {
    fn from_iter<I: IntoIterator<Item = Problem>>(problems: I) -> Self {
        Problems(problems.into_iter().collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::Location;

    fn of_file(file: &str, many: usize, code: Code) -> impl Iterator<Item = Problem> {
        (0..many).map(move |n| Problem::new(code, format!("problem {n}")).at(Location::file(file)))
    }

    fn told(problems: &Problems) -> Vec<(usize, &str)> {
        problems.iter().map(|p| (p.stands_for, p.message.as_str())).filter(|(n, _)| *n > 1).collect()
    }

    #[test]
    fn of_one_file_only_so_many_are_told_however_often_they_are_gathered() {
        let all = of_file("a", 50, Code::Syntax).chain(of_file("b", 20, Code::Syntax));
        let once = all.collect::<Problems>().sorted();
        assert_eq!(once.iter().count(), MOST + 1 + 20);
        assert_eq!(told(&once), [(30, "30 more problems in this file")]);
        let again = once.clone().sorted().capped();
        assert_eq!(told(&again), told(&once));
        let more = of_file("a", 3, Code::Theme).chain(once).collect::<Problems>().sorted();
        assert_eq!(told(&more), [(33, "33 more problems in this file")]);
        assert_eq!(more.worst(), Some(Severity::Stop));
    }

    #[test]
    fn what_is_only_counted_is_not_put_together() {
        let mut few = Few::default();
        let mut made = 0;
        for _ in 0..1000 {
            few.push_with(Code::Syntax, Severity::Mend, || {
                made += 1;
                Problem::new(Code::Syntax, "x").at(Location::file("a"))
            });
        }
        let told = few.into_problems();
        assert_eq!((made, told.len()), (MOST + 1, MOST + 1));
        assert_eq!(told.last().unwrap().message, "980 more problems in this file");
        // And what is told of it once more is the same.
        let again: Problems = told.iter().cloned().collect::<Problems>().sorted();
        assert_eq!(again.iter().map(|p| p.stands_for).sum::<usize>(), 1 + 980);
    }
}
