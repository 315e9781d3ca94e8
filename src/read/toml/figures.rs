//! Values that are reckoned with: days, money, percentages, hours, counts, and figures in threes.
//!
//! Money and percentages are read from the owner's digits, never through a binary float.

use super::value::Value;
use crate::base::day::Day;
use crate::base::exact;
use crate::base::minutes::Minutes;
use crate::base::money::{Currency, Money, MoneyError, plain_decimal};
use crate::base::words::{count, ticked};
use crate::model::{DepositRule, Likely};
use crate::problem::{Code, Severity};
use rust_decimal::Decimal;
use toml::de::DeValue;

impl<'a> Value<'a> {
    /// A day.
    pub fn date(&self) -> Option<Day> {
        let hint = "write the year, month and day without quotes, such as `2026-05-02`";
        match self.raw() {
            DeValue::Datetime(moment) => {
                let Some(date) = moment.date.filter(|_| moment.time.is_none()) else {
                    let message = format!("{} must be a day, without a time", ticked(self.key));
                    let day = moment.date.map(|d| format!("write `{d}` alone"));
                    self.bad(Code::BadDate, message, day.unwrap_or_else(|| hint.to_owned()));
                    return None;
                };
                let day = Day::new(i32::from(date.year), u32::from(date.month), u32::from(date.day));
                if day.is_none() {
                    let message = format!("{} is too far from today to be right", ticked(&date.to_string()));
                    self.bad(Code::BadDate, message, "look at the year");
                }
                day
            }
            DeValue::String(text) if Day::parse(text.trim()).is_some() => {
                let message = format!("the date in {} is in quotes", ticked(self.key));
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
        if !self.is_text() && !self.is_number() {
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
        self.money_where(currency, |amount| !amount.is_negative(), "less than nothing", None)
    }

    /// An amount that is more than nothing.
    pub fn sum(&self, currency: Currency) -> Option<Money> {
        self.money_where(currency, Money::is_positive, "nothing or less", None)
    }

    /// The same, with what to do about any other amount.
    pub fn sum_or(&self, currency: Currency, hint: &'static str) -> Option<Money> {
        self.money_where(currency, Money::is_positive, "nothing or less", Some(hint))
    }

    fn money_where(
        &self,
        currency: Currency,
        fits: fn(Money) -> bool,
        what: &str,
        hint: Option<&'static str>,
    ) -> Option<Money> {
        let amount = self.money(currency)?;
        if fits(amount) {
            return Some(amount);
        }
        let usual = match self.key {
            "amount" | "each" => {
                "money given back is written under `[[refund]]`, money taken off under `[[discount]]`"
            }
            _ => "write an amount without a minus",
        };
        self.bad(Code::BadMoney, format!("{} cannot be {what}", ticked(self.key)), hint.unwrap_or(usual));
        None
    }

    /// A deposit: `"50%"` or an amount.
    pub fn deposit(&self, currency: Currency) -> Option<DepositRule> {
        if self.is_text() && self.written().ends_with('%') {
            return self
                .percent_of(self.written().trim_end_matches('%').trim_end())
                .map(DepositRule::Percent);
        }
        let amount = self.price(currency)?;
        if self.is_below_one() && amount != Money::ZERO {
            let message = format!("a deposit of {} is next to nothing", ticked(self.written()));
            let hint = "if it is a share, write it like `deposit = \"50%\"`; an amount like `deposit = 200`";
            self.note(message, hint);
        }
        Some(DepositRule::Flat(amount))
    }

    /// The rate of a tax: a percentage, of which a tenth and less is hardly one.
    pub fn tax_rate(&self) -> Option<Decimal> {
        let rate = self.percent()?;
        let tenth = Decimal::new(1, 1);
        if rate > Decimal::ZERO && rate < tenth {
            let meant = (rate * Decimal::ONE_HUNDRED).normalize();
            let message = format!("a tax of {} percent is next to nothing", ticked(&rate.to_string()));
            self.note(message, format!("if it is {meant} percent, write `rate = {meant}`"));
        }
        Some(rate)
    }

    fn is_below_one(&self) -> bool {
        plain_decimal(self.written()).is_some_and(|number| number < Decimal::ONE)
    }

    /// Tells of a value that can be right and hardly is.
    pub fn note(&self, message: String, hint: impl Into<String>) {
        self.bad_as(Severity::Note, Code::OddValue, message, hint);
    }

    /// A percentage, `6.25` or `"6.25"`, with or without the sign, from 0 to 100.
    pub fn percent(&self) -> Option<Decimal> {
        if !self.is_text() && !self.is_number() {
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
        self.not_too_fine(percent?)
    }

    /// A number that money can be reckoned with to the last digit.
    fn not_too_fine(&self, number: Decimal) -> Option<Decimal> {
        if exact::fits(number) {
            return Some(number);
        }
        let message = format!("{} has too many digits", ticked(self.written()));
        self.bad(
            Code::BadValue,
            message,
            format!("write at most {} digits after the point", exact::DECIMALS),
        );
        None
    }

    /// A plain number that is more than nothing, such as a count or a measure.
    pub fn measure(&self) -> Option<Decimal> {
        if !self.must_be_number("4.25") {
            return None;
        }
        let most = Decimal::from(1_000_000);
        let number = plain_decimal(self.written()).filter(|n| *n > Decimal::ZERO && *n <= most);
        if number.is_none() {
            let message = format!("{} cannot be {}", ticked(self.key), ticked(self.written()));
            self.bad(Code::BadValue, message, "write a plain number above 0, such as `12` or `4.25`");
        }
        self.not_too_fine(number?)
    }

    /// A whole number within bounds; `of` is what it counts.
    pub fn whole(&self, least: u32, most: u32) -> Option<u32> {
        if !self.must_be_number("14") {
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
        if !self.must_be_number("1.5") {
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

    fn must_be_number(&self, example: &str) -> bool {
        let is = self.is_number();
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
        if !self.is_list() && !self.is_number() {
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
}

/// A whole number of plain digits.
fn plain_digits(text: &str) -> Option<u32> {
    text.bytes().all(|b| b.is_ascii_digit()).then(|| text.parse().ok()).flatten()
}
