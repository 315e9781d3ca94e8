//! The packing list of a parcel: for whoever packs, and for the partner who opens it.

use super::{Paper, Printed, Sheet, Table, filled_word};
use crate::base::person::initial;
use crate::model::{Choice, PackingList, Shop, StaysFor, Worked};
use crate::problem::Problems;
use crate::render::dates::DayWords;
use crate::render::gate_words;
use crate::render::paths::{as_words, capital};
use crate::render::theme::Theme;
use crate::render::view::measures::in_words;
use serde::Serialize;
use std::collections::BTreeMap;

/// The columns of what goes; `parcel.head.` and this is the theme's word for each.
const GOES: [&str; 9] =
    ["number", "piece", "species", "initial", "pose", "measures", "step", "since", "goes"];
const STAYS: [&str; 5] = ["number", "piece", "initial", "step", "why"];

#[derive(Serialize)]
struct ParcelPage {
    sheet: Sheet,
    partner: String,
    leaves: Option<DayWords>,
    pieces: Option<u32>,
    goes: Table,
    stays: Table,
    /// How many of each species are in it.
    species: Vec<Counted>,
    there: Vec<There>,
}

#[derive(Serialize)]
struct Counted {
    what: String,
    n: usize,
}

#[derive(Serialize)]
struct There {
    number: String,
    since: DayWords,
}

/// The packing list as a page, and what goes and stays as CSV.
///
/// # Errors
/// The theme does not work.
pub fn parcel(
    shop: &Shop,
    worked: &Worked,
    theme: &Theme,
    paper: Paper,
    list: &PackingList,
) -> Result<Printed, Problems> {
    let goes = goes(shop, worked, theme, list)?;
    let stays = stays(shop, worked, theme, list)?;
    let there = list.there.iter().filter_map(|(at, since)| {
        let job = shop.jobs.get(worked.jobs.get(*at)?.job)?;
        Some(There { number: job.number.clone(), since: theme.dates.day(*since) })
    });
    let partner = shop.partners.get(&list.partner).map_or(list.partner.as_str(), |p| p.name.as_str());
    let csv = goes.csv();
    let view = ParcelPage {
        sheet: Sheet::of(shop, worked, theme, paper),
        partner: partner.to_owned(),
        leaves: list.leaves.map(|day| theme.dates.day(day)),
        pieces: list.pieces,
        species: species(shop, worked, list),
        there: there.collect(),
        goes,
        stays,
    };
    Ok(Printed { html: theme.render("parcel.html", &view)?, csv })
}

fn goes(shop: &Shop, worked: &Worked, theme: &Theme, list: &PackingList) -> Result<Table, Problems> {
    let mut rows = Vec::new();
    for packed in &list.goes {
        let Some(job) = worked.jobs.get(packed.at).and_then(|w| shop.jobs.get(w.job)) else { continue };
        let tag = job.private.reveal().tag.as_ref();
        rows.push(vec![
            job.number.clone(),
            job.piece.clone(),
            tag.and_then(|tag| tag.species.clone()).unwrap_or_default(),
            initial(&job.shown_name),
            job.pose.as_ref().map(|choice| pose_words(shop, choice)).unwrap_or_default(),
            job.measures.as_ref().map(|measures| in_words(theme, measures)).unwrap_or_default(),
            as_words(&packed.step),
            packed.since.iso(),
            list.leaves.map(|day| day.iso()).unwrap_or_default(),
        ]);
    }
    Table::of(theme, "parcel", &GOES, rows)
}

fn stays(shop: &Shop, worked: &Worked, theme: &Theme, list: &PackingList) -> Result<Table, Problems> {
    let mut rows = Vec::new();
    for staying in &list.stays {
        let Some(job) = worked.jobs.get(staying.at).and_then(|w| shop.jobs.get(w.job)) else { continue };
        rows.push(vec![
            job.number.clone(),
            job.piece.clone(),
            initial(&job.shown_name),
            as_words(&staying.step),
            why(theme, &staying.why)?,
        ]);
    }
    Table::of(theme, "parcel", &STAYS, rows)
}

fn why(theme: &Theme, why: &StaysFor) -> Result<String, Problems> {
    let gates = |gates: &[String]| gate_words::of_all(theme, gates);
    match why {
        StaysFor::Gates(open) => filled_word(theme, "parcel.why.gates", &[("gates", &gates(open))]),
        StaysFor::Steps(steps, open) => {
            let steps: Vec<String> = steps.iter().map(|step| as_words(step).to_lowercase()).collect();
            let steps = filled_word(theme, "parcel.why.steps", &[("steps", &theme.list(&steps))])?;
            match open.is_empty() {
                true => Ok(steps),
                false => filled_word(theme, "parcel.why.both", &[("steps", &steps), ("gates", &gates(open))]),
            }
        }
    }
}

fn species(shop: &Shop, worked: &Worked, list: &PackingList) -> Vec<Counted> {
    let mut counted: BTreeMap<String, usize> = BTreeMap::new();
    for packed in &list.goes {
        let Some(job) = worked.jobs.get(packed.at).and_then(|w| shop.jobs.get(w.job)) else { continue };
        let species = job.private.reveal().tag.as_ref().and_then(|tag| tag.species.clone());
        *counted.entry(capital(&species.unwrap_or_else(|| job.piece.clone()))).or_default() += 1;
    }
    counted.into_iter().map(|(what, n)| Counted { what, n }).collect()
}

/// The pose as the showroom names it, else in the owner's words.
pub(super) fn pose_words(shop: &Shop, choice: &Choice) -> String {
    let of_showroom = choice
        .pose
        .as_ref()
        .and_then(|(animal, key)| shop.poses.iter().find(|pose| pose.animal == *animal && pose.key == *key));
    of_showroom.map_or_else(|| choice.words.clone(), |pose| pose.name.clone())
}
