//! What the trials said before, so that a pass plays only those again of which something new is known.
//!
//! Trials as of a day hang on nothing but what was known on that day: their result is kept by the digest of
//! exactly that. Whoever joins the stages keeps the memo between passes; nothing here reads or writes it.

use super::choose::{Answer, Asked};
use super::pages::Reckoned;
use super::windows::Raw;
use crate::base::day::Day;
use crate::base::digest::Digest;
use crate::base::minutes::Minutes;
use crate::model::{Facts, PieceFacts, StepFacts};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::hash::{Hash, Hasher};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Results of trials by the digest of what they were played from.
#[derive(Debug, Default)]
pub struct Memo {
    /// Whether anything came or went since it was read or kept.
    stirred: AtomicBool,
    said: Mutex<Shelves>,
    /// All that was reckoned last, by the digest of all facts and the day.
    last: Mutex<Option<(Digest, Arc<Reckoned>)>>,
}

#[derive(Debug, Default, Serialize, Deserialize)]
struct Shelves {
    days: BTreeMap<String, Remembered<Days>>,
    answers: BTreeMap<String, Remembered<Answered>>,
}

/// What trials answer about some pieces, and what the bench gets through in a usual week.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Answered {
    pub week: Minutes,
    pub answers: Vec<Answer>,
}

/// What a file holds.
#[derive(Default, Serialize, Deserialize)]
struct InFile<S, R> {
    said: S,
    last: Option<(String, R)>,
}

/// For each open piece its place among those that were there, and its three days.
type Days = Vec<(usize, [u16; 3])>;

#[derive(Debug, Clone, Serialize, Deserialize)]
struct Remembered<T> {
    said: T,
    /// Whether this pass asked for it.
    #[serde(skip)]
    asked: bool,
}

impl Memo {
    /// What was remembered as `as_text` wrote it; nothing if it cannot be understood.
    pub fn of_text(text: &[u8]) -> Memo {
        let Ok(InFile { said, last }) = serde_json::from_slice::<InFile<Shelves, Reckoned>>(text) else {
            return Memo::default();
        };
        let last = last.and_then(|(of, last)| Some((Digest::from_hex(&of)?, Arc::new(last))));
        Memo { said: Mutex::new(said), last: Mutex::new(last), ..Memo::default() }
    }

    /// All that is remembered, for a file.
    pub fn as_text(&self) -> Vec<u8> {
        let last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        let last = last.as_ref().map(|(of, last)| (of.hex(), &**last));
        serde_json::to_vec(&InFile { said: &*self.lock(), last }).unwrap_or_default()
    }

    /// Whether anything came or went since this was asked last.
    pub fn has_stirred(&self) -> bool {
        self.stirred.swap(false, Ordering::Relaxed)
    }

    /// Forgets what was not asked for since the last time.
    fn prune(&self) {
        let mut said = self.lock();
        said.days.retain(|_, kept| std::mem::take(&mut kept.asked));
        said.answers.retain(|_, kept| std::mem::take(&mut kept.asked));
    }

