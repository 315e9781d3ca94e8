//! `board --json`: all open jobs for other programs. How they look to a person is told elsewhere.

use super::Outcome;
use super::pass::{self, Memory, Photos};
use super::terminal::{say, tell_problems};
use crate::base::day::Day;
use crate::model::{Shop, Stage, Standing, Worked, WorkedJob};
use serde_json::{Value, json};
use std::path::Path;

/// Prints the open jobs as JSON.
pub fn run(shop: &Path, as_of: Option<Day>) -> Outcome {
    let looked_at = super::is_shop(shop)
        .and_then(|()| pass::reckoned(shop, as_of, Photos::LookOnly, &mut Memory::default()));
    match looked_at {
        Ok(found) => {
            say(&serde_json::to_string_pretty(&board(&found.shop, &found.worked)).unwrap_or_default());
            Outcome::of(&found.problems)
        }
        Err(problems) => {
            tell_problems(&problems);
            Outcome::CouldNot
        }
    }
}

/// The stable machine view of the board.
fn board(shop: &Shop, worked: &Worked) -> Value {
    let open = worked.jobs.iter().filter(|w| w.stage != Stage::Collected);
    let jobs: Vec<Value> = open.filter_map(|worked| job(shop, worked)).collect();
    json!({ "as_of": worked.today, "jobs": jobs })
}

fn job(shop: &Shop, worked: &WorkedJob) -> Option<Value> {
    let job = shop.jobs.get(worked.job)?;
    let currency = shop.studio.money.currency;
    let steps = |wanted: &dyn Fn(&Standing) -> bool| -> Vec<&str> {
        worked.steps.iter().filter(|s| wanted(&s.standing)).map(|s| s.name.as_str()).collect()
    };
    // What was asked for and what the shop waits for itself, in the order of the steps.
    let waiting_on: Vec<&str> =
        worked.gates.iter().filter(|g| g.met.is_none()).map(|g| g.name.as_str()).collect();
    let window =
        worked.window.map(|w| json!({ "soonest": w.soonest, "likely": w.likely, "latest": w.latest }));
    Some(json!({
        "job": job.number,
        "route": job.route,
        "customer": job.shown_name,
        "taken_in": job.taken_in,
        "state": worked.stage.word(),
        "reached": steps(&|s| matches!(s, Standing::Reached { .. })),
        "waiting_on": waiting_on,
        "next": steps(&|s| matches!(s, Standing::Open { .. } | Standing::Sent { .. } | Standing::Held { .. })),
        "window": window,
        "choose_by": worked.choose_by,
        "total": worked.ledger.total.plain(currency),
        "paid": worked.ledger.paid.plain(currency),
        "due": worked.ledger.due.plain(currency),
        "page": format!("see/{}/", worked.address),
    }))
}
