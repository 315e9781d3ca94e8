//! Places are taken and given up as they should be; no connection is needed for that.

use super::*;
use std::future::pending;

/// Takes in one more and gives its place.
fn come(guests: &Arc<Guests>) -> Arc<Seat> {
    let mut place = None;
    guests.take_in(|seat| {
        place = Some(Arc::new(seat));
        tokio::spawn(pending::<()>()).abort_handle()
    });
    place.unwrap()
}

fn is_there(seat: &Seat) -> bool {
    seat.guests.places().guests.contains_key(&seat.number)
}

fn within_a_runtime(what: impl FnOnce(Arc<Guests>)) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap();
    runtime.block_on(async { what(Arc::new(Guests::default())) });
}

#[test]
fn who_has_asked_nothing_makes_room_first() {
    within_a_runtime(|guests| {
        let seats: Vec<_> = (0..PLACES).map(|_| come(&guests)).collect();
        let turns: Vec<_> = seats.iter().take(PLACES - 2).map(Turn::begin).collect();
        let one = come(&guests);
        assert!(!is_there(&seats[PLACES - 2]) && is_there(&seats[PLACES - 1]) && is_there(&seats[0]));
        let two = come(&guests);
        assert!(!is_there(&seats[PLACES - 1]) && is_there(&one) && is_there(&two));
        // Nobody asks any more, so the answer that has taken longest is given up.
        let _turns = [Turn::begin(&one), Turn::begin(&two)];
        let _three = come(&guests);
        assert!(!is_there(&seats[0]) && is_there(&seats[1]));
        assert_eq!(guests.places().guests.len(), PLACES);
        drop((turns, seats));
        assert_eq!(guests.places().guests.len(), 3);
    });
}

#[test]
fn there_are_never_more_followers_than_places_for_them() {
    within_a_runtime(|guests| {
        let seats: Vec<_> = (0..FOLLOWERS + 1).map(|_| come(&guests)).collect();
        let turns: Vec<_> = seats.iter().map(Turn::begin).collect();
        turns.iter().for_each(Turn::follows);
        assert!(!is_there(&seats[0]) && is_there(&seats[1]) && is_there(&seats[FOLLOWERS]));
        assert_eq!(guests.places().followers(), FOLLOWERS);
    });
}

#[test]
fn a_request_has_its_time_and_so_has_an_answer() {
    within_a_runtime(|guests| {
        let seat = come(&guests);
        let overdue = |after: Duration| {
            let mut places = guests.places();
            let guest = places.guests.get_mut(&seat.number).unwrap();
            let since = guest.since;
            guest.since = since.checked_sub(after).unwrap();
            let overdue = guest.is_overdue();
            guest.since = since;
            overdue
        };
        assert!(!overdue(ASKING / 2) && overdue(ASKING * 2));
        let turn = Turn::begin(&seat);
        assert!(!overdue(ASKING * 2) && overdue(TAKING * 2));
        turn.follows();
        assert!(!overdue(TAKING * 100));
        drop(turn);
        assert!(overdue(ASKING * 2));
    });
}
