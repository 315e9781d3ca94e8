//! `board --json`: all open jobs, and those that went home with a balance, for other programs. Names are shown as on the page; what is private is not told. The way to each
//! page is told whole, with its key where it is sealed: whoever gets this can open the pages.

use crate::base::day::Day;
use crate::base::money::Money;
use crate::model::{Board, Shop, Stage, StepState, Worked, WorkedJob};
use serde_json::{Value, json};

/// The stable machine view of the board.
pub fn board(shop: &Shop, worked: &Worked, board: &Board) -> Value {
    let listed = worked
        .jobs
        .iter()
        .enumerate()
        .filter(|(at, w)| w.stage != Stage::Collected || board.owed.iter().any(|owed| owed.at == *at));
    let jobs: Vec<Value> =
        listed.filter_map(|(at, worked)| job(shop, worked, &finished(board, at))).collect();
    let currency = shop.studio.money.currency;
    let sums = &board.sums;
    let load = board
        .load
        .iter()
        .map(|week| json!({ "monday": week.monday, "minutes": week.hours.0, "minutes_taken": week.taken.0 }));
    json!({
        "as_of": worked.today,
        "jobs": jobs,
        "minutes_left": board.left.0,
        "sums": {
            "due_now": sums.due_now.plain(currency),
            "due_later": sums.due_later.plain(currency),
            "owed": sums.owed.plain(currency),
            "held": sums.held.plain(currency),
            "deposits_missing": sums.deposits_missing.plain(currency),
            "storage": sums.storage.plain(currency),
            "past_grace": sums.past_grace,
            "owed_back": sums.owed_back.plain(currency),
        },
        "load": load.collect::<Vec<Value>>(),
    })
}

/// What the board knows of a finished piece: the day the customer was told, and what its storage came to.
#[derive(Default)]
struct Finished {
    told: Option<Day>,
    storage: Option<Money>,
}

fn finished(board: &Board, at: usize) -> Finished {
    if let Some(one) = board.ready.iter().find(|one| one.at == at) {
        return Finished { told: one.told, storage: Some(one.storage) };
    }
    let owed = board.owed.iter().find(|one| one.at == at);
    owed.map(|one| Finished { told: one.told, storage: Some(one.storage) }).unwrap_or_default()
}

fn job(shop: &Shop, worked: &WorkedJob, finished: &Finished) -> Option<Value> {
    let job = shop.jobs.get(worked.job)?;
    let currency = shop.studio.money.currency;
    let steps = |wanted: &dyn Fn(&StepState) -> bool| -> Vec<&str> {
        worked.steps.iter().filter(|s| wanted(&s.state)).map(|s| s.name.as_str()).collect()
    };
    // What was asked for and what the shop waits for itself, in the order of the steps.
    let waiting_on: Vec<&str> =
        worked.gates.iter().filter(|g| g.met.is_none()).map(|g| g.name.as_str()).collect();
    let window =
        worked.window().map(|w| json!({ "soonest": w.soonest, "likely": w.likely, "latest": w.latest }));
    let gates = worked.gates.iter().filter(|g| g.met.is_none()).map(|g| {
        let who = if g.customer { "customer" } else { "shop" };
        json!({ "gate": g.name, "step": g.step, "on": who, "blocking": g.blocking, "by": worked.last_day_for(&g.name) })
    });
    let away = worked.away.iter().map(|a| {
        json!({ "step": a.step, "partner": a.partner, "since": a.since, "likely_back": a.likely_back,
            "latest_back": a.latest_back })
    });
    Some(json!({
        "job": job.number,
        "route": job.route,
        "customer": job.shown_name,
        "taken_in": job.taken_in,
        "state": worked.stage.word(),
        "reached": steps(&StepState::is_reached),
        "waiting_on": waiting_on,
        "next": steps(&|s| matches!(s, StepState::Open { .. } | StepState::Sent { .. } | StepState::Held { .. })),
        "window": window,
        "choose_by": worked.choose_by(),
        "total": worked.ledger.total.plain(currency),
        "paid": worked.ledger.paid.plain(currency),
        "due": worked.ledger.due.plain(currency),
        "page": worked.way().reveal(),
        "gates": gates.collect::<Vec<Value>>(),
        "away": away.collect::<Vec<Value>>(),
        "ready": worked.ready,
        "told": finished.told,
        "grace_ends": worked.grace_ends,
        "storage": finished.storage.map(|fee| fee.plain(currency)),
        "collected": worked.collected,
        "written_off": worked.ledger.written_off.plain(currency),
    }))
}
