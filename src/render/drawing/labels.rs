//! Lines of a label that fit a width, as far as that can be known without knowing the typeface.

/// Breaks a text between words into lines of at most `wide` letters where it can; a longer word
/// has a line of its own.
pub fn wrapped(text: &str, wide: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    // A no-break space is part of a word.
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match lines.last_mut().filter(|line| letters(line) + 1 + letters(word) <= wide) {
            Some(line) => {
                line.push(' ');
                line.push_str(word);
            }
            None => lines.push(word.to_owned()),
        }
    }
    lines
}

/// How many letters a text has.
pub fn letters(text: &str) -> usize {
    text.chars().count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_between_words_alone() {
        assert_eq!(wrapped("Head back", 10), ["Head back"]);
        assert_eq!(wrapped("Skull cleaned well", 10), ["Skull", "cleaned", "well"]);
        assert_eq!(wrapped("done June\u{a0}2, 2026", 10), ["done", "June\u{a0}2,", "2026"]);
        assert_eq!(wrapped("Antlers set up", 11), ["Antlers set", "up"]);
        assert_eq!(wrapped("Unpronounceable thing", 8), ["Unpronounceable", "thing"]);
        assert_eq!(wrapped(" ", 8), [""; 0]);
    }
}
