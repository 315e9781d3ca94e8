//! Pieces found by a few words, for an answer on the phone, and drafts of messages.

use super::lines::{cut, folded, heading};
use crate::base::words::count;
use crate::render::board::{BoardView, Draft, Slip};

/// Beyond this many, only one line is told of each.
const IN_FULL: usize = 6;

/// The pieces of the board that all words fit.
pub fn found(view: &BoardView, words: &[String]) -> String {
    let meant: Vec<&Slip> = view.slips.iter().filter(|slip| slip.is_meant_by(words)).collect();
    if meant.is_empty() {
        return format!(
            "No open piece fits `{}`. The names, numbers, tags and pieces of {}{} were looked through.",
            words.join(" "),
            count(view.open, "open piece"),
            match view.owed.len() {
                0 => String::new(),
                n => format!(", and of {} with a balance,", count(n, "collected piece")),
            }
        );
    }
    if meant.len() > IN_FULL {
        let lines = meant.iter().map(|slip| {
            format!("{}\n", cut(&format!("{}  {}, {}", slip.number, slip.who.name, slip.piece), 80))
        });
        return lines.collect();
    }
    meant.iter().map(|slip| full(slip)).collect::<Vec<_>>().join("\n")
}

/// One piece, what would be asked first on top.
fn full(slip: &Slip) -> String {
    let mut out = format!("{}\n", heading(&format!("{}  {}", slip.number, slip.who.name), slip.stage));
    let mut line = |text: &str| out.push_str(&folded(text, "  "));
    line(&format!("{}, {}{}", slip.piece, slip.route, if slip.rush { ", rush" } else { "" }));
    match (slip.collected.as_ref().or(slip.ready.as_ref()), &slip.likely) {
        (Some(day), _) if slip.collected.is_some() => line(&format!("Collected {}.", day.long)),
        (Some(day), _) => line(&format!("Ready since {}.", day.long)),
        (None, Some(likely)) => {
            let short = |day: &Option<crate::render::dates::DayWords>| {
                day.as_ref().map(|day| day.long.clone()).unwrap_or_default()
            };
            line(&format!(
                "Likely ready {} (soonest {}, latest {}).",
                likely.long,
                short(&slip.soonest),
                short(&slip.latest)
            ));
        }
        (None, None) => line("No date can be given yet."),
    }
    for now in &slip.now {
        let more = now.waits_for.as_ref().map(|gates| format!(": waits for {gates}"));
        let more = more.or_else(|| now.partner.as_ref().map(|partner| format!(": {partner}")));
        let since = now.since.as_ref().map(|day| format!(", since {}", day.long)).unwrap_or_default();
        line(&format!("Now: {}{}{since}", now.step, more.unwrap_or_default()));
    }
    if let Some(by) = &slip.choose_by {
        line(&format!("Can choose until {} without moving the date.", by.long));
    }
    if let Some(pose) = &slip.pose {
        line(&format!("Pose: {pose}"));
    }
    let off = slip.written_off.as_ref().map(|off| format!(", {off} written off")).unwrap_or_default();
    line(&match &slip.due {
        Some(due) => format!("Due: {due} of {}; paid {}{off}.", slip.total, slip.paid),
        None => format!("Nothing due; {} paid of {}{off}.", slip.paid, slip.total),
    });
    reach(&mut out, slip);
    if !slip.drafts.is_empty() {
        let words: Vec<&str> = slip.drafts.iter().map(|draft| draft.kind).collect();
        let told = format!("Drafts: {} (`benchlight board --drafts {}`)", words.join(", "), slip.number);
        out.push_str(&folded(&told, "  "));
    }
    out
}

fn reach(out: &mut String, slip: &Slip) {
    let mut line = |what: &str, text: Option<&str>| {
        if let Some(text) = text {
            out.push_str(&folded(&format!("{what}: {text}"), "  "));
        }
    };
    line("Phone", slip.who.phone.as_ref().map(|phone| phone.shown.as_str()));
    line("Email", slip.who.email.as_ref().map(|email| email.shown.as_str()));
    line("Tag", slip.who.tag.as_deref());
    line("Bench note", slip.who.bench_note.as_deref());
    line("Taken in", Some(&slip.taken_in.long));
    line("Page", slip.web.as_deref().or_else(|| slip.page.as_deref()?.strip_prefix("../")));
    line("File", Some(&slip.file));
}

/// Every draft, or those of the pieces that the words mean.
pub fn drafts(view: &BoardView, words: &[String]) -> String {
    let meant = view.slips.iter().filter(|slip| slip.is_meant_by(words));
    let each: Vec<String> =
        meant.flat_map(|slip| slip.drafts.iter().map(move |draft| draft_of(slip, draft))).collect();
    match each.len() {
        0 => "There is nothing that a customer should hear just now.".to_owned(),
        n => format!(
            "{}\n{}, to be sent by hand: nothing was sent, and what you have said is not known here.",
            each.join("\n"),
            count(n, "draft")
        ),
    }
}

fn draft_of(slip: &Slip, draft: &Draft) -> String {
    let reach = slip.who.phone.as_ref().map(|phone| phone.shown.clone());
    let reach = reach.into_iter().chain(slip.who.email.as_ref().map(|email| email.shown.clone()));
    let reach: Vec<String> = reach.collect();
    let mut out = format!("{}\n", heading(&format!("{}  {}", slip.number, slip.who.name), draft.kind));
    out.push_str(&folded(&reach.join(", "), "  "));
    // The text stands on lines of its own without a margin, ready to be copied.
    out.push_str(&format!("{}\n", draft.text.chars().filter(|c| !c.is_control()).collect::<String>()));
    if let Some(line) = &draft.then {
        out.push_str(&folded(&format!("once they know, write `{line}` into {}", slip.file), "  "));
    }
    out
}
