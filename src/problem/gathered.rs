//! All problems of a pass: gathered, without repeats, in the order of files and lines.

use super::{Problem, Severity};

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
        self
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
