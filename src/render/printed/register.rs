//! The register for the inspector: what is missing first, then every entry.

use super::{Paper, Printed, Sheet, Table, word};
use crate::model::register::EntryFacts;
use crate::model::{Register, RegisterEntry, Shop, Worked};
use crate::problem::Problems;
use crate::render::dates::DayWords;
use crate::render::theme::Theme;
use serde::Serialize;

/// The columns; `register.head.` and this is the theme's word for each.
const COLUMNS: [&str; 16] = [
    "number",
    "came-in",
    "from-whom",
    "address",
    "phone",
    "piece",
    "species",
    "sex",
    "tag",
    "permit",
    "taken-on",
    "place",
    "hunter",
    "licence",
    "went-out",
    "to-whom",
];

#[derive(Serialize)]
struct RegisterPage {
    sheet: Sheet,
    from: DayWords,
    to: DayWords,
    gaps: Vec<GapView>,
    entries: Table,
}

#[derive(Serialize)]
struct GapView {
    number: String,
    /// In words; none for what could not be read.
    missing: Option<String>,
}

/// The register as a page and as CSV. Days are written as ISO 8601 has them, so that they sort.
///
/// # Errors
/// The theme does not work.
pub fn register(
    shop: &Shop,
    worked: &Worked,
    theme: &Theme,
    paper: Paper,
    register: &Register,
) -> Result<Printed, Problems> {
    let mut gaps = Vec::new();
    for gap in &register.gaps {
        let fields = gap.fields.iter().map(|field| word(theme, &format!("register.field.{}", field.word())));
        let fields: Vec<String> = fields.collect::<Result<_, _>>()?;
        let missing = (!fields.is_empty()).then(|| theme.list(&fields));
        gaps.push(GapView { number: gap.number.clone(), missing });
    }
    let rows = register.entries.iter().map(row).collect();
    let entries = Table::of(theme, "register", &COLUMNS, rows)?;
    let csv = entries.csv();
    let view = RegisterPage {
        sheet: Sheet::of(shop, worked, theme, paper),
        from: theme.dates.day(register.from),
        to: theme.dates.day(register.to),
        gaps,
        entries,
    };
    Ok(Printed { html: theme.render("register.html", &view)?, csv })
}

fn row(entry: &RegisterEntry) -> Vec<String> {
    let facts: &EntryFacts = entry.private.reveal();
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let day = |day: Option<crate::base::day::Day>| day.map(|day| day.iso()).unwrap_or_default();
    vec![
        entry.number.clone(),
        entry.came_in.iso(),
        facts.from_whom.clone(),
        text(&facts.address),
        text(&facts.phone),
        entry.piece.clone(),
        text(&facts.species),
        text(&facts.sex),
        text(&facts.tag),
        text(&facts.permit),
        day(facts.taken_on),
        text(&facts.place),
        text(&facts.hunter),
        text(&facts.license),
        day(entry.went_out),
        text(&facts.to_whom),
    ]
}
