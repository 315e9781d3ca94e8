//! One value of the owner's, read as what its key asks for: words, names, lists, tables.
//!
//! Each reader tells what is wrong and then gives nothing. Dates, money and figures are in `figures`.

use super::sheet::Sheet;
use super::table::{Table, kind};
use crate::base::names::is_address_word;
use crate::base::words::ticked;
use crate::problem::{Code, Problem, Severity, Span};
use toml::Spanned;
use toml::de::DeValue;

/// A value with the key that it stands under.
#[derive(Clone)]
pub(in crate::read) struct Value<'a> {
    sheet: &'a Sheet<'a>,
    pub key: &'a str,
    pub key_span: Span,
    value: &'a Spanned<DeValue<'a>>,
    /// Whether it is one of several in a list under that key.
    in_list: bool,
}

impl<'a> Value<'a> {
    pub fn new(sheet: &'a Sheet<'a>, key: &'a str, key_span: Span, value: &'a Spanned<DeValue<'a>>) -> Self {
        Value { sheet, key, key_span, value, in_list: false }
    }

    pub fn span(&self) -> Span {
        self.value.span()
    }

    /// A problem at this value.
    pub fn problem(&self, code: Code, message: impl Into<String>) -> Problem {
        self.sheet.problem(code, &self.span(), message)
    }

    /// Tells of a problem at this value.
    pub fn bad(&self, code: Code, message: impl Into<String>, hint: impl Into<String>) {
        self.sheet.tell(self.problem(code, message).hint(hint));
    }

    /// The same of a problem that is here only so bad, whatever its kind is elsewhere.
    pub fn bad_as(&self, severity: Severity, code: Code, message: String, hint: impl Into<String>) {
        self.sheet.tell(self.problem(code, message).with_severity(severity).hint(hint));
    }

