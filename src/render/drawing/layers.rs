//! The rows and columns of a route's steps, and the way of each string from step to step.
//!
//! A step stands one row below the lowest step that it needs. In every row each step and each
//! string that only passes has a slot of its own, so that no string runs over a step. The longest
//! way keeps the first column.

use std::collections::BTreeSet;

/// Where each step of a route stands.
#[derive(Debug, PartialEq, Eq)]
pub struct Layers {
    /// Row and column of each step.
    pub steps: Vec<(usize, usize)>,
    /// For each string its two steps and the column in which it passes the rows between them.
    pub strings: Vec<(usize, usize, usize)>,
    /// For each row the columns in use, from the first.
    pub rows: Vec<BTreeSet<usize>>,
}

impl Layers {
    /// The layers of a route; `after` names for each step the steps that it needs, all before it.
    pub fn of(after: &[Vec<usize>]) -> Layers {
        let mut strings: Vec<(usize, usize)> = Vec::new();
        for (step, needed) in after.iter().enumerate() {
            let needed: BTreeSet<usize> = needed.iter().copied().filter(|n| *n < step).collect();
            strings.extend(needed.into_iter().map(|n| (n, step)));
        }
        let rows = rows_of(after.len(), &strings);
        let mut taken = vec![BTreeSet::new(); rows.iter().max().map_or(0, |last| last + 1)];
        let columns = columns_of(&rows, &strings, &mut taken);
        let row = |step: usize| rows.get(step).copied().unwrap_or_default();
        let column = |step: usize| columns.get(step).copied().unwrap_or_default();
        // Short strings first: they have the fewest ways.
        strings.sort_by_key(|(from, to)| (row(*to) - row(*from), *from, *to));
        let ways = strings.into_iter().map(|(from, to)| {
            let between = row(from) + 1..row(to);
            let way = passing(&mut taken, between, [column(to), column(from)]);
            (from, to, way)
        });
        let strings = ways.collect();
        Layers { steps: rows.iter().copied().zip(columns.iter().copied()).collect(), strings, rows: taken }
    }

    /// The most slots that a row has.
    pub fn widest(&self) -> usize {
        self.rows.iter().map(BTreeSet::len).max().unwrap_or(1).max(1)
    }

    /// Which slot of its row a column is, and how many the row has.
    pub fn slot(&self, row: usize, column: usize) -> (usize, usize) {
        let columns = self.rows.get(row);
        let before = columns.map_or(0, |c| c.range(..column).count());
        (before, columns.map_or(1, BTreeSet::len).max(1))
    }
}

/// The row of each step: one below the lowest that it needs.
fn rows_of(steps: usize, strings: &[(usize, usize)]) -> Vec<usize> {
    let mut rows: Vec<usize> = Vec::with_capacity(steps);
    for step in 0..steps {
        let above = strings.iter().filter(|(_, to)| *to == step);
        let lowest = above.filter_map(|(from, _)| rows.get(*from)).max();
        rows.push(lowest.map_or(0, |row| row + 1));
    }
    rows
}

/// The column of each step: that of a step above it which no other has gone on with, else the
/// first free one. In a row the step with the longest way before it chooses first.
fn columns_of(rows: &[usize], strings: &[(usize, usize)], taken: &mut [BTreeSet<usize>]) -> Vec<usize> {
    let ahead = ahead_of(rows.len(), strings);
    let mut order: Vec<usize> = (0..rows.len()).collect();
    order.sort_by_key(|step| (rows.get(*step), std::cmp::Reverse(ahead.get(*step)), *step));
    let mut columns = vec![0; rows.len()];
    for step in order {
        let Some(in_row) = rows.get(step).and_then(|row| taken.get_mut(*row)) else { continue };
        let above = strings.iter().filter(|(_, to)| *to == step);
        let above = above.filter_map(|(from, _)| columns.get(*from).copied());
        let column = above.filter(|c| !in_row.contains(c)).min().unwrap_or_else(|| first_free(in_row));
        in_row.insert(column);
        if let Some(own) = columns.get_mut(step) {
            *own = column;
        }
    }
    columns
}

/// How many steps the longest way from each step to an end has.
fn ahead_of(steps: usize, strings: &[(usize, usize)]) -> Vec<usize> {
    let mut ahead = vec![0; steps];
    for step in (0..steps).rev() {
        let next = strings.iter().filter(|(from, _)| *from == step);
        let longest = next.filter_map(|(_, to)| ahead.get(*to).copied()).max();
        if let (Some(own), Some(longest)) = (ahead.get_mut(step), longest) {
            *own = longest + 1;
        }
    }
    ahead
}

fn first_free(taken: &BTreeSet<usize>) -> usize {
    (0..).find(|column| !taken.contains(column)).unwrap_or_default()
}

/// The column in which a string passes the rows between its steps, which are then taken.
fn passing(taken: &mut [BTreeSet<usize>], between: std::ops::Range<usize>, wished: [usize; 2]) -> usize {
    let Some(rows) = taken.get_mut(between) else { return wished[0] };
    let is_free = |column: &usize| rows.iter().all(|row| !row.contains(column));
    let column = wished.into_iter().chain(0..).find(is_free).unwrap_or_default();
    for row in rows {
        row.insert(column);
    }
    column
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layers(after: &[&[usize]]) -> Layers {
        Layers::of(&after.iter().map(|needed| needed.to_vec()).collect::<Vec<_>>())
    }

    #[test]
    fn branches_part_and_meet_again() {
        // A head goes away while the skin is fleshed and washed; both are needed to mount.
        let turkey = layers(&[&[], &[0], &[0], &[2], &[1, 3]]);
        assert_eq!(turkey.steps, [(0, 0), (1, 1), (1, 0), (2, 0), (3, 0)]);
        assert_eq!(turkey.rows.iter().map(BTreeSet::len).collect::<Vec<_>>(), [1, 2, 2, 1]);
        assert!(turkey.strings.contains(&(1, 4, 1)), "the head's string passes the washing on its own side");
        assert_eq!(turkey.widest(), 2);
        assert_eq!((turkey.slot(0, 0), turkey.slot(2, 1)), ((0, 1), (1, 2)));
    }

    #[test]
    fn a_plain_list_is_one_string() {
        let skull = layers(&[&[], &[0], &[1]]);
        assert_eq!((skull.widest(), skull.rows.len(), skull.strings.len()), (1, 3, 2));
        assert_eq!(layers(&[]), Layers { steps: vec![], strings: vec![], rows: vec![] });
    }

    #[test]
    fn two_beginnings_stand_side_by_side() {
        assert_eq!(layers(&[&[], &[], &[0, 1]]).steps, [(0, 0), (0, 1), (1, 0)]);
    }
}
