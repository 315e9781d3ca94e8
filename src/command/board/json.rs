//! `board --json`: all open jobs for other programs. Names are shown as on the page; what is private is not told. The way to each
//! page is told whole, with its key where it is sealed: whoever gets this can open the pages.

use crate::model::{Board, ReadyPiece, Shop, Stage, Standing, Worked, WorkedJob};
use serde_json::{Value, json};

/// The stable machine view of the board.
pub fn board(shop: &Shop, worked: &Worked, board: &Board) -> Value {
    let open = worked.jobs.iter().enumerate().filter(|(_, w)| w.stage != Stage::Collected);
    let jobs: Vec<Value> = open
        .filter_map(|(at, worked)| job(shop, worked, board.ready.iter().find(|ready| ready.at == at)))
        .collect();
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
            "held": sums.held.plain(currency),
            "deposits_missing": sums.deposits_missing.plain(currency),
            "storage": sums.storage.plain(currency),
            "past_grace": sums.past_grace,
            "owed_back": sums.owed_back.plain(currency),
        },
        "load": load.collect::<Vec<Value>>(),
    })
}

fn job(shop: &Shop, worked: &WorkedJob, ready: Option<&ReadyPiece>) -> Option<Value> {
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
    let gates = worked.gates.iter().filter(|g| g.met.is_none()).map(|g| {
        let who = if g.customer { "customer" } else { "shop" };
        json!({ "gate": g.name, "step": g.step, "on": who, "blocking": g.blocking, "by": g.by })
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
        "reached": steps(&|s| matches!(s, Standing::Reached { .. })),
        "waiting_on": waiting_on,
        "next": steps(&|s| matches!(s, Standing::Open { .. } | Standing::Sent { .. } | Standing::Held { .. })),
        "window": window,
        "choose_by": worked.choose_by,
        "total": worked.ledger.total.plain(currency),
        "paid": worked.ledger.paid.plain(currency),
        "due": worked.ledger.due.plain(currency),
        "page": worked.way().reveal(),
        "gates": gates.collect::<Vec<Value>>(),
        "away": away.collect::<Vec<Value>>(),
        "ready": worked.ready,
        "told": ready.and_then(|r| r.told),
        "grace_ends": worked.grace_ends,
        "storage": ready.map(|r| r.storage.plain(currency)),
    }))
}
