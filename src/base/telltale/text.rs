//! A text made ready for looking: its words in plain small letters, its runs of digits, its email addresses. The same letters
//! however they are written: capitals, accents as one sign or two, full width, signs that nobody sees.

use super::numbers::{self, Number};

/// A text to be looked through, made once and looked through for many values.
#[derive(Clone, Debug, Default)]
pub struct Text {
    pub(super) words: Vec<Word>,
    pub(super) numbers: Vec<Number>,
    /// Without any gap.
    pub(super) flat: String,
    chunks: Vec<String>,
}

/// A word of a text.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(super) struct Word {
    pub folded: String,
    /// Whether it was written with a capital letter first.
    pub capital: bool,
}

impl Text {
    pub fn of(text: &str) -> Text {
        let plain = plain(text);
        let folded = plain.to_lowercase();
        Text {
            words: words(&plain),
            numbers: numbers::all(&folded),
            flat: folded.chars().filter(|c| !c.is_whitespace()).collect(),
            chunks: folded
                .split_whitespace()
                .filter(|chunk| chunk.contains('@'))
                .map(str::to_owned)
                .collect(),
        }
    }

    /// What has the shape of an email address: RFC 5322's `local@domain` in its everyday form, with a dot in the domain.
    pub(super) fn emails(&self) -> Vec<String> {
        self.chunks.iter().flat_map(|chunk| emails_in(chunk)).collect()
    }
}

fn emails_in(chunk: &str) -> Vec<String> {
    let at_signs = chunk.match_indices('@').map(|(at, _)| at);
    let found = at_signs.filter_map(|at| {
        let local = |c: char| c.is_alphanumeric() || "._%+-".contains(c);
        let before = chunk.get(..at)?;
        let begin = before.char_indices().rev().take_while(|(_, c)| local(*c)).last()?.0;
        let domain: String =
            chunk.get(at + 1..)?.chars().take_while(|c| c.is_alphanumeric() || ".-".contains(*c)).collect();
        let domain = domain.trim_matches(['.', '-']);
        let (name, top) = domain.rsplit_once('.')?;
        let sound = !name.is_empty() && top.chars().count() >= 2 && top.chars().all(char::is_alphabetic);
        sound.then(|| format!("{}@{domain}", before.get(begin..).unwrap_or_default()))
    });
    found.collect()
}

/// The words of a text in plain small letters.
pub(super) fn folded_words(text: &str) -> Vec<String> {
    words(&plain(text)).into_iter().map(|word| word.folded).collect()
}

/// A text in plain small letters without any gap.
pub(super) fn without_gaps(text: &str) -> String {
    plain(text).to_lowercase().chars().filter(|c| !c.is_whitespace()).collect()
}

fn words(plain: &str) -> Vec<Word> {
    let parts = plain.split(|c: char| !c.is_alphanumeric() && c != '\'').map(|part| part.trim_matches('\''));
    let whole = parts.map(|part| part.strip_suffix("'s").or(part.strip_suffix("'S")).unwrap_or(part));
    whole
        .filter(|word| !word.is_empty())
        .map(|word| Word {
            folded: word.to_lowercase().replace('\'', ""),
            capital: word.chars().next().is_some_and(char::is_uppercase),
        })
        .collect()
}

/// The text with plain letters, digits and dashes, without what nobody sees and without Markdown's marks.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            // Joiners, soft hyphens, marks of direction, and the accents that stand apart.
            '\u{ad}'
            | '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{2069}'
            | '\u{feff}' => {}
            '\u{300}'..='\u{36f}' | '\u{fe00}'..='\u{fe0f}' => {}
            '*' | '`' | '\\' => {}
            '_' => out.push(' '),
            '\u{2019}' | '\u{2bc}' | '\u{ff07}' => out.push('\''),
            '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{fe58}' | '\u{fe63}' => out.push('-'),
            '\u{ff01}'..='\u{ff5e}' => out.extend(char::from_u32(u32::from(c) - 0xfee0)),
            '\u{660}'..='\u{669}' => out.extend(char::from_u32(u32::from(c) - 0x660 + 0x30)),
            '\u{6f0}'..='\u{6f9}' => out.extend(char::from_u32(u32::from(c) - 0x6f0 + 0x30)),
            c if c.is_whitespace() => out.push(' '),
            c => push_letter(c, &mut out),
        }
    }
    out
}

/// A Latin letter without its accent (Unicode 15, the canonical decompositions of Latin-1), any other as it is.
fn push_letter(c: char, out: &mut String) {
    let small = c.to_lowercase().next().unwrap_or(c);
    let base = match small {
        'à'..='å' => "a",
        'ç' => "c",
        'è'..='ë' => "e",
        'ì'..='ï' => "i",
        'ñ' => "n",
        'ò'..='ö' | 'ø' => "o",
        'ù'..='ü' => "u",
        'ý' | 'ÿ' => "y",
        'ß' => "ss",
        'æ' => "ae",
        'œ' => "oe",
        _ => return out.push(c),
    };
    match c.is_uppercase() {
        true => out.push_str(&base.to_uppercase()),
        false => out.push_str(base),
    }
}
