//! One trial: the open queue played forward, day by day, with one draw of luck.
//!
//! On each day what came back or has rested long enough goes on; then the bench works through its minutes,
//! always on the step that is first in line (a piece that became ready in the morning goes before one behind it
//! that was begun yesterday); what it finishes sets off the next steps. All times are whole minutes and days.

use super::chance::{mix, pair};
use super::learn::SHARES;
use super::plan::{HORIZON, NONE, Plan};
use super::ready::Ready;
use crate::model::WorkKind;

/// Memory that is used again from trial to trial.
#[derive(Clone, Debug)]
pub struct Scratch {
    needs: Vec<u16>,
    /// Minutes left of each bench slot.
    minutes: Vec<u32>,
    /// The next slot that becomes due on the same day.
    next_due: Vec<u32>,
    /// The first slot that is due on each day, its kind of event in the lowest bit.
    due: Vec<u32>,
    last_due: usize,
    ready: Ready,
    left: Vec<u16>,
    pub finished: Vec<u16>,
    /// When each slot was begun and when it was over, where it is asked for.
    pub began: Vec<u16>,
    pub ended: Vec<u16>,
    real_left: usize,
    luck: u64,
    /// Speed of each partner in this trial, in 1024ths.
    slowness: Vec<u32>,
    waiting: Vec<Vec<u32>>,
    /// Since when the first of them waits.
    waiting_since: Vec<usize>,
    pub(super) pace: Vec<u32>,
    /// What each hand holds overnight, where the line is not kept strictly.
    pub(super) holds: Vec<u32>,
    pub(super) last_kind: u32,
    picks: u64,
    /// Minutes that each pair of hands has used on the day, where the line is not kept strictly.
    used: Vec<u32>,
}

/// What the bench did on a day of a trial, in minutes of the owner's figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BenchDay {
    /// Counted from the plan's day.
    pub day: usize,
    /// What each pair of hands could have done.
    pub earned: u32,
    /// What all hands did.
    pub used: u32,
}

const DONE: u32 = 0;
const RELEASE: u32 = 1;

impl Scratch {
    pub fn new(plan: &Plan<'_>) -> Scratch {
        let slots = plan.slots.len();
        Scratch {
            needs: vec![0; slots],
            minutes: vec![0; slots],
            next_due: vec![NONE; slots],
            due: vec![NONE; HORIZON],
            last_due: 0,
            ready: Ready::for_slots(slots),
            left: Vec::new(),
            finished: vec![HORIZON as u16; plan.left.len()],
            began: vec![u16::MAX; slots],
            ended: vec![u16::MAX; slots],
            real_left: 0,
            luck: 0,
            slowness: Vec::new(),
            waiting: vec![Vec::new(); plan.partners.len()],
            waiting_since: vec![0; plan.partners.len()],
            pace: Vec::new(),
            holds: vec![NONE; plan.hands],
            last_kind: NONE,
            picks: 0,
            used: vec![0; plan.hands],
        }
    }

    /// Plays one trial; afterwards `finished` holds the day of each piece.
    pub fn play(&mut self, plan: &Plan<'_>, trial: u64) {
        self.play_seen(plan, trial, |_| true);
    }

    /// The same, and `see` is told what the bench did on each day that it worked; the trial ends when it says so.
    pub fn play_seen(&mut self, plan: &Plan<'_>, trial: u64, mut see: impl FnMut(BenchDay) -> bool) {
        self.reset(plan, trial);
        for (slot, day, gone_on) in &plan.start {
            match gone_on {
                Some(age) => self.resume(plan, *slot, *age),
                None if *day == 0 => self.release(plan, *slot, 0),
                None => self.put(*slot, *day as usize, RELEASE),
            }
        }
        for day in 0..HORIZON {
            self.settle(plan, day);
            if plan.minutes[day] > 0 && self.is_wanted() {
                let minutes = self.minutes_on(plan, day);
                let used = self.work(plan, day, minutes);
                if !see(BenchDay { day, earned: minutes, used }) {
                    break;
                }
            }
            if self.real_left == 0 {
                break;
            }
            self.send_what_waited_long(plan, day);
        }
    }

    fn reset(&mut self, plan: &Plan<'_>, trial: u64) {
        self.luck = mix(trial ^ 0x5bd1_e995_7b7d_1593);
        for (needs, slot) in self.needs.iter_mut().zip(&plan.slots) {
            *needs = slot.needs;
        }
        self.left.clone_from(&plan.left);
        self.finished.fill(HORIZON as u16);
        let used = (self.last_due + 1).min(HORIZON);
        self.due[..used].fill(NONE);
        self.last_due = 0;
        self.ready.clear();
        self.real_left = plan.left[..plan.real].iter().filter(|left| **left > 0).count();
        for (finished, left) in self.finished.iter_mut().zip(&plan.left) {
            if *left == 0 {
                *finished = 0;
            }
        }
        self.pace.clear();
        self.slowness.clear();
        let luck = self.luck;
        self.slowness
            .extend(plan.partners.iter().map(|p| plan.learned.slowness(p.spread, pair(p.key, luck))));
        self.waiting.iter_mut().for_each(Vec::clear);
        self.holds.fill(NONE);
        self.last_kind = NONE;
        self.picks = 0;
    }

