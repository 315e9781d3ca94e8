//! The whole board as lines of a terminal: plain text that reads well aloud and in a pipe.

use super::lines::{cell, cut, folded, heading};
use crate::base::words::count;
use crate::render::board::{BoardView, Row, SumsView};
use crate::render::dates::DayWords;

/// The board.
pub fn whole(view: &BoardView) -> String {
    let mut out = folded(&format!("{}: the board on {}, {}", view.shop, view.weekday, view.today.long), "");
    let open = count(view.open, "open piece");
    out.push_str(&folded(&format!("{open}, about {} hours of bench work left.", view.left), ""));
    if !view.mending.is_empty() {
        let numbers: Vec<String> = view.mending.iter().map(|one| one.number.clone()).collect();
        out.push_str(&folded(&format!("Needs mending, on none of the lists: {}.", numbers.join(", ")), ""));
    }
    bench(&mut out, view);
    section(&mut out, "Waiting on the customer", &view.waits, wait);
    section(&mut out, "Waiting on the shop", &view.own_waits, wait);
    section(&mut out, "For the next parcel", &view.parcels, parcel);
    section(&mut out, "Away", &view.away, away);
    section(&mut out, "Resting", &view.rests, rest);
    section(&mut out, "Ready, still here", &view.ready, ready);
    section(&mut out, "Owed on what went home", &view.owed, owed);
    money(&mut out, &view.sums);
    load(&mut out, view);
    out
}

fn bench(out: &mut String, view: &BoardView) {
    let all = format!("{}, {} h", count(view.turns, "piece"), view.hours);
    out.push_str(&format!("\n{}\n", heading("READY TO WORK ON, BY THE STEP IT LEADS TO", &all)));
    for kind in &view.bench {
        let sum = format!("{}, {} h", count(kind.turns.len(), "piece"), kind.hours);
        let name = heading(&format!("  {}", kind.step.to_uppercase()), &sum);
        out.push_str(&format!("\n{name}\n"));
        for row in &kind.turns {
            let hours = row.hours.as_deref().unwrap_or_default();
            let rush = if row.rush { ", rush" } else { "" };
            line(out, row, &format!("{hours} h, since {}{rush}", short(&row.since)));
        }
    }
}

fn section(out: &mut String, name: &str, rows: &[Row], told: fn(&Row) -> String) {
    if rows.is_empty() {
        return;
    }
    out.push_str(&format!("\n{}\n", heading(&name.to_uppercase(), &count(rows.len(), "piece"))));
    for row in rows {
        line(out, row, &told(row));
    }
}

/// A piece and what is told of it, on two lines where one is too short.
fn line(out: &mut String, row: &Row, told: &str) {
    let Some(of) = &row.mention else { return };
    out.push_str(&format!("  {} {} {}\n", cell(&of.number, 8), cell(&of.name, 22), cut(&of.piece, 45)));
    out.push_str(&folded(told, "           "));
}

fn short(day: &Option<DayWords>) -> &str {
    day.as_ref().map_or("", |day| &day.short)
}

fn wait(row: &Row) -> String {
    let gates = row.gates.as_deref().unwrap_or_default();
    let cost = match (&row.by, row.costs) {
        (_, true) => ", every day counts now".to_owned(),
        (Some(by), false) => format!(", no hurry until {}", by.short),
        (None, false) if row.blocking => ", stopped until then".to_owned(),
        (None, false) => String::new(),
    };
    format!("{gates}, before \"{}\"{cost}", row.step)
}

fn parcel(row: &Row) -> String {
    let leaves = match &row.leaves {
        Some(day) => format!("leaves {}", day.short),
        None => "leaves when it is full".to_owned(),
    };
    format!("to {}, {leaves}", row.partner.as_deref().unwrap_or("the partner"))
}

fn away(row: &Row) -> String {
    let back = match (row.late, row.is_due) {
        (Some(days), _) => format!("{} LATE", count(days as usize, "day")),
        (None, true) => format!("past its likely day, latest {}", short(&row.latest)),
        (None, false) => format!("back around {}, latest {}", short(&row.likely), short(&row.latest)),
    };
    format!("with {}, since {}, {back}", row.partner.as_deref().unwrap_or("the partner"), short(&row.since))
}

