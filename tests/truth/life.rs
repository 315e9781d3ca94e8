//! The true life of an invented shop, day by day, and what its owner wrote down of it.

use super::kinds::Kind;
use super::luck::Luck;
use super::routes;
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::{Closure, Facts, PieceFacts, RoutePlan, StepFacts, StepWork};
use benchlight::door::work::calendar::parcels;
use benchlight::door::work::estimate::pert;

/// A shop: what is on record, and the days on which estimates are asked for.
pub struct Shop {
    pub facts: Facts,
    pub first_asked: Day,
    pub last_asked: Day,
    /// By then everything that was open on the last of these days is over.
    pub end: Day,
}

/// Days that everything open may take to come to its end.
const AFTER: u32 = 900;

struct Life<'a> {
    kind: &'a Kind,
    luck: Luck,
    routes: Vec<RoutePlan>,
    pieces: Vec<Live>,
    today: u32,
    start: Day,
    pace: f64,
    ill_until: u32,
    partner_mood: Vec<f64>,
    /// Partner, day of leaving, and the day of return.
    parcels: Vec<(usize, u32, f64)>,
    last_kind: (usize, usize),
    in_hand: Vec<Option<(usize, usize)>>,
}

/// A piece in its true life.
struct Live {
    route: usize,
    arrived: u32,
    line: u32,
    rush: bool,
    pose: u32,
    hard: f64,
    steps: Vec<Step>,
}

#[derive(Clone, Copy, Default)]
struct Step {
    /// True minutes left (bench), or the day on which it ends (rest, away).
    left: f64,
    begun: bool,
    sent: Option<u32>,
    over: Option<u32>,
}

/// Lives a shop of this kind.
pub fn shop(kind: &Kind, seed: u64) -> Shop {
    let start = Day::parse("2021-01-04").unwrap();
    let mut life = Life {
        kind,
        luck: Luck::new(seed * 7919 + kind.name.len() as u64 * 104_729),
        routes: routes::all(),
        pieces: Vec::new(),
        today: 0,
        start,
        pace: 0.0,
        ill_until: 0,
        partner_mood: vec![0.0; 2],
        parcels: Vec::new(),
        last_kind: (usize::MAX, 0),
        in_hand: vec![None; kind.hands as usize],
    };
    for _ in 0..kind.begun_with {
        life.arrive();
    }
    let asked_until = kind.record + kind.asked;
    for day in 0..asked_until + AFTER {
        life.day(day);
    }
    let end = start.plus(asked_until + AFTER);
    let facts = life.written_down();
    Shop { facts, first_asked: start.plus(kind.record), last_asked: start.plus(asked_until), end }
}

/// Two weeks in spring and one at the turn of the year, told two months before.
fn closures(start: Day) -> Vec<Closure> {
    let spans = [("04-10", "04-24"), ("12-24", "12-31")];
    let years = start.year()..start.year() + 8;
    let span = |year: i32, (from, to): (&str, &str)| {
        let from = Day::parse(&format!("{year}-{from}")).unwrap();
        let to = Day::parse(&format!("{year}-{to}")).unwrap();
        Closure { from, to, announced: Some(from.minus(60)), why: None }
    };
    years.flat_map(|year| spans.map(|s| span(year, s))).collect()
}

/// Hours by weekday: half a week's on Monday and Tuesday, the rest on Thursday and Saturday.
fn hours(kind: &Kind) -> [Minutes; 7] {
    let part = |share: f64| Minutes((kind.hours * 60.0 * share / f64::from(kind.hands)) as u32);
    [part(0.25), part(0.25), Minutes(0), part(0.25), Minutes(0), part(0.25), Minutes(0)]
}

