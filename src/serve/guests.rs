//! Who is connected, what each is about, and since when. Their number is bounded and so is the time that each of them
//! may take, so that nobody keeps others from being answered.
//!
//! When all places are taken, the next one is let in all the same: whoever has been asking for longest without having
//! asked anything goes for that, else whoever has been taking an answer for longest. A browser that is sent away so comes
//! again by itself.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use tokio::task::AbortHandle;

/// So many connections are open at a time. A browser opens six.
const PLACES: usize = 64;
/// So many of them may wait for changes.
const FOLLOWERS: usize = 32;
/// How long a request may take to come, from when it could begin: the first one, and each that follows on the same
/// connection.
const ASKING: Duration = Duration::from_secs(5);
/// How long an answer may take to be made and to be read.
const TAKING: Duration = Duration::from_secs(30);

/// All who are connected.
#[derive(Debug, Default)]
pub(super) struct Guests(Mutex<Places>);

#[derive(Debug, Default)]
struct Places {
    last: u64,
    guests: BTreeMap<u64, Guest>,
}

#[derive(Debug)]
struct Guest {
    doing: Doing,
    since: Instant,
    task: AbortHandle,
}

/// What a connection is about; whoever comes first here goes first when there is no room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Doing {
    /// It has not asked yet, or not to the end.
    Asking,
    /// It is being answered.
    Taking,
    /// It is told of changes as long as it is there.
    Following,
}

impl Guests {
    /// Takes in one more; `begin` sets off what talks to it.
    pub fn take_in(self: &Arc<Guests>, begin: impl FnOnce(Seat) -> AbortHandle) {
        let mut places = self.places();
        places.make_room();
        places.last += 1;
        let number = places.last;
        let task = begin(Seat { guests: Arc::clone(self), number });
        places.guests.insert(number, Guest { doing: Doing::Asking, since: Instant::now(), task });
    }

    pub fn send_away_who_stays_too_long(&self) {
        self.places().guests.values().filter(|guest| guest.is_overdue()).for_each(|guest| guest.task.abort());
    }

    fn places(&self) -> MutexGuard<'_, Places> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Guest {
    fn is_overdue(&self) -> bool {
        let limit = match self.doing {
            Doing::Asking => ASKING,
            Doing::Taking => TAKING,
            Doing::Following => return false,
        };
        self.since.elapsed() > limit
    }
}

impl Places {
    fn make_room(&mut self) {
        if self.guests.len() >= PLACES {
            self.send_away_first(|_| true);
        }
    }

    fn send_away_first(&mut self, of: impl Fn(&Guest) -> bool) {
        let some = self.guests.iter().filter(|(_, guest)| of(guest));
        let first = some.min_by_key(|(_, guest)| (guest.doing, guest.since)).map(|(number, _)| *number);
        if let Some(guest) = first.and_then(|number| self.guests.remove(&number)) {
            guest.task.abort();
        }
    }

    fn followers(&self) -> usize {
        self.guests.values().filter(|guest| guest.doing == Doing::Following).count()
    }
}

/// The place of one connection; it is free again when this is dropped.
#[derive(Debug)]
pub(super) struct Seat {
    guests: Arc<Guests>,
    number: u64,
}

impl Seat {
    /// From now on it is about something else.
    pub fn turns_to(&self, doing: Doing) {
        let mut places = self.guests.places();
        if doing == Doing::Following && places.followers() >= FOLLOWERS {
            places.send_away_first(|guest| guest.doing == Doing::Following);
        }
        if let Some(guest) = places.guests.get_mut(&self.number) {
            (guest.doing, guest.since) = (doing, Instant::now());
        }
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        self.guests.places().guests.remove(&self.number);
    }
}

/// An answer that is being taken; when this is dropped the next request may come.
#[derive(Debug)]
pub(super) struct Turn(Arc<Seat>);

impl Turn {
    pub fn begin(seat: &Arc<Seat>) -> Turn {
        seat.turns_to(Doing::Taking);
        Turn(Arc::clone(seat))
    }

    /// It is an answer that goes on for as long as the page is open.
    pub fn follows(&self) {
        self.0.turns_to(Doing::Following);
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        self.0.turns_to(Doing::Asking);
    }
}

#[cfg(test)]
mod tests;
