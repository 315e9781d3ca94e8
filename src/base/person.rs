//! A person's name: what of it may be shown, and whether a text gives the rest of it away.
//!
//! Owners type what they like where a name belongs: the last name first, a phone number behind it, two
//! people at once. Whatever it is, a page shows a first name and an initial, or nothing.

/// Words before a name that are no part of it.
const TITLES: [&str; 17] = [
    "mr", "mrs", "ms", "miss", "mx", "dr", "prof", "rev", "revd", "reverend", "sgt", "cpl", "pvt", "lt",
    "capt", "maj", "sir",
];

/// Words behind a name that are no part of it.
const SUFFIXES: [&str; 9] = ["jr", "sr", "ii", "iii", "iv", "esq", "phd", "md", "dvm"];

/// Words between the parts of a last name.
const PARTICLES: [&str; 12] = ["van", "von", "der", "den", "de", "del", "da", "di", "la", "le", "du", "of"];

/// What parts a last name from the first name behind it.
const COMMAS: [char; 4] = [',', ';', '\u{ff0c}', '\u{60c}'];

/// A name as it was understood: words of the first name, then words of the last.
#[derive(Debug, Default)]
struct Name<'a> {
    given: Option<&'a str>,
    last: Option<&'a str>,
}

/// A person's name as the page shows it: first name and the initial of the last, `Ada F.`; `Fenn, Ada` is
/// understood. A single word stays as it is unless it can only be a last name. What follows a digit, a
/// bracket or an `@` is left out; empty when nothing sound is left.
pub fn first_name_and_initial(name: &str) -> String {
    let name = understood(name);
    let initial = name.last.and_then(|last| last.chars().find(|c| c.is_alphanumeric()));
    match (name.given, initial) {
        (Some(given), Some(initial)) => format!("{given} {}.", initial.to_uppercase()),
        (Some(given), None) => given.to_owned(),
        (None, _) => String::new(),
    }
}

/// The initial of a last name as pages show it (`Ada F.` gives `F.`), of a lone word its first letter; empty where
/// nothing is shown.
pub fn initial(shown_name: &str) -> String {
    let last = shown_name.split_whitespace().last().and_then(|word| word.chars().next());
    last.map(|letter| format!("{}.", letter.to_uppercase())).unwrap_or_default()
}

/// The last name, if one can be made out.
pub fn last_name(name: &str) -> Option<&str> {
    understood(name).last
}

/// The word under which a name is filed: its last name, also where two people share one; of a lone word that word.
pub fn surname(name: &str) -> &str {
    last_name(name).unwrap_or_else(|| {
        let part = name.split(COMMAS).map(str::trim).find(|part| !part.is_empty()).unwrap_or_default();
        let words: Vec<&str> = part.split_whitespace().collect();
        match words.as_slice() {
            [.., before, last] if SUFFIXES.contains(&bare(last).as_str()) => before,
            [.., last] => last,
            [] => "",
        }
    })
}

/// Whether a name is plainly a first and a last name, so that nobody wonders what will be shown of it.
pub fn is_plain_name(name: &str) -> bool {
    let odd = |c: char| COMMAS.contains(&c) || ends_the_name(c) || c.is_numeric();
    let name_parts = understood(name);
    !name.contains(odd) && name_parts.given.is_some() && name_parts.last.is_some()
}

/// Whether a text that everybody reads gives away more of a person's name than the page shows: its last name,
/// or any word of it that `label`, the owner's own name for the piece, has as well.
pub fn gives_away(text: &str, name: &str, label: &str) -> bool {
    let shown = understood(name);
    let first = shown.last.and(shown.given).map(str::to_lowercase);
    let labelled = |word: &str| folded(label).iter().any(|of_label| of_label == word);
    let mut secret = Vec::new();
    for word in folded(name) {
        let idle = [&TITLES[..], &SUFFIXES, &PARTICLES].iter().any(|list| list.contains(&word.as_str()));
        let is_first = first.as_ref().is_some_and(|first| folded(first).contains(&word));
        if word.chars().count() > 1 && !idle && (!is_first || labelled(&word)) {
            secret.push(word);
        }
    }
    let words = folded(text);
    secret.iter().any(|secret| words.iter().any(|word| holds(word, secret)))
}

/// Whether a word is a name or has one in it: `fenn`, `fenns`, `fennbird`. A short one only stands alone.
fn holds(word: &str, name: &str) -> bool {
    let apart = word.strip_suffix('s').unwrap_or(word) == name || word == name;
    apart || name.chars().count() > 3 && word.contains(name)
}

