//! The open queue as flat lists, ready to be simulated many times: one slot for each step that is left,
//! in the order in which the bench takes them.

use super::chance;
use super::learn::{Learned, arrivals};
use crate::base::day::Day;
use crate::model::{Facts, PartnerPlan, RoutePlan, StepState, WorkKind};
use crate::work::calendar::{BenchCalendar, bench::monday_of, parcels};
use crate::work::view::{DayView, PieceOnDay};

/// A simulation ends after ten years.
pub const HORIZON: usize = 3653;
/// More steps than any route has.
const STEPS: usize = 1024;
/// No such slot, no such day.
pub const NONE: u32 = u32::MAX;

/// Everything that is the same in every trial.
#[derive(Clone, Debug)]
pub struct Plan<'a> {
    pub learned: &'a Learned,
    pub today: Day,
    pub slots: Vec<Slot>,
    /// Places in `slots`, `Slot::then` points into it.
    pub then: Vec<u32>,
    /// Steps left, by piece. Those of the view's open pieces come first, in its order.
    pub left: Vec<u16>,
    /// How many of the pieces are real; the rest are those that will come in meanwhile.
    pub real: usize,
    /// What is set off before the first day is over: slot, day, and since how many days it has gone on.
    pub start: Vec<(u32, u32, Option<u32>)>,
    /// Scheduled minutes of each day from today.
    pub minutes: Vec<u32>,
    /// The week of each day, counted in weeks from a fixed Monday.
    pub first_week: u64,
    pub weekday: u32,
    pub partners: Vec<Leaving>,
    pub hands: usize,
    pub batches: bool,
}

/// A step that is left to do.
#[derive(Clone, Copy, Debug)]
pub struct Slot {
    pub key: u64,
    pub piece: u32,
    pub table: u32,
    pub then: (u32, u32),
    pub needs: u16,
    pub partner: u16,
    pub kind: WorkKind,
    /// The same for the same step of the same route.
    pub same: u32,
}

impl Slot {
    /// The place of the step in its route.
    pub fn step(&self) -> usize {
        self.same as usize % STEPS
    }
}

/// When parcels leave for a partner.
#[derive(Clone, Debug)]
pub struct Leaving {
    pub key: u64,
    pub table: u32,
    pub lag: u32,
    /// For each day from today the day on which the next parcel leaves; empty where pieces are counted.
    pub next: Vec<u16>,
    pub pieces: u32,
    /// A parcel that is not full leaves after so many days all the same.
    pub patience: u32,
    pub spread: f64,
}

/// A piece as the plan is made from it.
struct Candidate<'a> {
    key: u64,
    route: usize,
    rush: bool,
    line: Day,
    arrives: u32,
    brief: bool,
    steps: Option<&'a [StepState]>,
    /// Its place among the pieces of the plan.
    place: usize,
}