    /// Tells of a word that is none of `known`, with the nearest right one, else with `otherwise`.
    pub fn unknown<'k>(
        &self,
        code: Code,
        message: impl Into<String>,
        known: impl IntoIterator<Item = &'k str>,
        otherwise: Option<String>,
    ) {
        let problem = self.problem(code, message);
        // Looking for near words takes time, and what is only counted needs none.
        let problem =
            if self.sheet.is_full() { problem } else { problem.did_you_mean(self.written(), known) };
        let hint = problem.hint.clone().or(otherwise);
        self.sheet.tell(Problem { hint, ..problem });
    }

    /// What stands in the file, for messages and for numbers; words without their quotes.
    pub fn written(&self) -> &'a str {
        match self.value.get_ref() {
            DeValue::String(text) => text.trim(),
            _ => self.sheet.source.text.get(self.span()).unwrap_or_default().trim(),
        }
    }

    pub fn is_text(&self) -> bool {
        self.value.get_ref().is_str()
    }

    /// What stands there, for those who read it as something else.
    pub fn raw(&self) -> &'a DeValue<'a> {
        self.value.get_ref()
    }

    pub fn is_number(&self) -> bool {
        matches!(self.raw(), DeValue::Integer(_) | DeValue::Float(_))
    }

    pub fn is_list(&self) -> bool {
        self.value.get_ref().is_array()
    }

    pub fn is_table(&self) -> bool {
        self.value.get_ref().is_table()
    }

    /// Tells that this is another kind of value than the key asks for.
    pub fn wrong_kind(&self, wanted: &str, example: &str) {
        let (key, found) = (ticked(self.key), kind(self.value.get_ref()));
        let (message, hint) = match self.in_list {
            true => {
                (format!("each of {key} must be {wanted}, not {found}"), format!("write it like `{example}`"))
            }
            false => (
                format!("{key} must be {wanted}, not {found}"),
                format!("write it like `{} = {example}`", self.key),
            ),
        };
        self.bad(Code::WrongKind, message, hint);
    }

    /// Trimmed words.
    pub fn text(&self) -> Option<String> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(text.trim().to_owned()),
            _ => {
                self.wrong_kind("words in quotes", "\"…\"");
                None
            }
        }
    }

    /// `true` or `false`.
    pub fn flag(&self) -> Option<bool> {
        if let DeValue::Boolean(flag) = self.value.get_ref() {
            return Some(*flag);
        }
        self.wrong_kind("`true` or `false` without quotes", "true");
        None
    }

    /// A name that can stand in an address: `half-strut`.
    pub fn address_word(&self) -> Option<String> {
        let word = self.text()?;
        if is_address_word(&word) {
            return Some(word);
        }
        self.bad_word(&word, &self.span());
        None
    }

    /// The key itself, where keys are the owner's own names.
    pub fn key_word(&self) -> Option<String> {
        if is_address_word(self.key) {
            return Some(self.key.to_owned());
        }
        self.bad_word(self.key, &self.key_span);
        None
    }

    fn bad_word(&self, word: &str, span: &Span) {
        let message = format!("{} cannot be a name here", ticked(word));
        let plain = crate::base::names::address_word(word);
        let hint = if plain.is_empty() {
            "use small letters, digits and hyphens".to_owned()
        } else {
            format!("use small letters, digits and hyphens, such as `{plain}`")
        };
        self.sheet.tell(self.sheet.problem(Code::BadValue, span, message).hint(hint));
    }

    /// One of a few words, each with what it stands for.
    pub fn one_of<T: Copy>(&self, words: &[(&str, T)]) -> Option<T> {
        let text = self.text()?;
        if let Some((_, meaning)) = words.iter().find(|(word, _)| *word == text) {
            return Some(*meaning);
        }
        let message = format!("{} cannot be {}", ticked(self.key), ticked(&text));
        self.unknown(Code::BadValue, message, words.iter().map(|(word, _)| *word), None);
        None
    }

    /// The items of a list, each named by the list's key.
    pub fn items(&self) -> Vec<Value<'a>> {
        let items = self.value.get_ref().as_array().map(|list| list.iter()).unwrap_or_default();
        let of_list =
            |item| Value { in_list: true, ..Value::new(self.sheet, self.key, self.key_span.clone(), item) };
        items.map(of_list).collect()
    }

    /// A list of values that `one` reads; what it does not take is told and left out.
    pub fn list<T>(&self, example: &str, one: impl Fn(&Value<'a>) -> Option<T>) -> Vec<T> {
        if !self.is_list() {
            self.wrong_kind("a list in brackets", example);
            return Vec::new();
        }
        self.items().iter().filter_map(one).collect()
    }

    /// A list of texts; empty ones are left out.
    pub fn texts(&self, example: &str) -> Vec<String> {
        self.list(example, |item| item.text().filter(|text| !text.is_empty()))
    }

    /// A list of address words, each only once, with their places.
    pub fn address_words(&self, example: &str) -> Vec<(String, Span)> {
        let found = self.list(example, |item| Some((item.address_word()?, item.span())));
        let mut seen = std::collections::BTreeSet::new();
        let mut once = Vec::new();
        for (word, span) in found {
            if seen.insert(word.clone()) {
                once.push((word, span));
            } else {
                let message = format!("{} is in {} twice", ticked(&word), ticked(self.key));
                self.sheet
                    .tell(self.sheet.problem(Code::Twice, &span, message).hint("take one of the two out"));
            }
        }
        once
    }

    /// The table that this is.
    pub fn table(&self, thing: &'static str) -> Option<Table<'a>> {
        if let DeValue::Table(table) = self.value.get_ref() {
            return Some(Table::inside(self.sheet, table, self.span(), thing));
        }
        let (key, kind) = (self.key, kind(self.value.get_ref()));
        let tables = matches!(self.value.get_ref(), DeValue::Array(a) if a.iter().any(|item| item.get_ref().is_table()));
        let message = match tables {
            true => format!("{} can stand in the file only once", ticked(key)),
            false => format!("{} must be a heading of its own, not {kind}", ticked(key)),
        };
        self.bad(
            Code::WrongKind,
            message,
            format!("write `[{key}]` on a line of its own, and what belongs to it below"),
        );
        None
    }

    /// The tables that this list holds.
    pub fn tables(&self, thing: &'static str) -> Vec<Table<'a>> {
        let items = self.items();
        if self.is_list() && items.iter().all(Value::is_table) {
            return items.iter().filter_map(|item| item.table(thing)).collect();
        }
        let message = format!("{} must be a heading in double brackets", ticked(self.key));
        self.bad(
            Code::WrongKind,
            message,
            format!("write `[[{}]]` on a line of its own, once for each", self.key),
        );
        Vec::new()
    }
}
