//! The owner's wish in the name of a photo's file: `hide …`, `… hide`, `show …`.
//!
//! Where a name leaves a doubt the photo is not shown: nobody is harmed by a photo that is missing. Dates and
//! captions are read from what is left of the name, by `photo_name`.

/// The owner's wish about a single photo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::read) enum Wish {
    Hide,
    Show,
    /// It begins with the letters of a word that hides, but goes on with more: `hidea5`.
    Unclear(&'static str),
    /// It ends in `hide`, which hides and is also what many photos are of: `tanned hide`. Whether `show` stands
    /// in front says which of the two is meant.
    EndsInHide {
        show: bool,
    },
}

/// The word that hides, and the trade's own for a skin.
pub(in crate::read) const SKIN: &str = "hide";
/// Words that keep a photo off the pages.
const HIDE: [&str; 6] = ["hide", "hidden", "not shown", "not_shown", "not-shown", "private"];

/// Takes the words of a wish off a name without its ending; the strictest of them counts.
pub(in crate::read) fn take(stem: &str) -> (Option<Wish>, &str) {
    let (mut wish, mut rest) = (None, stem.trim());
    while let Some((next, after)) = first(rest) {
        wish = stricter(wish, next);
        rest = after;
        if matches!(next, Wish::Unclear(_)) {
            break;
        }
    }
    while let Some((word, before)) = last(rest) {
        let bracketed = before.ends_with(['(', '[']);
        rest = before.trim_end_matches([' ', '_', '-', '.', '(', '[']);
        wish = match wish {
            None if word == SKIN && !bracketed => Some(Wish::EndsInHide { show: false }),
            Some(Wish::Show) if word == SKIN && !bracketed => Some(Wish::EndsInHide { show: true }),
            _ => Some(Wish::Hide),
        };
    }
    (wish, rest)
}

fn stricter(one: Option<Wish>, other: Wish) -> Option<Wish> {
    match (one, other) {
        (Some(wish), Wish::Show) => Some(wish),
        (Some(Wish::Hide), Wish::Unclear(_)) => Some(Wish::Hide),
        _ => Some(other),
    }
}

/// A wish at the beginning, perhaps behind a counter or a bracket, and what stands behind it.
fn first(stem: &str) -> Option<(Wish, &str)> {
    let from = stem.trim_start_matches(|c: char| !c.is_alphabetic());
    let words = HIDE.iter().map(|word| (*word, Wish::Hide)).chain([("show", Wish::Show)]);
    for (word, wish) in words {
        let Some((start, rest)) = from.split_at_checked(word.len()) else { continue };
        if !start.eq_ignore_ascii_case(word) {
            continue;
        }
        let goes_on = rest.starts_with(is_letter);
        match wish {
            Wish::Hide if goes_on => return Some((Wish::Unclear(word), stem)),
            Wish::Show if goes_on => {}
            _ => return Some((wish, rest.trim_start_matches([' ', '_', '-', '.', ')', ']']))),
        }
    }
    None
}

/// A word that hides at the end and what stands before it; a counter behind it, as copies have, does not matter.
fn last(stem: &str) -> Option<(&'static str, &str)> {
    let until = stem.trim_end_matches(|c: char| !c.is_alphabetic());
    HIDE.iter().find_map(|word| {
        let (before, end) = until.split_at_checked(until.len().checked_sub(word.len())?)?;
        let apart = !before.ends_with(is_letter);
        (end.eq_ignore_ascii_case(word) && apart).then_some((*word, before))
    })
}

/// A letter, or the accent of one.
fn is_letter(c: char) -> bool {
    c.is_alphabetic() || ('\u{300}'..='\u{36f}').contains(&c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_hide_are_understood_however_they_are_parted() {
        for (stem, rest) in [
            ("hide x", "x"),
            (" hide x", "x"),
            ("Hide_x", "x"),
            ("HIDE-x", "x"),
            ("hide.x", "x"),
            ("hide2", "2"),
            ("hide", ""),
            ("2 hide x", "x"),
            ("(hide) x", "x"),
            ("hidden x", "x"),
            ("not shown x", "x"),
            ("Not_Shown x", "x"),
            ("not-shown", ""),
            ("private x", "x"),
            ("x hidden", "x"),
            ("x_NOT_SHOWN", "x"),
            ("x (hide)", "x"),
            ("x [hide] (1)", "x"),
            ("x hide hide", "x"),
            ("x private hide", "x"),
            ("x not shown", "x"),
            ("hide hidden x private", "x"),
            ("show x hidden", "x"),
            ("hide show x", "x"),
            ("hide x hide", "x"),
        ] {
            assert_eq!(take(stem), (Some(Wish::Hide), rest), "{stem}");
        }
    }

    #[test]
    fn words_that_only_begin_so_are_unclear() {
        for (stem, word) in [
            ("hidea5", "hide"),
            ("Hideous", "hide"),
            ("hide\u{301} x", "hide"),
            ("privately", "private"),
            ("2 hidex", "hide"),
        ] {
            assert_eq!(take(stem), (Some(Wish::Unclear(word)), stem), "{stem}");
        }
    }

    #[test]
    fn a_hide_at_the_end_may_be_a_skin() {
        for (stem, show, rest) in [
            ("tanned hide", false, "tanned"),
            ("tanned_HIDE (2)", false, "tanned"),
            ("show tanned hide", true, "tanned"),
            ("hide", false, ""),
        ] {
            let wish = if rest.is_empty() { Wish::Hide } else { Wish::EndsInHide { show } };
            assert_eq!(take(stem), (Some(wish), rest), "{stem}");
        }
    }

    #[test]
    fn other_words_are_no_wish() {
        for stem in ["showroom", "héde x", "shown", "x showing", "rawhide", "a hide tanned", "", "🦃", "eyes"]
        {
            assert_eq!(take(stem), (None, stem), "{stem}");
        }
        for (stem, rest) in
            [("Show x", "x"), ("show_x", "x"), ("show", ""), ("show2", "2"), ("2 show x", "x")]
        {
            assert_eq!(take(stem), (Some(Wish::Show), rest), "{stem}");
        }
    }
}