    /// What follows from the facts of this digest: remembered if it is the last one, or reckoned now.
    pub(super) fn reckoned(&self, facts: Digest, reckon: impl FnOnce() -> Reckoned) -> Arc<Reckoned> {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, reckoned)) = last.as_ref().filter(|(of, _)| *of == facts) {
            return Arc::clone(reckoned);
        }
        let reckoned = Arc::new(reckon());
        self.prune();
        self.stirred.store(true, Ordering::Relaxed);
        *last = Some((facts, Arc::clone(&reckoned)));
        reckoned
    }

    fn lock(&self) -> MutexGuard<'_, Shelves> {
        self.said.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What trials as of `day` say: remembered, or played now.
    pub fn windows(
        &self,
        known: &DigestedFacts<'_>,
        day: Day,
        trials: usize,
        play: impl FnOnce() -> Vec<Raw>,
    ) -> Vec<Raw> {
        let there = known.there(day);
        let days = self.remembered(
            |said| &mut said.days,
            Digest::of_value(&(known.on(day), trials)),
            || {
                let place = |raw: Raw| Some((there.binary_search(&raw.piece).ok()?, raw.days));
                play().into_iter().filter_map(place).collect()
            },
        );
        days.into_iter().filter_map(|(place, days)| Some(Raw { piece: *there.get(place)?, days })).collect()
    }

    /// What trials as of `day` answer: remembered, or played now.
    pub fn answered(
        &self,
        known: &DigestedFacts<'_>,
        day: Day,
        (asked, trials): (&[Asked], usize),
        play: impl FnOnce() -> Answered,
    ) -> Answered {
        let of = Digest::of_value(&(known.on(day), asked, trials));
        self.remembered(|said| &mut said.answers, of, play)
    }

    /// Whether the trials as of `day` are remembered.
    pub fn has_windows(&self, known: &DigestedFacts<'_>, day: Day, trials: usize) -> bool {
        self.lock().days.contains_key(&Digest::of_value(&(known.on(day), trials)).hex())
    }

    /// What stands on a shelf under this digest, put there now if it is not there.
    fn remembered<T: Clone>(
        &self,
        shelf: impl Fn(&mut Shelves) -> &mut BTreeMap<String, Remembered<T>>,
        of: Digest,
        make: impl FnOnce() -> T,
    ) -> T {
        let name = of.hex();
        if let Some(kept) = shelf(&mut self.lock()).get_mut(&name) {
            kept.asked = true;
            return kept.said.clone();
        }
        // Not under the lock: trials take long.
        let said = make();
        shelf(&mut self.lock()).insert(name, Remembered { said: said.clone(), asked: true });
        said
    }
}

/// Facts whose digest as of any day is quickly told.
#[derive(Debug)]
pub struct DigestedFacts<'a> {
    facts: &'a Facts,
    /// All but the pieces.
    frame: Digest,
    /// For each piece its last day, and the digest of the whole of it.
    whole: Vec<(Day, Digest)>,
}

impl<'a> DigestedFacts<'a> {
    pub fn of(facts: &'a Facts) -> DigestedFacts<'a> {
        let Facts { hours, closures, hands, batches, routes, partners, pieces } = facts;
        let frame = Digest::of_value(&(hours, closures, hands, batches, routes, partners));
        let whole = pieces.iter().map(|piece| (last_day(piece), Digest::of_value(piece)));
        DigestedFacts { facts, frame, whole: whole.collect() }
    }

    /// The digest of all facts.
    pub fn all(&self) -> Digest {
        Digest::of_value(&(self.frame, self.whole.iter().map(|(_, whole)| *whole).collect::<Vec<_>>()))
    }

    /// Places of the pieces that were there on a day.
    fn there(&self, day: Day) -> Vec<usize> {
        let all = self.facts.pieces.iter().enumerate();
        all.filter(|(_, piece)| piece.taken_in <= day).map(|(at, _)| at).collect()
    }

    /// The digest of what was known on a day.
    fn on(&self, day: Day) -> Digest {
        let there = self.facts.pieces.iter().zip(&self.whole).filter(|(piece, _)| piece.taken_in <= day);
        let each = there.map(|(piece, (last, whole))| match *last <= day {
            true => *whole,
            false => Digest::of_value(&AsOf { piece, day }),
        });
        Digest::of_value(&(self.frame, day, each.collect::<Vec<_>>()))
    }
}

/// A piece with the facts left out that were not known on the day: those that `view` leaves out.
struct AsOf<'a> {
    piece: &'a PieceFacts,
    day: Day,
}

impl Hash for AsOf<'_> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        let PieceFacts { key, route, taken_in, in_line, rush, collected, steps } = self.piece;
        let known = |fact: &Option<Day>| fact.filter(|d| *d <= self.day);
        (key, route, taken_in, known(in_line), rush, known(collected), steps.len()).hash(state);
        for StepFacts { reached, sent, gates_met } in steps {
            (known(reached), known(sent), known(gates_met)).hash(state);
        }
    }
}

/// The last day on which anything was written down about a piece.
fn last_day(piece: &PieceFacts) -> Day {
    let steps = piece.steps.iter().flat_map(|step| [step.reached, step.sent, step.gates_met]);
    steps.chain([piece.in_line, piece.collected]).flatten().fold(piece.taken_in, Day::max)
}

/// A number kept to its last bit; the digits of JSON need not be read as the same one.
pub mod exact {
    use serde::{Deserialize, Deserializer, Serializer};

    pub fn serialize<S: Serializer>(number: &f64, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u64(number.to_bits())
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
        u64::deserialize(deserializer).map(f64::from_bits)
    }
}