impl Life<'_> {
    /// Pieces a day that the bench could keep up with.
    fn rate(&self) -> f64 {
        let weights: f64 = self.kind.routes.iter().map(|r| r.1).sum();
        let minutes = |route: &RoutePlan| -> f64 {
            let each = route.steps.iter().map(|s| match s.work {
                StepWork::Bench(figures) => pert::mean(figures),
                _ => 0.0,
            });
            each.sum()
        };
        let mean: f64 =
            self.kind.routes.iter().map(|(r, w)| w * minutes(&self.routes[*r])).sum::<f64>() / weights;
        let true_mean = mean * self.kind.hopeful * (self.kind.spread * self.kind.spread / 2.0).exp();
        let lost = 1.0 - (self.kind.illness + 3.0) / 52.0;
        self.kind.load * self.kind.hours * 60.0 * lost / 7.0 / true_mean
    }

    fn arrive(&mut self) {
        let weights: f64 = self.kind.routes.iter().map(|r| r.1).sum();
        let mut at = self.luck.share() * weights;
        let mut route = self.kind.routes[0].0;
        for (r, w) in self.kind.routes {
            route = *r;
            at -= w;
            if at < 0.0 {
                break;
            }
        }
        let later = |luck: &mut Luck, p: f64, mean: f64| {
            if luck.chance(p) { luck.exponential(mean) as u32 + 1 } else { 0 }
        };
        let line = self.today + later(&mut self.luck, 0.25, 12.0);
        let pose = self.today + later(&mut self.luck, self.kind.dawdle, self.kind.dawdle_days);
        let hard = self.luck.about(1.0, 0.2);
        let rush = self.luck.chance(self.kind.rush);
        let mut steps = vec![Step::default(); self.routes[route].steps.len()];
        for (step, plan) in steps.iter_mut().zip(&self.routes[route].steps) {
            if let StepWork::Bench(figures) = plan.work {
                let median = f64::from(figures.likely.0) * self.kind.hopeful * hard;
                step.left = self.luck.about(median, self.kind.spread);
            }
        }
        self.pieces.push(Live { route, arrived: self.today, line, rush, pose, hard, steps });
    }

    fn day(&mut self, day: u32) {
        self.today = day;
        let date = self.start.plus(day);
        let year = f64::from(day) / 365.25;
        let spring = (std::f64::consts::TAU * (year - 0.33)).cos();
        let autumn = (2.0 * std::f64::consts::TAU * (year - 0.33)).cos();
        let season = (1.0 + self.kind.season * (0.5 * spring + 0.5 * autumn)).max(0.0);
        let rate = self.rate() * season * (1.0 + self.kind.growth * year);
        for _ in 0..self.luck.poisson(rate) {
            self.arrive();
        }
        if day.is_multiple_of(7) {
            self.pace = self.kind.memory * self.pace + self.kind.wander * self.luck.normal();
            if self.luck.chance(self.kind.illness / 52.0 / 1.5) {
                self.ill_until = day + 4 + self.luck.below(14) as u32;
            }
        }
        if day.is_multiple_of(90) {
            for mood in &mut self.partner_mood {
                *mood = 0.5 * *mood + self.kind.quarter * self.luck.normal();
            }
        }
        self.settle();
        let closed = closures(self.start).iter().any(|c| (c.from..=c.to).contains(&date));
        let weekday = date.weekday().num_days_from_monday() as usize;
        let planned = f64::from(hours(self.kind)[weekday].0);
        let skipped = self.luck.chance(0.06);
        if planned > 0.0 && !closed && !skipped && day >= self.ill_until {
            let minutes = planned * self.pace.exp() * self.luck.about(1.0, 0.2);
            for hand in 0..self.in_hand.len() {
                self.bench(hand, minutes);
            }
        }
    }

    fn is_ready(&self, piece: usize, step: usize) -> bool {
        let live = &self.pieces[piece];
        let own = &live.steps[step];
        let gate = if step == routes::POSE_STEP[live.route] { live.pose } else { 0 };
        let first = if step == 0 { live.line } else { 0 };
        own.over.is_none()
            && self.today >= gate.max(first)
            && self.routes[live.route].steps[step].after.iter().all(|n| live.steps[*n].over.is_some())
    }

    /// Rests and absences: begins what can begin, ends what is over.
    fn settle(&mut self) {
        let today = self.today;
        for piece in 0..self.pieces.len() {
            if self.pieces[piece].steps.iter().all(|s| s.over.is_some()) {
                continue;
            }
            for step in 0..self.pieces[piece].steps.len() {
                let work = self.routes[self.pieces[piece].route].steps[step].work;
                if matches!(work, StepWork::Bench(_)) || !self.is_ready(piece, step) {
                    continue;
                }
                if !self.pieces[piece].steps[step].begun {
                    self.begin(piece, step, work);
                }
                let own = &mut self.pieces[piece].steps[step];
                if own.begun && own.left <= f64::from(today) {
                    own.over = Some(today);
                }
            }
        }
    }

    fn begin(&mut self, piece: usize, step: usize, work: StepWork<usize>) {
        let today = self.today;
        match work {
            StepWork::Bench(_) => {}
            StepWork::Rest(figures) => {
                // Damp summers dry slowly.
                let damp = 1.0 + 0.15 * (std::f64::consts::TAU * (f64::from(today) / 365.25 - 0.5)).cos();
                let days = self.luck.about(f64::from(figures.likely) * self.kind.slow * damp, 0.3);
                let own = &mut self.pieces[piece].steps[step];
                (own.begun, own.left) = (true, f64::from(today) + days);
            }
            StepWork::Away { partner } => {
                let date = self.start.plus(today);
                let plan = &routes::partners()[partner];
                if parcels::next_leaving(&plan.parcels, date) != Some(date) || self.luck.chance(0.03) {
                    return;
                }
                let likely = f64::from(plan.days.likely);
                let known = self.parcels.iter().find(|p| p.0 == partner && p.1 == today).map(|p| p.2);
                let back = known.unwrap_or_else(|| {
                    let shared = (self.partner_mood[partner] + self.kind.parcel * self.luck.normal()).exp();
                    let back = f64::from(today) + likely * self.kind.slow * shared;
                    self.parcels.push((partner, today, back));
                    back
                });
                // Some pieces come back with a later parcel.
                let behind = if self.luck.chance(0.06) { 20.0 } else { 0.0 };
                let own = &mut self.pieces[piece].steps[step];
                (own.begun, own.left, own.sent) = (true, back + behind, Some(today));
            }
        }
    }

    /// One hand's day.
    fn bench(&mut self, hand: usize, mut minutes: f64) {
        while minutes > 0.0 {
            let Some((piece, step)) = self.in_hand[hand].take().or_else(|| self.choose()) else { return };
            let own = &mut self.pieces[piece].steps[step];
            own.begun = true;
            if own.left > minutes {
                own.left -= minutes;
                self.in_hand[hand] = Some((piece, step));
                return;
            }
            minutes -= own.left;
            own.over = Some(self.today);
            self.last_kind = (self.pieces[piece].route, step);
        }
    }

    fn choose(&mut self) -> Option<(usize, usize)> {
        let mut possible = Vec::new();
        for piece in 0..self.pieces.len() {
            if self.pieces[piece].steps.iter().all(|s| s.over.is_some()) {
                continue;
            }
            for step in 0..self.pieces[piece].steps.len() {
                let work = self.routes[self.pieces[piece].route].steps[step].work;
                let taken = self.in_hand.contains(&Some((piece, step)));
                if matches!(work, StepWork::Bench(_)) && !taken && self.is_ready(piece, step) {
                    possible.push((piece, step));
                }
            }
        }
        let line = |(piece, step): &(usize, usize)| {
            let live = &self.pieces[*piece];
            (!live.rush, live.line, *piece, *step)
        };
        possible.sort_by_key(line);
        if possible.is_empty() {
            return None;
        }
        if self.luck.chance(self.kind.batch) {
            let same = possible.iter().find(|(p, s)| (self.pieces[*p].route, *s) == self.last_kind);
            if let Some(same) = same {
                return Some(*same);
            }
        }
        if self.luck.chance(self.kind.mood) {
            // What lies on top, or what is quickly done.
            let some = self.luck.below(possible.len());
            let quick = possible
                .iter()
                .copied()
                .min_by(|a, b| self.pieces[a.0].steps[a.1].left.total_cmp(&self.pieces[b.0].steps[b.1].left));
            return if self.luck.chance(0.5) { Some(possible[some]) } else { quick };
        }
        possible.first().copied()
    }

    /// What the owner wrote down.
    fn written_down(mut self) -> Facts {
        let mut pieces = Vec::new();
        let start = self.start;
        for (number, live) in std::mem::take(&mut self.pieces).into_iter().enumerate() {
            let arrived = start.plus(live.arrived);
            let mut steps = Vec::new();
            for (at, own) in live.steps.iter().enumerate() {
                let gate = if at == routes::POSE_STEP[live.route] { live.pose } else { live.arrived };
                let gate = if at == 0 { gate.max(live.line) } else { gate };
                let gates_met = Some(start.plus(gate));
                let is_last = live.steps.len() == at + 1;
                let missing = !is_last && self.luck.chance(self.kind.missing);
                let reached = own.over.filter(|_| !missing).map(|day| self.typed(arrived, day));
                let sent = own.sent.map(|day| start.plus(day));
                steps.push(StepFacts { reached, sent, gates_met });
            }
            let (route, rush) = (live.route, live.rush);
            let in_line = Some(start.plus(live.line));
            let key = 1000 + number as u64;
            pieces.push(PieceFacts { key, route, taken_in: arrived, in_line, rush, collected: None, steps });
        }
        Facts {
            hours: hours(self.kind),
            closures: closures(start),
            hands: self.kind.hands,
            batches: false,
            routes: self.routes,
            partners: routes::partners(),
            pieces,
        }
    }

    /// A day as it is typed: on the day, some days late, or wrong.
    fn typed(&mut self, arrived: Day, day: u32) -> Day {
        let late = if self.luck.chance(self.kind.late) { 1 + self.luck.below(6) as u32 } else { 0 };
        let mut day = self.start.plus(day + late);
        if self.luck.chance(self.kind.wrong) {
            day = if self.luck.chance(0.5) { day.minus(30) } else { day.plus(self.luck.below(20) as u32) };
        }
        day.max(arrived)
    }
}
