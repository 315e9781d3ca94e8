//! `board`: all open jobs as the owner sees them, in the terminal or as JSON; those that some words mean; and
//! drafts of messages. Its page is `render::board`'s, shown by the preview alone.

mod json;
mod lines;
mod sheet;
mod slips;

use super::Outcome;
use super::pass::{self, PassMode};
use super::terminal::{say_json, say_lines, tell, tell_problems};
use crate::base::day::Day;
use crate::problem::Problems;
use crate::render::board::KeptSince;
use crate::{render, work, write};
use std::collections::BTreeMap;
use std::path::Path;

/// What is asked of the board.
#[derive(Debug)]
pub struct Asked {
    pub as_of: Option<Day>,
    pub json: bool,
    pub drafts: bool,
    /// A surname, number, tag or piece; all of them must fit.
    pub words: Vec<String>,
}

/// Prints the board, or what was asked of it.
pub fn run(shop: &Path, asked: &Asked) -> Outcome {
    match shown(shop, asked) {
        Ok((answer, kept, problems)) => {
            match answer {
                Answer::Words(text) => say_lines(text.trim_end()),
                Answer::Json(value) => say_json(&value),
            }
            let by_words: BTreeMap<String, Day> =
                kept.into_iter().map(|(part, since)| (part.words(), since)).collect();
            for (part, since) in by_words {
                tell(&format!("{part} needs mending and shows its last good page since {since}"));
            }
            if !problems.is_empty() && !asked.json {
                tell("something in the content needs a look; `benchlight proof` tells what");
            }
            Outcome::of(&problems)
        }
        Err(problems) => {
            tell_problems(&problems);
            Outcome::CouldNot
        }
    }
}

/// What is answered: for a person, or for other programs.
enum Answer {
    Words(String),
    Json(serde_json::Value),
}

/// The answer, since when last good pages stay (not said in JSON), and the problems.
fn shown(shop: &Path, asked: &Asked) -> Result<(Answer, KeptSince, Problems), Problems> {
    super::is_shop(shop)?;
    let found = pass::reckoned(shop, asked.as_of, PassMode::LookOnly)?;
    let board = work::board(&found.shop, &found.worked);
    if asked.json {
        let value = json::board(&found.shop, &found.worked, &board);
        return Ok((Answer::Json(value), KeptSince::new(), found.problems));
    }
    let (theme, _) = render::theme::load(shop)?;
    let kept = write::kept_since(&shop.join("public"), shop);
    let view = render::board::view(&found.shop, &found.worked, &board, &theme, &kept);
    let text = match (asked.drafts, asked.words.is_empty()) {
        (true, _) => slips::drafts(&view, &asked.words),
        (false, true) => sheet::whole(&view),
        (false, false) => slips::found(&view, &asked.words),
    };
    Ok((Answer::Words(text), kept, found.problems))
}
