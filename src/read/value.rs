//! One value of the owner's, read as what its key asks for: words, a date, money, a figure, a list.
//!
//! Each reader tells what is wrong and gives nothing; which values are needed is the caller's.

use super::table::{Sheet, Table, kind};
use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::base::money::{Currency, Money, MoneyError, plain_decimal};
use crate::base::names::is_address_word;
use crate::base::words::{count, ticked};
use crate::model::{DepositRule, Likely};
use crate::problem::{Code, Problem, Span};
use rust_decimal::Decimal;
use toml::Spanned;
use toml::de::DeValue;

/// A value with the key that it stands under.
#[derive(Clone)]
pub(super) struct Value<'a> {
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

    /// A day.
    pub fn date(&self) -> Option<Day> {
        let hint = "write the year, month and day without quotes, such as `2026-05-02`";
        match self.value.get_ref() {
            DeValue::Datetime(moment) => {
                let Some(date) = moment.date.filter(|_| moment.time.is_none()) else {
                    let message = format!("{} must be a day, without a time", ticked(self.key));
                    let day = moment.date.map(|d| format!("write `{d}` alone"));
                    self.bad(Code::BadDate, message, day.unwrap_or_else(|| hint.to_owned()));
                    return None;
                };
                let day = Day::new(i32::from(date.year), u32::from(date.month), u32::from(date.day));
                if day.is_none() {
                    let message =
                        format!("{} lies too far from today to be right", ticked(&date.to_string()));
                    self.bad(Code::BadDate, message, "look at the year");
                }
                day
            }
            DeValue::String(text) if Day::parse(text.trim()).is_some() => {
                let message = format!("the date in {} stands in quotes", ticked(self.key));
                self.bad(Code::BadDate, message, format!("write `{}` without the quotes", text.trim()));
                None
            }
            DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_) => {
                self.bad(Code::BadDate, format!("{} is not a date", ticked(self.written())), hint);
                None
            }
            _ => {
                self.wrong_kind("a date", "2026-05-02");
                None
            }
        }
    }

    /// An amount of money, as written.
    pub fn money(&self, currency: Currency) -> Option<Money> {
        if !matches!(self.value.get_ref(), DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_)) {
            self.wrong_kind("an amount of money", "695");
            return None;
        }
        let written = self.written();
        let (what, hint) = match Money::parse(written, currency) {
            Ok(amount) => return Some(amount),
            Err(MoneyError::NotANumber) => {
                ("is not an amount of money", "write the number alone, such as `695` or `695.50`".to_owned())
            }
            Err(MoneyError::TooFine) => {
                let digits = count(currency.exponent() as usize, "digit");
                (
                    "is finer than the smallest coin",
                    format!("{} has {digits} after the point", currency.code()),
                )
            }
            Err(MoneyError::TooLarge) => ("is too large to be right", "look for a digit too many".to_owned()),
        };
        self.bad(Code::BadMoney, format!("{} {what}", ticked(written)), hint);
        None
    }

    /// An amount that is nothing or more.
    pub fn price(&self, currency: Currency) -> Option<Money> {
        self.money_where(currency, |amount| !amount.is_negative(), "less than nothing")
    }

    /// An amount that is more than nothing.
    pub fn sum(&self, currency: Currency) -> Option<Money> {
        self.money_where(currency, Money::is_positive, "nothing or less")
    }

    fn money_where(&self, currency: Currency, fits: fn(Money) -> bool, what: &str) -> Option<Money> {
        let amount = self.money(currency)?;
        if fits(amount) {
            return Some(amount);
        }
        let hint = match self.key {
            "amount" | "each" => {
                "money given back is written under `[[refund]]`, money taken off under `[[discount]]`"
            }
            _ => "write an amount without a minus",
        };
        self.bad(Code::BadMoney, format!("{} cannot be {what}", ticked(self.key)), hint);
        None
    }

    /// A deposit: `"50%"` or an amount.
    pub fn deposit(&self, currency: Currency) -> Option<DepositRule> {
        if self.is_text() && self.written().ends_with('%') {
            return self
                .percent_of(self.written().trim_end_matches('%').trim_end())
                .map(DepositRule::Percent);
        }
        self.price(currency).map(DepositRule::Flat)
    }

    /// A percentage, `6.25` or `"6.25"`, with or without the sign, from 0 to 100.
    pub fn percent(&self) -> Option<Decimal> {
        if !matches!(self.value.get_ref(), DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_)) {
            self.wrong_kind("a percentage", "6.25");
            return None;
        }
        let written = self.written();
        self.percent_of(written.strip_suffix('%').unwrap_or(written).trim_end())
    }

    fn percent_of(&self, digits: &str) -> Option<Decimal> {
        let percent = plain_decimal(digits).filter(|p| (Decimal::ZERO..=Decimal::ONE_HUNDRED).contains(p));
        if percent.is_none() {
            let message = format!("{} is not a percentage", ticked(self.written()));
            self.bad(Code::BadValue, message, "write a number from 0 to 100, such as `6.25`");
        }
        percent
    }

    /// A plain number that is more than nothing, such as a count or a measure.
    pub fn measure(&self) -> Option<Decimal> {
        if !self.is_number("4.25") {
            return None;
        }
        let most = Decimal::from(1_000_000);
        let number = plain_decimal(self.written()).filter(|n| *n > Decimal::ZERO && *n <= most);
        if number.is_none() {
            let message = format!("{} cannot be {}", ticked(self.key), ticked(self.written()));
            self.bad(Code::BadValue, message, "write a plain number above 0, such as `12` or `4.25`");
        }
        number
    }

    /// A whole number within bounds; `of` is what it counts.
    pub fn whole(&self, least: u32, most: u32) -> Option<u32> {
        if !self.is_number("14") {
            return None;
        }
        let number = plain_digits(self.written()).filter(|n| (least..=most).contains(n));
        if number.is_none() {
            let message = format!("{} cannot be {}", ticked(self.key), ticked(self.written()));
            self.bad(Code::BadValue, message, format!("write a whole number from {least} to {most}"));
        }
        number
    }

    /// Hands-on hours, at most `most`.
    pub fn hours(&self, most: u32) -> Option<Minutes> {
        if !self.is_number("1.5") {
            return None;
        }
        let hours = Minutes::from_hours(self.written()).filter(|m| m.0 <= most * 60);
        if hours.is_none() {
            let message = format!("{} cannot be {} hours", ticked(self.key), ticked(self.written()));
            self.bad(
                Code::BadValue,
                message,
                format!("write hours as a number from 0 to {most}, such as `1.5`"),
            );
        }
        hours
    }

    fn is_number(&self, example: &str) -> bool {
        let is = matches!(self.value.get_ref(), DeValue::Integer(_) | DeValue::Float(_));
        if !is {
            self.wrong_kind("a number without quotes", example);
        }
        is
    }

    /// Least, likely and most; a single number stands for all three.
    pub fn three<T: Copy + PartialOrd>(
        &self,
        example: &str,
        one: impl Fn(&Value<'a>) -> Option<T>,
    ) -> Option<Likely<T>> {
        if !self.is_list() && !matches!(self.value.get_ref(), DeValue::Integer(_) | DeValue::Float(_)) {
            self.wrong_kind("three numbers in brackets", example);
            return None;
        }
        if !self.is_list() {
            return one(self).map(|only| Likely { least: only, likely: only, most: only });
        }
        let items = self.items();
        let [least, likely, most] = items.as_slice() else {
            let message =
                format!("{} has {} instead of three", ticked(self.key), count(items.len(), "figure"));
            self.bad(Code::BadValue, message, format!("write least, likely and most, such as `{example}`"));
            return None;
        };
        // Each figure is read, so that each wrong one is told.
        let (least, likely, most) = (one(least), one(likely), one(most));
        let three = Likely { least: least?, likely: likely?, most: most? };
        if three.least <= three.likely && three.likely <= three.most {
            return Some(three);
        }
        let message = format!("the figures of {} do not rise", ticked(self.key));
        self.bad(Code::BadValue, message, format!("write least, likely and most, such as `{example}`"));
        None
    }

    /// Three figures of whole days.
    pub fn three_days(&self) -> Option<Likely<u32>> {
        self.three("[10, 21, 35]", |figure| figure.whole(0, 3650))
    }

    /// Three figures of hours.
    pub fn three_hours(&self) -> Option<Likely<Minutes>> {
        self.three("[0.75, 1, 2]", |figure| figure.hours(10_000))
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
                let message = format!("{} stands twice in {}", ticked(&word), ticked(self.key));
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

/// A whole number of plain digits.
fn plain_digits(text: &str) -> Option<u32> {
    text.bytes().all(|b| b.is_ascii_digit()).then(|| text.parse().ok()).flatten()
}