    fn is_wanted(&self) -> bool {
        self.ready.len() > 0 || self.holds.iter().any(|slot| *slot != NONE)
    }

    /// What the bench really earns on a day.
    fn minutes_on(&mut self, plan: &Plan<'_>, day: usize) -> u32 {
        let week = (day + plan.weekday as usize) / 7;
        while self.pace.len() <= week {
            let number = plan.first_week + self.pace.len() as u64;
            self.pace.push(plan.learned.pace.in_week(self.luck, number, plan.first_week));
        }
        ((u64::from(plan.minutes[day]) * u64::from(self.pace[week])) >> 10) as u32
    }

    fn put(&mut self, slot: u32, day: usize, event: u32) {
        if day >= HORIZON {
            return;
        }
        self.next_due[slot as usize] = self.due[day];
        self.due[day] = slot << 1 | event;
        self.last_due = self.last_due.max(day);
    }

    /// Lets everything go on that is due on a day, and what that sets off the same day.
    #[inline]
    fn settle(&mut self, plan: &Plan<'_>, day: usize) {
        while self.due[day] != NONE {
            let event = self.due[day];
            let slot = event >> 1;
            self.due[day] = self.next_due[slot as usize];
            if event & 1 == DONE { self.complete(plan, slot, day) } else { self.release(plan, slot, day) }
        }
    }

    /// The table's entry for this slot's own luck.
    #[inline]
    fn draw(&self, plan: &Plan<'_>, table: u32, number: u64) -> u32 {
        let at = (number >> 56) as usize;
        plan.learned.tables[table as usize + at]
    }

    /// All that a step needs is there.
    fn release(&mut self, plan: &Plan<'_>, slot: u32, day: usize) {
        let own = &plan.slots[slot as usize];
        match own.kind {
            WorkKind::Bench => {
                self.minutes[slot as usize] = self.draw(plan, own.table, pair(own.key, self.luck));
                self.began[slot as usize] = u16::MAX;
                self.ready.insert(slot);
            }
            WorkKind::Rest => {
                let days = self.draw(plan, own.table, pair(own.key, self.luck));
                self.began[slot as usize] = day as u16;
                self.put(slot, day + days as usize, DONE);
            }
            WorkKind::Away => self.hand_over(plan, slot, day),
        }
    }

    /// A step waits for the next parcel.
    fn hand_over(&mut self, plan: &Plan<'_>, slot: u32, day: usize) {
        let partner = plan.slots[slot as usize].partner as usize;
        let Some(leaving) = plan.partners.get(partner) else { return };
        if leaving.pieces == 0 {
            let planned = leaving.next.get(day).map_or(day, |next| usize::from(*next));
            // A parcel is late for all that is in it.
            let lag = self.draw(plan, leaving.lag, pair(leaving.key ^ planned as u64, self.luck));
            let leaves = planned + lag as usize;
            self.send(plan, slot, partner, leaves, planned);
            return;
        }
        if self.waiting[partner].is_empty() {
            self.waiting_since[partner] = day;
        }
        self.waiting[partner].push(slot);
        if self.waiting[partner].len() >= leaving.pieces as usize {
            self.send_parcel(plan, partner, day);
        }
    }

    fn send_parcel(&mut self, plan: &Plan<'_>, partner: usize, day: usize) {
        for slot in std::mem::take(&mut self.waiting[partner]) {
            self.send(plan, slot, partner, day, day);
        }
    }

    /// Parcels that do not get full leave all the same when nobody has the patience any more.
    fn send_what_waited_long(&mut self, plan: &Plan<'_>, day: usize) {
        for (partner, leaving) in plan.partners.iter().enumerate().filter(|(_, leaving)| leaving.pieces > 0) {
            let waited = day.saturating_sub(self.waiting_since[partner]);
            if !self.waiting[partner].is_empty() && waited >= leaving.patience as usize {
                self.send_parcel(plan, partner, (day + 1).min(HORIZON - 1));
            }
        }
    }

    /// Pieces of one parcel come back together: their luck hangs on partner and day, not on the piece.
    fn send(&mut self, plan: &Plan<'_>, slot: u32, partner: usize, leaves: usize, parcel: usize) {
        let leaving = &plan.partners[partner];
        // Counted from a fixed day, so that a parcel has the same luck whenever it is looked at.
        let absolute = plan.first_week * 7 + u64::from(plan.weekday) + parcel as u64;
        let days = self.draw(plan, leaving.table, pair(leaving.key ^ absolute << 8, self.luck));
        let days = (u64::from(days) * u64::from(self.slowness[partner])) >> 10;
        self.began[slot as usize] = leaves.min(HORIZON) as u16;
        self.put(slot, leaves + days as usize, DONE);
    }

