//! A TOML file as the owner wrote it: every key and value with its place, taken out one by one.
//!
//! A reader asks a [`Table`] for the keys it knows; what was not asked for is told as unknown with the
//! nearest right word. What a single value means is in `value` and `figures`, what is wrong goes to `sheet`.

use super::sheet::{Missing, Sheet, Stray};
use super::syntax;
use super::value::Value;
use crate::base::words::ticked;
use crate::problem::{Code, Problem, Severity, Source, Span};
use std::cell::{Cell, RefCell};
use toml::de::{DeTable, DeValue};

/// A table of the file: the whole file, or what stands under one heading.
pub(in crate::read) struct Table<'a> {
    pub sheet: &'a Sheet<'a>,
    table: &'a DeTable<'a>,
    /// The heading; none for the file itself.
    span: Option<Span>,
    /// What it describes, such as `a job`.
    thing: &'static str,
    asked: RefCell<Vec<&'static str>>,
    /// Whether its keys are the owner's own names, so that none is unknown.
    own_keys: Cell<bool>,
}

/// Reads `source` as TOML and gives it to `take`. Gives nothing if anything in it needs mending.
pub(in crate::read) fn read<T>(
    source: &Source,
    thing: &'static str,
    take: impl for<'t> FnOnce(&Table<'t>) -> Option<T>,
) -> (Option<T>, Vec<Problem>) {
    let (table, errors) = DeTable::parse_recoverable(&source.text);
    if !errors.is_empty() {
        // What was recovered of a damaged file would only raise problems that are none.
        return (None, syntax::problems(source, &errors));
    }
    let sheet = Sheet::new(source);
    let root = Table::of(&sheet, table.get_ref(), None, thing);
    let taken = take(&root);
    root.finish();
    sheet.judge(&root.asked.borrow());
    let problems = sheet.take_problems();
    let sound = problems.iter().all(|p| p.severity < Severity::Mend);
    (taken.filter(|_| sound), problems)
}

impl<'a> Table<'a> {
    /// A table inside another.
    pub(in crate::read) fn inside(
        sheet: &'a Sheet<'a>,
        table: &'a DeTable<'a>,
        span: Span,
        thing: &'static str,
    ) -> Self {
        Table::of(sheet, table, Some(span), thing)
    }

    fn of(sheet: &'a Sheet<'a>, table: &'a DeTable<'a>, span: Option<Span>, thing: &'static str) -> Self {
        Table { sheet, table, span, thing, asked: RefCell::default(), own_keys: Cell::new(false) }
    }

    /// The value of a key, if it is there.
    pub fn get(&self, key: &'static str) -> Option<Value<'a>> {
        let mut asked = self.asked.borrow_mut();
        if !asked.contains(&key) {
            asked.push(key);
        }
        let (name, value) = self.table.get_key_value(key)?;
        Some(Value::new(self.sheet, name.get_ref(), name.span(), value))
    }

    /// The value of a key that must be there; `example` is how one would write it.
    pub fn need(&self, key: &'static str, example: &str) -> Option<Value<'a>> {
        let value = self.get(key);
        if value.is_none() {
            self.missing(key, example);
        }
        value
    }

    /// Tells that a key is missing.
    pub fn missing(&self, key: &str, example: &str) {
        let message = format!("{} needs {}", self.thing, ticked(key));
        let problem = match &self.span {
            Some(span) => self.sheet.problem(Code::MissingKey, span, message),
            None => Problem::new(Code::MissingKey, message).at(self.sheet.source.whole()),
        };
        let problem = problem.hint(format!("add a line such as `{example}`"));
        self.sheet.missing(Missing { table: self.span(), key: key.to_owned(), problem });
    }

    /// Tells of a key that is none of `known`, with the nearest right one, or where it belongs.
    pub fn stray(&self, value: &Value<'_>, code: Code, message: String, known: impl FnOnce() -> Vec<String>) {
        // The list can be long, and what is only counted needs none.
        let known = if self.sheet.is_full() { Vec::new() } else { known() };
        let (word, span, free) = (value.key.to_owned(), value.key_span.clone(), known.clone());
        self.sheet.stray(Stray { code, message, word, span, table: self.span(), free, known });
    }

    /// Where the heading stands, or the beginning of the file.
    pub fn span(&self) -> Span {
        self.span.clone().unwrap_or(0..0)
    }

    /// The text of an optional key; empty text counts as absent.
    pub fn text(&self, key: &'static str) -> Option<String> {
        self.get(key).and_then(|value| value.text()).filter(|text| !text.is_empty())
    }

    /// The text of a key that must be there and not be empty.
    pub fn needed_text(&self, key: &'static str) -> Option<String> {
        let example = format!("{key} = \"…\"");
        let value = self.need(key, &example)?;
        let text = value.text()?;
        if text.is_empty() {
            value.bad(
                Code::MissingKey,
                format!("{} has nothing between its quotes", ticked(key)),
                "fill it in",
            );
            return None;
        }
        Some(text)
    }

    /// The table under `[key]`.
    pub fn table(&self, key: &'static str, thing: &'static str) -> Option<Table<'a>> {
        self.get(key)?.table(thing)
    }

    /// The tables under each `[[key]]`.
    pub fn tables(&self, key: &'static str, thing: &'static str) -> Vec<Table<'a>> {
        self.get(key).map(|value| value.tables(thing)).unwrap_or_default()
    }

    /// Every key and value, where all keys are the owner's own names.
    pub fn all(&self) -> Vec<Value<'a>> {
        self.own_keys.set(true);
        let values = self.table.iter();
        values.map(|(name, value)| Value::new(self.sheet, name.get_ref(), name.span(), value)).collect()
    }

    /// Tells of every key that was not asked for; whether there was none.
    pub fn finish(&self) -> bool {
        let asked = self.asked.borrow();
        if self.own_keys.get() {
            return true;
        }
        let mut tidy = true;
        for (name, _) in self.table.iter().filter(|(name, _)| !asked.iter().any(|key| key == name.get_ref()))
        {
            let message = format!("{} means nothing in {}", ticked(name.get_ref()), self.thing);
            // A key that is there already is not what was meant.
            let free = asked.iter().filter(|key| !self.table.contains_key(**key));
            let stray = Stray {
                code: Code::UnknownKey,
                message,
                word: name.get_ref().to_string(),
                span: name.span(),
                table: self.span(),
                free: free.map(|key| (*key).to_owned()).collect(),
                known: asked.iter().map(|key| (*key).to_owned()).collect(),
            };
            self.sheet.stray(stray);
            tidy = false;
        }
        tidy
    }
}

/// What kind of value this is, in the owner's words.
pub(in crate::read) fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "words in quotes",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "`true` or `false`",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a group of lines",
    }
}
