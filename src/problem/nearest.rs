//! The nearest real word to a misspelt one.

use strsim::damerau_levenshtein;

/// No word of more letters was meant by a misspelt one, or can have been misspelt.
const LONGEST: usize = 80;

/// Words that people write for ours, too far from them to be found by their letters.
const MEANT: [(&str, &str); 3] = [("payed", "paid"), ("payment", "paid"), ("payments", "paid")];

/// The word of `known` that `word` most likely means, if one is near enough: at most a third of its
/// letters wrong, letters swapped with a neighbour counting once, upper and lower case alike.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A key as long as a letter is no misspelling of anything.
    if word.chars().count() > LONGEST {
        return None;
    }
    let fold = |s: &str| s.to_lowercase().replace([' ', '_'], "-");
    let wanted = fold(word);
    let known: Vec<&str> = known.into_iter().filter(|word| word.len() <= LONGEST * 4).collect();
    let meant = MEANT.iter().find(|(written, _)| *written == wanted).map(|(_, meant)| *meant);
    if let Some(word) = meant.and_then(|meant| known.iter().find(|word| **word == meant)) {
        return Some(word);
    }
    let scored =
        known.into_iter().map(|candidate| (damerau_levenshtein(&wanted, &fold(candidate)), candidate));
    let (distance, best) = scored.min_by_key(|(distance, _)| *distance)?;
    (distance * 3 <= wanted.chars().count().max(3)).then_some(best)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_words_are_found_and_far_ones_are_not() {
        let steps = ["skinned", "washed", "head-back", "mounted", "dried"];
        assert_eq!(nearest("skined", steps), Some("skinned"));
        assert_eq!(nearest("Head back", steps), Some("head-back"));
        assert_eq!(nearest("dreid", steps), Some("dried"));
        assert_eq!(nearest("painted-and-gone", steps), None);
        assert_eq!(nearest("x", []), None);
        assert_eq!(nearest("payed", ["piece", "paid"]), Some("paid"));
        assert_eq!(nearest("payed", ["piece"]), None);
    }
}