fn rest(row: &Row) -> String {
    let due = match (row.late, row.is_due) {
        (Some(_), _) => format!("PAST its latest day, {}", short(&row.latest)),
        (None, true) => format!("DUE, look at it (likely {})", short(&row.likely)),
        (None, false) => format!("due around {}", short(&row.likely)),
    };
    format!("until {}, since {}, {due}", row.step, short(&row.since))
}

fn ready(row: &Row) -> String {
    let mut parts = vec![format!("ready {}, {}", short(&row.since), count(row.days as usize, "day"))];
    parts.push(match &row.told {
        Some(day) => format!("told {}", day.short),
        None => "NOT TOLD yet".to_owned(),
    });
    match (&row.storage, &row.grace) {
        _ if row.stored > 0 => {
            let fee = row.storage.as_ref().map(|fee| format!(" ({fee})")).unwrap_or_default();
            parts.push(format!("{} of storage{fee}", count(row.stored as usize, "day")));
        }
        (_, Some(grace)) => parts.push(format!("free until {}", grace.short)),
        (_, None) => {}
    }
    parts.push(row.due.as_ref().map_or("all paid".to_owned(), |due| format!("owes {due}")));
    parts.join(", ")
}

fn owed(row: &Row) -> String {
    let collected = format!("collected {}, {}", short(&row.since), count(row.days as usize, "day"));
    match (&row.due, &row.owed_back) {
        (Some(due), _) => format!("{collected}, owes {due}"),
        (None, Some(back)) => format!("{collected}, the shop owes {back}"),
        (None, None) => collected,
    }
}

fn money(out: &mut String, sums: &SumsView) {
    out.push_str("\nMONEY\n");
    let mut line = |what: &str, amount: &str| {
        out.push_str(&format!("  {} {amount:>14}\n", cell(what, 50)));
    };
    line("Due now on what’s ready", &sums.due_now);
    if let Some(owed) = &sums.owed {
        line("Owed on what went home", owed);
    }
    line("To come on what isn’t ready", &sums.due_later);
    line("Paid on unfinished pieces", &sums.held);
    if let Some(missing) = &sums.deposits_missing {
        line(&format!("Deposits missing, {}", count(sums.without_deposit, "piece")), missing);
    }
    if sums.past_grace > 0 {
        let fee = sums.storage.as_deref().unwrap_or("no fee");
        line(&format!("Past free storage, {}", count(sums.past_grace, "piece")), fee);
    }
    if let Some(owed) = &sums.owed_back {
        line("The shop owes customers", owed);
    }
}

/// The weeks as bars of letters, with the figures behind them.
fn load(out: &mut String, view: &BoardView) {
    let Some(load) = &view.load else { return };
    out.push_str(&format!("\n{}\n", heading("THE BENCH, WEEK BY WEEK", "hours taken of hours there")));
    const BAR: u32 = 30;
    let most = load.weeks.iter().map(|week| week.hours_high).max().unwrap_or(0).max(1);
    for week in &load.weeks {
        let (there, taken) = (week.hours_high * BAR / most, week.taken_high * BAR / most);
        let bar =
            format!("{}{}", "#".repeat(taken as usize), ".".repeat(there.saturating_sub(taken) as usize));
        let figures = format!("{} of {} h", week.taken, week.hours);
        out.push_str(
            format!("  {} {} {figures}", cell(&week.monday.short, 9), cell(&bar, BAR as usize)).trim_end(),
        );
        out.push('\n');
    }
    let room = match &load.room {
        Some(day) => format!("The first week with a fifth of its hours free starts {}.", day.long),
        None => format!("None of the {} has a fifth of its hours free.", count(load.weeks.len(), "week")),
    };
    out.push_str(&folded(&format!("{room} This counts only what’s here today."), "  "));
}