/// The words of a text in small letters, each as it is and, where it has an accent, without the letters that
/// have one: some computers write such a letter as one sign, others as two.
fn folded(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    let accent = |c: char| ('\u{300}'..='\u{36f}').contains(&c);
    let mut bare = String::new();
    for c in lower.chars() {
        if accent(c) {
            bare.pop();
        } else if c.is_ascii() || !c.is_alphanumeric() {
            bare.push(c);
        }
    }
    let whole = lower.replace(accent, "");
    let parts = |text: &str| -> Vec<String> {
        text.replace(['\'', '\u{2019}'], "")
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let mut words = parts(&whole);
    words.extend(parts(&bare).into_iter().filter(|word| word.len() > 2));
    words
}

fn understood(name: &str) -> Name<'_> {
    let parts: Vec<Vec<&str>> = name.split(COMMAS).map(words).collect();
    let mut sound = parts.iter().filter(|part| !part.is_empty());
    let (Some(first), second) = (sound.next(), sound.next()) else { return Name::default() };
    let turned = parts.first().is_some_and(|part| !part.is_empty());
    match second {
        Some(given) if turned => Name { given: given.first().copied(), last: first.last().copied() },
        _ => match first.as_slice() {
            [given, .., last] => Name { given: Some(given), last: Some(last) },
            // Before a comma or behind a title stands a last name.
            [word] if parts.len() > 1 || is_titled(name) => Name { given: None, last: Some(word) },
            [word] => Name { given: Some(word), last: None },
            [] => Name::default(),
        },
    }
}

/// The words of one part of a name, as far as they can be a name, titles and suffixes left out.
fn words(part: &str) -> Vec<&str> {
    let mut words = Vec::new();
    for word in part.split_whitespace() {
        if word.contains(is_at) || word.contains(char::is_numeric) || is_dotted(word) || word == "and" {
            break;
        }
        // `Ada/Bo` is two people, `c/o` is none.
        let cut = word.split(ends_the_name).next().unwrap_or_default();
        let plain = cut.trim_matches(|c: char| !c.is_alphabetic() && c != '.').trim_start_matches('.');
        if plain.contains(char::is_alphabetic) && (cut == word || plain.chars().count() > 1) {
            words.push(plain);
        }
        if cut != word {
            break;
        }
    }
    let is_one_of = |list: &[&str], word: &str| list.contains(&bare(word).as_str());
    while words.first().is_some_and(|word| is_one_of(&TITLES, word)) {
        words.remove(0);
    }
    while words.last().is_some_and(|word| is_one_of(&SUFFIXES, word)) {
        words.pop();
    }
    words
}

fn is_titled(name: &str) -> bool {
    name.split_whitespace().next().is_some_and(|word| TITLES.contains(&bare(word).as_str()))
}

fn bare(word: &str) -> String {
    word.replace('.', "").to_lowercase()
}

fn is_at(c: char) -> bool {
    c == '@' || c == '\u{ff20}'
}

/// What stands behind the name of one person: a remark, another person, a number.
fn ends_the_name(c: char) -> bool {
    "([{</\\|&+:=".contains(c) || is_at(c)
}

