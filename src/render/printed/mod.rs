//! What is printed and never published: hang tags, packing lists, the register.
//!
//! These pages stand alone, each with its style in it, and are no part of a `Site`: they are handed back as
//! text. This is the only folder of the room that sees what is private, as an inspector's list has to name
//! people; `tests/house.rs` keeps that.

mod parcel;
mod register;
mod tags;

pub use parcel::parcel;
pub use register::register;
pub use tags::{Sheets, tags};

use super::dates::DayWords;
use super::theme::Theme;
use super::view::frame::ShopView;
use crate::base::csv;
use crate::model::{Shop, Worked};
use crate::problem::{Problem, Problems};
use serde::Serialize;

/// The paper that a page is laid out for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 8.5 by 11 inches.
    Letter,
    /// 210 by 297 millimetres (ISO 216).
    A4,
}

impl Paper {
    fn style_file(self) -> &'static str {
        match self {
            Paper::Letter => "print-letter.css",
            Paper::A4 => "print-a4.css",
        }
    }
}

/// A list for people and for spreadsheets.
#[derive(Debug)]
pub struct Printed {
    pub html: String,
    pub csv: String,
}

/// What every printed page has.
#[derive(Serialize)]
struct Sheet {
    language: String,
    policy: String,
    style: String,
    shop: ShopView,
    as_of: DayWords,
}

impl Sheet {
    fn of(shop: &Shop, worked: &Worked, theme: &Theme, paper: Paper) -> Sheet {
        let style = [theme.text("print.css"), theme.text(paper.style_file())].concat();
        // The style in the page itself and nothing from elsewhere. A page that is opened from this disk alone needs
        // no more than that, and the Nu HTML Checker misreads the digest of a style as long as this one.
        let policy =
            "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'".to_owned();
        Sheet {
            language: shop.studio.language.clone(),
            policy,
            style,
            shop: ShopView::of(&shop.studio),
            as_of: theme.dates.day(worked.today),
        }
    }
}

/// A table as a page and a spreadsheet both show it.
#[derive(Serialize)]
struct Table {
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table whose heads are the theme's words for these columns.
    fn of(theme: &Theme, list: &str, columns: &[&str], rows: Vec<Vec<String>>) -> Result<Table, Problems> {
        let heads = columns.iter().map(|column| word(theme, &format!("{list}.head.{column}")));
        Ok(Table { heads: heads.collect::<Result<_, _>>()?, rows })
    }

    fn csv(&self) -> String {
        csv::of(&self.heads, &self.rows)
    }
}

/// A word of the theme without gaps.
fn word(theme: &Theme, key: &str) -> Result<String, Problems> {
    filled_word(theme, key, &[])
}

/// A word of the theme with its gaps filled.
fn filled_word(theme: &Theme, key: &str, gaps: &[(&str, &str)]) -> Result<String, Problems> {
    let value = |name: &str| gaps.iter().find(|(gap, _)| *gap == name).map(|(_, text)| (*text).to_owned());
    theme.words.say(key, None, &value).map_err(|unsayable| theme.words.problem(unsayable.to_string()))
}

/// The problem of a printed page that cannot be made.
fn stopped(problem: Problem) -> Problems {
    Problems::from_iter([problem])
}
