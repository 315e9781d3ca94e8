//! Counting, plurals and lists for messages in a terminal.
//!
//! The words of the pages are the theme's (`words.toml`), not these.

/// `1 page`, `3 pages`, `no pages`; the plural adds an s unless given as `one|many`.
pub fn count(n: usize, noun: &str) -> String {
    let (one, many) = match noun.split_once('|') {
        Some((one, many)) => (one.to_owned(), many.to_owned()),
        None => (noun.to_owned(), format!("{noun}s")),
    };
    match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        _ => format!("{n} {many}"),
    }
}

/// `a`, `a and b`, `a, b and c`, with another word for `and` if wanted.
pub fn list(items: &[String], and: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} {and} {last}", head.join(", ")),
    }
}

/// A name in ticks, as messages quote what the owner wrote.
pub fn ticked(name: &str) -> String {
    format!("`{name}`")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_and_lists_read_well() {
        assert_eq!(count(0, "page"), "no pages");
        assert_eq!(count(1, "page"), "1 page");
        assert_eq!(count(2, "day to go|days to go"), "2 days to go");
        let items: Vec<String> = ["a", "b", "c"].map(String::from).to_vec();
        assert_eq!(list(&items, "or"), "a, b or c");
        assert_eq!(list(&items[..2], "and"), "a and b");
        assert_eq!(list(&[], "and"), "");
    }
}