    /// A rest or an absence that has already gone on for some days: its luck is what is left of the table
    /// beyond them.
    fn resume(&mut self, plan: &Plan<'_>, slot: u32, age: u32) {
        let own = &plan.slots[slot as usize];
        let (table, slow, key) = match own.kind {
            WorkKind::Away => {
                let Some(p) = plan.partners.get(own.partner as usize) else { return };
                let sent = (plan.first_week * 7 + u64::from(plan.weekday)).wrapping_sub(u64::from(age));
                (p.table, self.slowness[own.partner as usize], p.key ^ sent << 8)
            }
            WorkKind::Bench | WorkKind::Rest => (own.table, 1024, own.key),
        };
        let table = &plan.learned.tables[table as usize..table as usize + SHARES];
        let days = |entry: u32| (u64::from(entry) * u64::from(slow)) >> 10;
        let over = table.partition_point(|entry| days(*entry) <= u64::from(age));
        let luck = pair(key, self.luck);
        let left = match SHARES - over {
            // Longer than anything known: what is late stays late, in proportion to how late it is.
            0 => plan.learned.overdue(age, luck),
            rest => days(table[over + (((luck >> 32) * rest as u64) >> 32) as usize]) - u64::from(age),
        };
        self.began[slot as usize] = 0;
        self.put(slot, left as usize, DONE);
    }

    /// A step is over: the steps that waited for it alone go on.
    fn complete(&mut self, plan: &Plan<'_>, slot: u32, day: usize) {
        let own = &plan.slots[slot as usize];
        self.ended[slot as usize] = day as u16;
        let left = &mut self.left[own.piece as usize];
        *left -= 1;
        if *left == 0 {
            self.finished[own.piece as usize] = day as u16;
            if (own.piece as usize) < plan.real {
                self.real_left -= 1;
            }
        }
        for then in own.then.0..own.then.1 {
            let next = plan.then[then as usize];
            let needs = &mut self.needs[next as usize];
            *needs -= 1;
            if *needs == 0 {
                self.release(plan, next, day);
            }
        }
    }

    /// One day at the bench.
    fn work(&mut self, plan: &Plan<'_>, day: usize, minutes: u32) -> u32 {
        if plan.hands > 1 || plan.batches || plan.learned.loose > 0 {
            return self.work_loosely(plan, day, minutes);
        }
        let mut left = minutes;
        while let Some(slot) = self.ready.first() {
            let own = &mut self.minutes[slot as usize];
            if self.began[slot as usize] == u16::MAX && left > 0 {
                self.began[slot as usize] = day as u16;
            }
            if *own > left {
                *own -= left;
                return minutes;
            }
            left -= *own;
            self.ready.remove(slot);
            self.complete(plan, slot, day);
            self.settle(plan, day);
        }
        minutes - left
    }

    /// One day at a bench with several hands, or one that does not keep strictly to the line.
    fn work_loosely(&mut self, plan: &Plan<'_>, day: usize, minutes: u32) -> u32 {
        let keeps = plan.batches || plan.learned.loose > 0;
        self.used.fill(0);
        let mut idle = 0;
        while let Some((hand, spent)) =
            self.used.iter().copied().enumerate().min_by_key(|(_, u)| *u).filter(|(_, u)| *u < minutes)
        {
            if self.holds[hand] == NONE {
                match self.pick(plan) {
                    Some(slot) => {
                        self.ready.remove(slot);
                        self.holds[hand] = slot;
                    }
                    None => {
                        idle += minutes - spent;
                        self.used[hand] = minutes;
                        continue;
                    }
                }
            }
            let slot = self.holds[hand];
            if self.began[slot as usize] == u16::MAX {
                self.began[slot as usize] = day as u16;
            }
            let own = self.minutes[slot as usize];
            if own > minutes - spent {
                self.minutes[slot as usize] = own - (minutes - spent);
                self.used[hand] = minutes;
                continue;
            }
            self.used[hand] = spent + own;
            self.holds[hand] = NONE;
            self.last_kind = plan.slots[slot as usize].same;
            self.complete(plan, slot, day);
            self.settle(plan, day);
        }
        if !keeps {
            for hand in 0..plan.hands {
                let slot = std::mem::replace(&mut self.holds[hand], NONE);
                if slot != NONE {
                    self.ready.insert(slot);
                }
            }
        }
        self.used.iter().sum::<u32>() - idle
    }

    /// Which step the bench takes next.
    fn pick(&mut self, plan: &Plan<'_>) -> Option<u32> {
        if plan.batches {
            let same = self.ready.iter().find(|s| plan.slots[*s as usize].same == self.last_kind);
            if same.is_some() {
                return same;
            }
        }
        if plan.learned.loose > 0 && self.ready.len() > 1 {
            self.picks += 1;
            let luck = pair(self.picks, self.luck);
            if (luck & 0xffff) < u64::from(plan.learned.loose) {
                let at = ((luck >> 32) * self.ready.len() as u64) >> 32;
                return self.ready.nth(at as usize);
            }
        }
        self.ready.first()
    }
}
