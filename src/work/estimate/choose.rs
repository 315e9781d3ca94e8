//! Until when a gate can stay open, and when what is away is likely back, from the same trials as the window.
//!
//! In each trial a gate that is open now is met today. By how many days it could have been met later (or what it
//! decides be changed) without moving anything is the float of its step in that trial: up to when the bench takes it or its parcel leaves,
//! and further by what the rest of the piece waits for something else. The last day for the gate is the latest
//! one with which the likely day (the median over the trials) stays where it is.

use super::plan::Plan;
use super::trial::Scratch;
use super::windows::finished_seen;
use crate::model::WorkKind;
use serde::{Deserialize, Serialize};

/// What is asked of the trials about one piece.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Asked {
    /// Its place among the open pieces.
    pub place: usize,
    /// Steps that wait for more than other steps.
    pub gated: Vec<usize>,
    /// Steps that are at a partner.
    pub away: Vec<usize>,
}

/// What the trials answer, in days from the plan's day.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Answer {
    /// The last day for the gates of each gated step.
    pub choose: Vec<(usize, u16)>,
    /// The likely return of each step that is away.
    pub back: Vec<(usize, u16)>,
}

/// One trial's word on one gated step, or on one that is away.
#[derive(Clone, Copy, Debug)]
struct Float {
    finished: u16,
    /// The last day on which it can begin without moving that; for what is away the day of its return.
    last: u16,
    /// The partner of a step that begins when a parcel leaves.
    partner: Option<u16>,
}

/// What is asked about a plan, ready to be looked for in its trials.
#[derive(Debug)]
pub struct Asking<'a> {
    plan: &'a Plan<'a>,
    asked: &'a [Asked],
    slots: Vec<Vec<usize>>,
}

/// What one trial says, by piece and step.
#[derive(Debug)]
pub struct Look(Vec<Vec<Float>>);

impl<'a> Asking<'a> {
    pub fn of(plan: &'a Plan<'a>, asked: &'a [Asked]) -> Asking<'a> {
        Asking { plan, asked, slots: asked.iter().map(|a| slots_of(plan, a.place)).collect() }
    }

    /// Looks at a trial that is over.
    pub fn look(&self, played: &Scratch) -> Look {
        let each = self.asked.iter().zip(&self.slots);
        Look(each.map(|(asked, slots)| floats(self.plan, played, asked, slots)).collect())
    }

    /// Answers for each piece.
    pub fn answers(&self, looks: Vec<Look>) -> Vec<Answer> {
        self.asked.iter().enumerate().map(|(at, asked)| self.answer(&looks, at, asked)).collect()
    }

    fn answer(&self, looks: &[Look], at: usize, asked: &Asked) -> Answer {
        let column = |n: usize| -> Vec<Float> {
            looks.iter().filter_map(|Look(row)| row.get(at)?.get(n)).copied().collect()
        };
        let mut answer = Answer::default();
        for (n, step) in asked.gated.iter().chain(&asked.away).enumerate() {
            if n < asked.gated.len() {
                answer.choose.push((*step, last_day(self.plan, &column(n))));
            } else {
                answer.back.push((*step, median(column(n).iter().map(|f| f.last).collect())));
            }
        }
        answer
    }
}

/// Plays trials only to answer for each piece.
pub fn answers(plan: &Plan<'_>, asked: &[Asked], trials: usize) -> Vec<Answer> {
    let asking = Asking::of(plan, asked);
    asking.answers(finished_seen(plan, trials, |played, _| asking.look(played)).1)
}

fn slots_of(plan: &Plan<'_>, place: usize) -> Vec<usize> {
    (0..plan.slots.len()).filter(|slot| plan.slots[*slot].piece as usize == place).collect()
}

/// For the gated steps their last possible days, for those away the days of return.
fn floats(plan: &Plan<'_>, played: &Scratch, asked: &Asked, slots: &[usize]) -> Vec<Float> {
    let finished = played.finished[asked.place];
    let mut beginning = vec![finished; plan.slots.len().min(slots.last().map_or(0, |last| last + 1))];
    // The latest day on which each slot may begin and nothing after it is moved; backwards, as in any network.
    let mut latest = vec![finished; plan.slots.len().min(slots.last().map_or(0, |last| last + 1))];
    for slot in slots.iter().rev() {
        let own = &plan.slots[*slot];
        let (began, ended) = (played.began[*slot].min(finished), played.ended[*slot].min(finished));
        let after = &plan.then[own.then.0 as usize..own.then.1 as usize];
        let by =
            after.iter().filter_map(|next| latest.get(*next as usize)).min().copied().unwrap_or(finished);
        beginning[*slot] = began.saturating_add(by.saturating_sub(ended));
        latest[*slot] = match own.kind {
            WorkKind::Away => last_parcel(plan, own.partner as usize, began, by.saturating_sub(ended)),
            WorkKind::Bench | WorkKind::Rest => beginning[*slot],
        };
    }
    let slot_of = |step: &usize| slots.iter().copied().find(|s| plan.slots[*s].step() == *step);
    let gated = asked.gated.iter().map(|step| {
        let slot = slot_of(step);
        let own = slot.and_then(|s| plan.slots.get(s));
        let partner = own.filter(|own| own.kind.is_away()).map(|own| own.partner);
        Float { finished, last: slot.and_then(|s| beginning.get(s)).copied().unwrap_or(0), partner }
    });
    let away = asked.away.iter().map(|step| {
        let ended = slot_of(step).and_then(|s| played.ended.get(s)).copied();
        Float { finished, last: ended.unwrap_or(0), partner: None }
    });
    gated.chain(away).collect()
}

/// The last parcel that leaves no more than `float` days after the one on `began`.
fn last_parcel(plan: &Plan<'_>, partner: usize, began: u16, float: u16) -> u16 {
    let Some(leaving) = plan.partners.get(partner) else { return began };
    let leaves = |day: &u16| leaving.next.get(usize::from(*day)) == Some(day);
    (began..=began.saturating_add(float)).rev().find(leaves).unwrap_or(began)
}

/// The latest day for which the median of the finish does not move. What misses a parcel waits for the next.
fn last_day(plan: &Plan<'_>, floats: &[Float]) -> u16 {
    let begins = |float: &Float, gate: u16| {
        let partner = float.partner.and_then(|at| plan.partners.get(usize::from(at)));
        partner.and_then(|leaving| leaving.next.get(usize::from(gate))).copied().unwrap_or(gate)
    };
    let late = |float: &Float, gate: u16| match gate {
        // Met today, as in the trial.
        0 => 0,
        _ => begins(float, gate).saturating_sub(float.last),
    };
    let likely_with =
        |gate: u16| median(floats.iter().map(|f| f.finished.saturating_add(late(f, gate))).collect());
    let (likely, mut from, mut to) = (likely_with(0), 0u16, 3653u16);
    while from < to {
        let middle = from + (to - from).div_ceil(2);
        if likely_with(middle) <= likely { from = middle } else { to = middle - 1 }
    }
    from
}

fn median(mut days: Vec<u16>) -> u16 {
    days.sort_unstable();
    days.get(days.len() / 2).copied().unwrap_or(0)
}
