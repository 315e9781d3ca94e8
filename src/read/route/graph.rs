//! Steps that wait for each other, in an order in which each stands behind all that it needs.

use std::collections::BTreeSet;

/// An order of `0..after.len()` that respects `after` (for each, the places of those that it needs):
/// as written where that is possible. The error is a circle, each needing the next and the last the first.
pub(in crate::read) fn order(after: &[Vec<usize>]) -> Result<Vec<usize>, Vec<usize>> {
    let mut needed_by: Vec<Vec<usize>> = vec![Vec::new(); after.len()];
    let mut open: Vec<usize> = after.iter().map(Vec::len).collect();
    for (step, needs) in after.iter().enumerate() {
        for &need in needs {
            if let Some(users) = needed_by.get_mut(need) {
                users.push(step);
            }
        }
    }
    let mut ready: BTreeSet<usize> = (0..after.len()).filter(|step| after[*step].is_empty()).collect();
    let mut ordered = Vec::with_capacity(after.len());
    while let Some(step) = ready.pop_first() {
        ordered.push(step);
        for &user in &needed_by[step] {
            open[user] -= 1;
            if open[user] == 0 {
                ready.insert(user);
            }
        }
    }
    if ordered.len() == after.len() { Ok(ordered) } else { Err(circle(after, &open)) }
}

/// A circle among the steps that are still open: each of them needs another open one.
fn circle(after: &[Vec<usize>], open: &[usize]) -> Vec<usize> {
    let is_open = |step: &usize| open.get(*step).is_some_and(|n| *n > 0);
    let mut place = vec![None; after.len()];
    let mut path = Vec::new();
    let mut next = (0..after.len()).find(is_open);
    while let Some(step) = next {
        if let Some(start) = place[step] {
            return path.split_off(start);
        }
        place[step] = Some(path.len());
        path.push(step);
        next = after[step].iter().copied().find(is_open);
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_written_order_stays_where_it_can() {
        assert_eq!(order(&[vec![], vec![0], vec![0], vec![1, 2]]), Ok(vec![0, 1, 2, 3]));
        assert_eq!(order(&[vec![2], vec![], vec![1]]), Ok(vec![1, 2, 0]));
        assert_eq!(order(&[]), Ok(vec![]));
    }

    #[test]
    fn a_circle_is_named_without_what_only_leads_to_it() {
        assert_eq!(order(&[vec![], vec![3, 0], vec![1], vec![2]]), Err(vec![1, 3, 2]));
        assert_eq!(order(&[vec![1], vec![1]]), Err(vec![1]));
    }

    #[test]
    fn a_long_chain_takes_no_long_time() {
        let chain: Vec<Vec<usize>> =
            (0..100_000).map(|i| if i == 0 { vec![] } else { vec![i - 1] }).collect();
        assert_eq!(order(&chain).unwrap().len(), 100_000);
    }
}