impl<'a> Plan<'a> {
    /// The plan for the pieces that were open, with those that are expected to come in behind or ahead of them.
    pub fn new(facts: &Facts, view: &DayView, learned: &'a Learned, extra: &[Newcomer]) -> Plan<'a> {
        let today = view.day;
        let calendar = BenchCalendar::known_on(&facts.hours, &facts.closures, today);
        let mut plan = Plan {
            learned,
            today,
            slots: Vec::new(),
            then: Vec::new(),
            left: Vec::new(),
            real: view.open().count(),
            start: Vec::new(),
            minutes: (0..HORIZON as u32).map(|n| calendar.minutes_on(today.plus(n))).collect(),
            first_week: week_number(today),
            weekday: u32::try_from(today.since(monday_of(today))).unwrap_or(0),
            partners: leavings(facts, learned, today),
            hands: facts.hands.clamp(1, 16) as usize,
            batches: facts.batches,
        };
        let mut line: Vec<Candidate<'_>> =
            view.open().enumerate().map(|(place, open)| candidate(facts, open, place, today)).collect();
        line.extend(extra.iter().enumerate().map(|(n, new)| Candidate {
            key: new.key,
            route: new.route,
            rush: new.rush,
            line: today.plus(new.arrives),
            arrives: new.arrives,
            brief: new.brief,
            steps: None,
            place: plan.real + n,
        }));
        plan.left = vec![0; line.len()];
        // First in line: rush, then by the day that counts, then by the piece itself so that ties stay put.
        line.sort_by_key(|c| (!c.rush, c.line, c.place));
        for piece in &line {
            plan.add(facts, piece);
        }
        plan
    }

    fn add(&mut self, facts: &Facts, piece: &Candidate<'_>) {
        let Some(route) = facts.routes.get(piece.route) else { return };
        let matters = piece.brief.then(|| up_to_parcels(facts, route));
        let is_over = |at: usize| {
            matches!(piece.steps.and_then(|steps| steps.get(at)), Some(StepState::Reached { .. }))
                || matters.as_ref().is_some_and(|matters| matters.get(at) != Some(&true))
        };
        let mut slot_of = vec![NONE; route.steps.len()];
        let first = self.slots.len();
        for (at, step) in route.steps.iter().enumerate().filter(|(at, _)| !is_over(*at)) {
            if let Some(slot) = slot_of.get_mut(at) {
                *slot = self.slots.len() as u32;
            }
            let kind = step.work.kind();
            let partner = step.work.partner().map_or(0, |partner| *partner as u16);
            let needs = step.after.iter().filter(|n| !is_over(**n)).count() as u16;
            self.slots.push(Slot {
                key: chance::pair(piece.key, at as u64),
                piece: piece.place as u32,
                table: self.learned.step_table(piece.route, at),
                then: (0, 0),
                needs,
                partner,
                kind,
                same: (piece.route * STEPS + at) as u32,
            });
            let slot = (self.slots.len() - 1) as u32;
            match piece.steps.and_then(|steps| steps.get(at)) {
                Some(StepState::Sent { since }) => self.start.push((slot, 0, Some(age(self.today, *since)))),
                Some(StepState::Open { since }) => {
                    self.start.push((slot, 0, (kind.is_rest()).then(|| age(self.today, *since))));
                }
                // A gate that is not met is taken as met today.
                _ if needs == 0 => self.start.push((slot, piece.arrives, None)),
                _ => {}
            }
        }
        if let Some(left) = self.left.get_mut(piece.place) {
            *left = (self.slots.len() - first) as u16;
        }
        self.link(facts, piece, &slot_of);
    }

    /// Writes down which slots come after which.
    fn link(&mut self, facts: &Facts, piece: &Candidate<'_>, slot_of: &[u32]) {
        let Some(route) = facts.routes.get(piece.route) else { return };
        for (at, slot) in slot_of.iter().enumerate().filter(|(_, slot)| **slot != NONE) {
            let from = self.then.len() as u32;
            let after = route.steps.iter().zip(slot_of).filter(|(s, _)| s.after.contains(&at));
            self.then.extend(after.map(|(_, slot)| *slot).filter(|s| *s != NONE));
            if let Some(slot) = self.slots.get_mut(*slot as usize) {
                slot.then = (from, self.then.len() as u32);
            }
        }
    }
}

/// A piece that is expected to come in later.
#[derive(Clone, Copy, Debug)]
pub struct Newcomer {
    pub key: u64,
    pub route: usize,
    pub rush: bool,
    /// Days from today.
    pub arrives: u32,
    /// Counts only up to the parcels that wait for others.
    pub brief: bool,
}

/// The steps that leave in a parcel that waits for others, and all that they need.
fn up_to_parcels(facts: &Facts, route: &RoutePlan) -> Vec<bool> {
    let mut matters: Vec<bool> =
        route.steps.iter().map(|step| arrivals::waits_for_others(facts, &step.work)).collect();
    for (at, step) in route.steps.iter().enumerate().rev() {
        if matters.get(at) == Some(&true) {
            for before in &step.after {
                if let Some(matters) = matters.get_mut(*before) {
                    *matters = true;
                }
            }
        }
    }
    matters
}

fn candidate<'a>(facts: &Facts, open: &'a PieceOnDay, place: usize, today: Day) -> Candidate<'a> {
    let piece = facts.pieces.get(open.piece);
    Candidate {
        key: piece.map_or(0, |p| p.key),
        route: piece.map_or(usize::MAX, |p| p.route),
        rush: piece.is_some_and(|p| p.rush),
        // Without a place in line yet, it would get one today.
        line: open.in_line.unwrap_or(today),
        arrives: 0,
        brief: false,
        steps: Some(&open.steps),
        place,
    }
}

/// How many days a thing has gone on.
fn age(today: Day, since: Day) -> u32 {
    u32::try_from(today.since(since)).unwrap_or(0)
}

/// Weeks from a fixed Monday, so that a week has the same luck whenever it is looked at.
pub fn week_number(day: Day) -> u64 {
    Day::parse("1900-01-01").map_or(0, |first| (day.since(first) / 7).unsigned_abs())
}

fn leavings(facts: &Facts, learned: &Learned, today: Day) -> Vec<Leaving> {
    let next_by_day = |parcels: &crate::model::Parcels| -> Option<Vec<u16>> {
        let mut leaves = parcels::next_leaving(parcels, today)?;
        let each = (0..HORIZON as u32).map(|n| {
            let day = today.plus(n);
            if leaves < day {
                leaves = parcels::next_leaving(parcels, day).unwrap_or(day);
            }
            u16::try_from(leaves.since(today)).unwrap_or(u16::MAX)
        });
        Some(each.collect())
    };
    let leaving = |(at, partner): (usize, &PartnerPlan)| {
        let next = next_by_day(&partner.parcels);
        Leaving {
            key: partner.key,
            table: learned.partner_table(at),
            lag: learned.lag_table(at),
            pieces: match partner.parcels {
                crate::model::Parcels::Pieces(pieces) => pieces.max(1),
                _ => 0,
            },
            patience: learned.patience(at),
            next: next.unwrap_or_default(),
            spread: learned.partner_spread(at),
        }
    };
    facts.partners.iter().enumerate().map(leaving).collect()
}
