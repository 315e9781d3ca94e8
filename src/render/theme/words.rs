//! `words.toml`: every word that a page shows, by its dotted key.
//!
//! A text may have gaps (`{amount}`). A text that depends on a count is a table with two forms: `one` for exactly one,
//! `other` for every other count. That is what English, German and most of their neighbors need. Unicode's CLDR has four more;
//! the crate that knows which language asks for which (`icu_plurals`) brings its tables and several packages of data and
//! decimals, for no shop so far. A theme that writes them is told that they are never said. How dates and amounts are put
//! together stands in `render::dates` and `render::amounts`.

use super::fill::fill;
use crate::base::words::ticked;
use crate::problem::{Code, Few, Location, Problem, Problems, Severity, Source, Span};
use std::collections::BTreeMap;
use toml::de::{DeTable, DeValue};

/// The two forms that are said.
const FORMS: [&str; 2] = ["one", "other"];
/// The rest of the plural categories of CLDR (Unicode Technical Standard 35, part 3, "Language Plural Rules").
const NEVER_SAID: [&str; 4] = ["zero", "two", "few", "many"];

/// The words of a theme.
#[derive(Debug)]
pub struct Words {
    source: Source,
    texts: BTreeMap<String, Word>,
    lists: BTreeMap<String, Vec<String>>,
    /// What is in the file and will not be heard.
    notes: Vec<Problem>,
}

#[derive(Debug)]
enum Word {
    Always(String),
    ByCount { one: Option<String>, other: String },
}

/// Why a word cannot be said.
#[derive(Debug, PartialEq, Eq)]
pub enum Unsayable {
    /// There is no such key.
    Missing { key: String, near: Option<String> },
    /// The text has a gap that was given nothing.
    Gap { key: String, name: String },
    /// The text depends on a count and none was given.
    NoCount { key: String },
}

impl std::fmt::Display for Unsayable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Unsayable::Missing { key, near: Some(near) } => {
                write!(f, "words.toml has no `{key}`; the nearest is `{near}`")
            }
            Unsayable::Missing { key, near: None } => write!(f, "words.toml has no `{key}`"),
            Unsayable::Gap { key, name } => {
                write!(f, "the word `{key}` has a gap `{{{name}}}` that is given nothing here")
            }
            Unsayable::NoCount { key } => {
                write!(f, "the word `{key}` depends on a count `n`, and none is given")
            }
        }
    }
}

impl Words {
    /// Reads `words.toml`; what is wrong with it is told with its place.
    pub fn read(source: Source) -> Result<Words, Problems> {
        let text = source.text.clone();
        let (table, errors) = DeTable::parse_recoverable(&text);
        let mut problems = Few::default();
        for e in &errors {
            problems.push_with(Code::Theme, Severity::Stop, || {
                let place = e.span().map_or_else(|| source.whole(), |span| source.place(&span));
                Problem::new(Code::Theme, e.message().trim().replace('\n', ", ")).at(place)
            });
        }
        let mut words = Words { source, texts: BTreeMap::new(), lists: BTreeMap::new(), notes: Vec::new() };
        words.take_table("", table.get_ref(), &mut problems);
        let problems = problems.into_problems();
        if problems.is_empty() { Ok(words) } else { Err(Problems::from_iter(problems)) }
    }

    /// Takes what these words lack from `others`: a shop's own file may be older than the program. Tells the keys.
    pub fn fill_up(&mut self, others: Words) -> Vec<String> {
        let mut lent = Vec::new();
        for (key, word) in others.texts {
            self.texts.entry(key.clone()).or_insert_with(|| {
                lent.push(key);
                word
            });
        }
        for (key, list) in others.lists {
            self.lists.entry(key.clone()).or_insert_with(|| {
                lent.push(key);
                list
            });
        }
        lent
    }

    fn take_table(&mut self, prefix: &str, table: &DeTable<'_>, problems: &mut Few) {
        for (key, value) in table {
            let name = key.get_ref();
            let full = if prefix.is_empty() { name.to_string() } else { format!("{prefix}.{name}") };
            match value.get_ref() {
                DeValue::String(text) => {
                    self.texts.insert(full, Word::Always(text.to_string()));
                }
                DeValue::Array(items) => {
                    let texts = items.iter().filter_map(|item| item.get_ref().as_str().map(str::to_owned));
                    self.lists.insert(full, texts.collect());
                }
                DeValue::Table(inner) => match by_count(inner) {
                    Some(word) => {
                        self.note_unsaid(&full, inner);
                        self.texts.insert(full, word);
                    }
                    None => self.take_table(&full, inner, problems),
                },
                _ => problems.push_with(Code::Theme, Severity::Stop, || {
                    self.wrong(value.span(), format!("{} must be a text in quotes", ticked(&full)))
                }),
            }
        }
    }

    /// Tells of the forms of a text that no count takes.
    fn note_unsaid(&mut self, key: &str, table: &DeTable<'_>) {
        let unsaid = table.iter().filter(|(form, _)| NEVER_SAID.contains(&form.get_ref().as_ref()));
        for (form, _) in unsaid {
            let message =
                format!("{} has a form {}, which is never said", ticked(key), ticked(form.get_ref()));
            let hint = "there are two forms: a count of 1 takes `one`, every other count takes `other`; word `other` so that it \
                        fits them all";
            self.notes.push(self.wrong(form.span(), message).with_severity(Severity::Note).hint(hint));
        }
    }