/// Letters on both sides of a dot, as in `ada.fenn` or `studio.example`, but not `J.R.`.
fn is_dotted(word: &str) -> bool {
    let parts: Vec<&str> = word.trim_end_matches('.').split('.').collect();
    parts.len() > 1 && parts.iter().any(|part| part.chars().count() > 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_first_name_and_an_initial_are_shown() {
        for (name, shown) in [
            ("Ada Fenn", "Ada F."),
            ("Ada Maria van der Fenn", "Ada F."),
            ("Ada", "Ada"),
            ("  ", ""),
            ("Ada 'Quill", "Ada Q."),
            ("Åse Øst", "Åse Ø."),
            ("Ada -", "Ada"),
            ("Ada Fenn-Quill", "Ada F."),
            ("J.R. Fenn", "J.R. F."),
            ("\"Birdy\" Fenn", "Birdy F."),
        ] {
            assert_eq!(first_name_and_initial(name), shown, "{name}");
        }
    }

    #[test]
    fn the_last_name_may_come_first() {
        for (name, shown) in [
            ("Fenn, Ada", "Ada F."),
            ("FENN,Ada Maria", "Ada F."),
            ("van der Fenn, Ada", "Ada F."),
            ("Fenn, Jr., Ada", "Ada F."),
            ("Fenn, Mrs. Ada", "Ada F."),
            ("Ada Fenn, Jr.", "Ada F."),
            ("Fenn; Ada", "Ada F."),
            ("Fenn/Quill, Ada", "Ada F."),
            ("Fenn,", ""),
            (", Ada", ""),
            ("Fenn, 555-0117", ""),
            ("Ada Fenn, 555-0117", "Ada F."),
        ] {
            assert_eq!(first_name_and_initial(name), shown, "{name}");
        }
    }

    #[test]
    fn titles_suffixes_and_other_people_are_left_out() {
        for (name, shown) in [
            ("Mr Bo Quill", "Bo Q."),
            ("Rev. Dr. Bo Quill", "Bo Q."),
            ("Miss Ada Fenn", "Ada F."),
            ("SGT. Bo Quill III", "Bo Q."),
            ("Bo Quill Jr.", "Bo Q."),
            ("Bo Quill PhD", "Bo Q."),
            ("Mr Quill", ""),
            ("Mr. and Mrs. Quill", ""),
            ("Dr", ""),
            ("Ada and Bo Fenn", "Ada"),
            ("Ada & Bo Fenn", "Ada"),
            ("Ada+Bo Fenn", "Ada"),
            ("Ada/Bo Fenn", "Ada"),
            ("Ada Fenn c/o Bo Quill", "Ada F."),
            ("Ada Fenn (the tall one)", "Ada F."),
            ("Anderson Fenn", "Anderson F."),
        ] {
            assert_eq!(first_name_and_initial(name), shown, "{name}");
        }
    }

    #[test]
    fn a_name_is_filed_under_its_last_name_and_not_under_what_stands_behind_it() {
        for suffix in ["Jr.", "Jr", "jr.", "Sr.", "Sr", "II", "III", "IV", "MD", "M.D."] {
            for name in ["Ada Fenn", "Ada Maria van der Fenn", "Dr. Ada Fenn"] {
                assert_eq!(surname(&format!("{name} {suffix}")), "Fenn", "{name} {suffix}");
                assert_eq!(surname(&format!("{name}, {suffix}")), "Fenn", "{name}, {suffix}");
            }
            assert_eq!(surname(&format!("Fenn, Ada {suffix}")), "Fenn");
            assert_eq!(surname(&format!("Fenn {suffix}, Ada")), "Fenn");
            assert_eq!(surname(&format!("Fenn, {suffix}, Ada")), "Fenn");
            assert_eq!(surname(&format!("Ada {suffix}")), "Ada");
            assert_eq!(surname(suffix), suffix, "nothing else is left of it");
        }
        // What only looks like one stays.
        for (name, filed) in [
            ("Vi", "Vi"),
            ("Vi Fenn", "Fenn"),
            ("Ada Vi", "Vi"),
            ("Ada Senior", "Senior"),
            ("Senior", "Senior"),
            ("Ada Junior", "Junior"),
            ("Ada V", "V"),
            ("Ada Ivy", "Ivy"),
            ("Ada Fenn", "Fenn"),
            ("Fenn, Ada", "Fenn"),
            ("Ada & Bo Fenn", "Fenn"),
            ("Ada and Bo Fenn Jr.", "Fenn"),
            ("Mr Quill", "Quill"),
            ("Ada", "Ada"),
            ("  ", ""),
        ] {
            assert_eq!(surname(name), filed, "{name}");
        }
    }

    #[test]
    fn no_phone_and_no_address_is_a_name() {
        for (name, shown) in [
            ("555-0117", ""),
            ("+1 555 0117", ""),
            ("(555) 0117", ""),
            ("ada.fenn@mail.example", ""),
            ("ada.fenn+birds@mail.example", ""),
            ("ada.fenn at mail.example", ""),
            ("<ada@mail.example>", ""),
            ("mailto:ada@mail.example", ""),
            ("ada＠mail.example", ""),
            ("٥٥٥", ""),
            ("Ada Fenn 555-0117", "Ada F."),
            ("Ada Fenn ada@mail.example", "Ada F."),
            ("Ada 555-0117", "Ada"),
            ("Ada2 Fenn", ""),
        ] {
            assert_eq!(first_name_and_initial(name), shown, "{name}");
        }
    }

    #[test]
    fn odd_names_are_known_for_it() {
        for plain in
            ["Ada Fenn", "Dr. Ada Fenn Jr.", "Ada Maria van der Fenn-Quill", "Åse Øst", "J.R. O'Fenn"]
        {
            assert!(is_plain_name(plain), "{plain}");
        }
        for odd in
            ["Fenn, Ada", "Ada", "Ada 2", "Ada Fenn 2", "a@b.example", "Ada/Bo Fenn", "Mr Fenn", "", "-"]
        {
            assert!(!is_plain_name(odd), "{odd}");
        }
    }

    #[test]
    fn last_names_are_found_in_what_everybody_reads() {
        let label = "Fenn gobbler";
        for text in ["fenn eyes", "Fenn's bird", "Fenns bird", "adafenn front", "front FENN", "eyes_fenn"] {
            assert!(gives_away(text, "Ada Fenn", label), "{text}");
            assert!(gives_away(text, "Fenn, Ada", label), "{text}");
        }
        for text in ["eyes set", "Ada looks at it", "gobbler front", "fen", ""] {
            assert!(!gives_away(text, "Ada Fenn", label), "{text}");
        }
        assert!(gives_away("Ada and her bird", "Ada Fenn", "Ada gobbler"));
        assert!(gives_away("Quill side", "Ada Fenn-Quill", ""));
        assert!(gives_away("the Quills", "Ada & Bo Quill", ""));
        assert!(gives_away("ott hen", "Cy Ott", "") && !gives_away("bottom", "Cy Ott", ""));
        assert!(gives_away("OFenn side", "Ada O'Fenn", "") && gives_away("o\u{2019}fenn", "Ada O'Fenn", ""));
        assert!(!gives_away("of the der Wing", "Ada van der Fenn Jr.", ""));
        assert!(gives_away("Fenn", "Fenn", ""));
        // The same letters, put together and taken apart: Unicode 15, chapter 3.11, canonical equivalence.
        assert!(gives_away("Mu\u{308}ller bird", "Ada M\u{fc}ller", ""));
        assert!(gives_away("M\u{fc}ller bird", "Ada Mu\u{308}ller", ""));
        assert!(gives_away("Øst fugl", "Åse Øst", ""));
    }
}
