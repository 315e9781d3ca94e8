//! How hard the built-in texts are to read.
//!
//! Flesch-Kincaid grade level: 0.39 × words per sentence + 11.8 × syllables per word − 15.59 (J. P. Kincaid,
//! R. P. Fishburne, R. L. Rogers, B. S. Chissom, "Derivation of New Readability Formulas for Navy Enlisted
//! Personnel", Research Branch Report 8-75, Naval Technical Training, 1975).

use std::collections::BTreeMap;

/// Whole sentences of the theme by the part that they stand in.
fn sentences() -> BTreeMap<String, Vec<String>> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/themes/hangtag/words.toml");
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (key, text) in super::texts(&std::fs::read_to_string(path).unwrap()) {
        let part = key.split('.').next().unwrap_or_default().to_owned();
        let each = text.split_inclusive(['.', '?', '!']).map(|s| filled(s.trim()));
        found
            .entry(part)
            .or_default()
            .extend(each.filter(|s| s.ends_with(['.', '?', '!']) && s.contains(' ')));
    }
    found
}

/// A gap counts as one word of two syllables, about what a day or a step is.
fn filled(text: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in text.chars() {
        match c {
            '{' => {
                inside = true;
                out.push_str("kettle");
            }
            '}' => inside = false,
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out
}

fn words(text: &str) -> Vec<String> {
    let parts = text.split(|c: char| !(c.is_alphabetic() || c == '\'' || c == '’'));
    parts.filter(|w| w.chars().any(char::is_alphabetic)).map(str::to_lowercase).collect()
}

/// Groups of vowels, without a silent e at the end; at least one.
fn syllables(word: &str) -> usize {
    let letters: Vec<char> = word.chars().filter(|c| c.is_ascii_alphabetic()).collect();
    let vowel = |c: &char| "aeiouy".contains(*c);
    let mut groups = 0;
    for (at, c) in letters.iter().enumerate() {
        if vowel(c) && (at == 0 || !vowel(&letters[at - 1])) {
            groups += 1;
        }
    }
    let text: String = letters.iter().collect();
    let silent = (text.ends_with('e') && !text.ends_with("le") && !text.ends_with("ee"))
        || (text.ends_with("ed") && !text.ends_with("ted") && !text.ends_with("ded"))
        || (text.ends_with("es")
            && !["ses", "ces", "xes", "zes", "shes", "ches", "ges"].iter().any(|e| text.ends_with(e)));
    if silent && groups > 1 { groups - 1 } else { groups.max(1) }
}

fn grade(sentences: &[String]) -> f64 {
    let words: Vec<String> = sentences.iter().flat_map(|s| words(s)).collect();
    let syllables: usize = words.iter().map(|w| syllables(w)).sum();
    let count = words.len().max(1) as f64;
    0.39 * count / sentences.len().max(1) as f64 + 11.8 * syllables as f64 / count - 15.59
}

#[test]
fn syllables_are_counted_as_they_are_spoken() {
    for (word, count) in [
        ("piece", 1),
        ("waited", 2),
        ("turned", 1),
        ("honest", 2),
        ("deposit", 3),
        ("table", 2),
        ("agency", 3),
        ("photos", 2),
        ("finished", 2),
        ("taxidermy", 4),
        ("fee", 1),
        ("months", 1),
    ] {
        assert_eq!(syllables(word), count, "{word}");
    }
    // One sentence of six words of one syllable each: 0.39 × 6 + 11.8 − 15.59.
    assert!((grade(&["The cat sat on the mat.".to_owned()]) + 1.45).abs() < 1e-9);
}

#[test]
fn the_built_in_texts_can_be_read_after_eight_years_of_school() {
    let parts = sentences();
    let all: Vec<String> = parts.values().flatten().cloned().collect();
    assert!(all.len() > 100, "{} sentences", all.len());
    let whole = grade(&all);
    println!("all texts: grade {whole:.1}, {} sentences", all.len());
    assert!(whole <= 8.0, "grade {whole:.1}");
    for (part, sentences) in parts.iter().filter(|(_, s)| s.len() >= 4) {
        let grade = grade(sentences);
        println!("[{part}]: grade {grade:.1}, {} sentences", sentences.len());
        assert!(grade <= 8.0, "[{part}] is grade {grade:.1}");
    }
}

/// Whole sentences of the pages that a new shop begins with.
fn starter(name: &str) -> Vec<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/command/open/starter/content/pages");
    let text = std::fs::read_to_string(format!("{folder}/{name}")).unwrap();
    let plain: String = text.lines().filter(|line| !line.starts_with('#')).collect::<Vec<_>>().join(" ");
    let each = plain.split_inclusive(['.', '?', '!']).map(|s| s.trim().to_owned());
    each.filter(|s| s.ends_with(['.', '?', '!']) && s.contains(' ')).collect()
}

#[test]
fn the_pages_of_a_new_shop_can_be_read_as_well() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/command/open/starter/content/pages");
    let files: Vec<String> = crate::builder::tree(std::path::Path::new(folder)).into_keys().collect();
    assert!(files.len() >= 3, "{files:?}");
    for name in files.iter().filter(|name| name.ends_with(".md")) {
        let sentences = starter(name);
        let grade = grade(&sentences);
        println!("{name}: grade {grade:.1}, {} sentences", sentences.len());
        assert!(grade <= 8.0 && !sentences.is_empty(), "{name} is grade {grade:.1}");
    }
}