    /// What is in the file and will not be heard.
    pub fn take_notes(&mut self) -> Vec<Problem> {
        std::mem::take(&mut self.notes)
    }

    fn wrong(&self, span: Span, message: String) -> Problem {
        Problem::new(Code::Theme, message).at(self.source.place(&span))
    }

    /// A problem of the file as a whole.
    pub fn problem(&self, message: String) -> Problems {
        Problems::from_iter([Problem::new(Code::Theme, message).at(Location::file(self.source.file.clone()))])
    }

    pub fn has(&self, key: &str) -> bool {
        self.texts.contains_key(key)
    }

    /// The nearest key to a misspelt one.
    pub fn near(&self, key: &str) -> Option<String> {
        crate::problem::nearest(key, self.texts.keys().map(String::as_str)).map(str::to_owned)
    }

    /// The text of `key`, with its gaps filled and in the form that `n` asks for.
    pub fn say(
        &self,
        key: &str,
        n: Option<i64>,
        value: &dyn Fn(&str) -> Option<String>,
    ) -> Result<String, Unsayable> {
        let key_owned = || key.to_owned();
        let pattern = match self.texts.get(key) {
            None => return Err(Unsayable::Missing { key: key_owned(), near: self.near(key) }),
            Some(Word::Always(text)) => text,
            Some(Word::ByCount { one, other }) => {
                let n = n.ok_or_else(|| Unsayable::NoCount { key: key_owned() })?;
                one.as_ref().filter(|_| n == 1).unwrap_or(other)
            }
        };
        fill(pattern, value).map_err(|name| Unsayable::Gap { key: key_owned(), name })
    }

    /// A text without gaps that must be there; a missing one is a problem of the file.
    pub fn plain(&self, key: &str) -> Result<String, Problems> {
        match self.texts.get(key) {
            Some(Word::Always(text)) => Ok(text.clone()),
            _ => Err(self.problem(format!("words.toml has no `{key}`"))),
        }
    }

    /// A list of exactly `long` texts.
    pub fn texts(&self, key: &str, long: usize) -> Result<Vec<String>, Problems> {
        match self.lists.get(key) {
            Some(list) if list.len() == long => Ok(list.clone()),
            _ => Err(self.problem(format!("words.toml needs `{key}`, a list of {long} texts"))),
        }
    }

    /// Every key that can be said.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.texts.keys().map(String::as_str)
    }
}

/// The word of a table whose keys are plural categories.
fn by_count(table: &DeTable<'_>) -> Option<Word> {
    let is_category = |key: &str| FORMS.contains(&key) || NEVER_SAID.contains(&key);
    let all_categories = table.iter().all(|(k, _)| is_category(k.get_ref()));
    let text = |name: &str| {
        let found = table.iter().find(|(k, _)| k.get_ref() == name)?;
        found.1.get_ref().as_str().map(str::to_owned)
    };
    let other = text("other").filter(|_| all_categories)?;
    Some(Word::ByCount { one: text("one"), other })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Words {
        Words::read(Source::new("words.toml", text)).unwrap()
    }

    #[test]
    fn counts_choose_the_form_and_gaps_are_filled() {
        let words =
            words("[bench]\npieces = { one = \"{n} piece\", other = \"{n} pieces\" }\nhi = \"Hi {name}\"\n");
        let say = |key: &str, n: i64| words.say(key, Some(n), &|name| (name == "n").then(|| n.to_string()));
        assert_eq!(say("bench.pieces", 1).unwrap(), "1 piece");
        assert_eq!(say("bench.pieces", 0).unwrap(), "0 pieces");
        assert_eq!(
            words.say("bench.hi", None, &|_| None),
            Err(Unsayable::Gap { key: "bench.hi".into(), name: "name".into() })
        );
        assert_eq!(
            words.say("bench.pieces", None, &|_| None),
            Err(Unsayable::NoCount { key: "bench.pieces".into() })
        );
    }

    #[test]
    fn forms_that_no_count_takes_are_told_with_what_is_possible() {
        let text =
            "[bench]\npieces = { one = \"{n} sztuka\", few = \"{n} sztuki\", other = \"{n} sztuk\" }\n";
        let mut words = words(text);
        let notes = words.take_notes();
        assert_eq!(notes.len(), 1, "{notes:?}");
        assert_eq!(notes[0].message, "`bench.pieces` has a form `few`, which is never said");
        assert!(notes[0].hint.as_deref().unwrap().contains("`one`, every other count takes `other`"));
        assert_eq!(notes[0].place.as_ref().unwrap().short(), "words.toml:2:32");
        let said = words.say("bench.pieces", Some(3), &|_| Some("3".to_owned()));
        assert_eq!(said.unwrap(), "3 sztuk");
    }

    #[test]
    fn a_missing_key_names_the_nearest() {
        let words = words("[money]\ndue = \"Due\"\n");
        let missing = words.say("money.deu", None, &|_| None).unwrap_err();
        assert_eq!(missing.to_string(), "words.toml has no `money.deu`; the nearest is `money.due`");
    }

    #[test]
    fn broken_files_are_told_with_their_place() {
        let problems = Words::read(Source::new("words.toml", "a = \"x\"\nb = 3\nc = \n")).unwrap_err();
        let lines: Vec<_> = problems.iter().map(|p| p.place.as_ref().unwrap().short()).collect();
        assert!(lines.iter().any(|l| l.starts_with("words.toml:2:")), "{lines:?}");
        assert!(lines.iter().any(|l| l.starts_with("words.toml:3:")), "{lines:?}");
    }
}
