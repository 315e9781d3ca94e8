//! Counting, plurals and lists for messages in a terminal.
//!
//! The words of the pages are the theme's (`words.toml`), not these.

use std::borrow::Cow;

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

/// A name in ticks, as messages quote what the owner wrote; of a long one the beginning.
pub fn ticked(name: &str) -> String {
    format!("`{}`", short(name, LONGEST_NAME))
}

/// A text as it can be typed in a shell.
pub fn quoted(text: &str) -> String {
    let plain = text.chars().all(|c| c.is_alphanumeric() || "/._-".contains(c));
    // Single quotes, in which a shell reads nothing; a quote itself is put outside of them (POSIX, 2.2.2).
    if plain { text.to_owned() } else { format!("'{}'", text.replace('\'', "'\\''")) }
}

/// No name that a person gives is longer, in letters.
const LONGEST_NAME: usize = 120;

/// A text in at most so many letters, with a mark where something was cut off.
pub fn short(text: &str, most: usize) -> Cow<'_, str> {
    // Bytes are never fewer than letters, so most texts need no counting.
    if text.len() <= most || text.char_indices().nth(most).is_none() {
        return Cow::Borrowed(text);
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    Cow::Owned(format!("{}…", kept.trim_end()))
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

    #[test]
    fn long_values_are_cut_with_a_mark() {
        assert_eq!(short("gobbler", 7), "gobbler");
        assert_eq!(short("gobbler hen", 9), "gobbler…");
        assert_eq!(short("ééé", 2), "é…");
        assert_eq!(ticked(&"a".repeat(1 << 20)).chars().count(), LONGEST_NAME + 2);
    }
}
