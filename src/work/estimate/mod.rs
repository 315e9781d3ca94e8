//! When a piece will be ready: the open queue simulated over the finite bench, learned from the shop's own
//! record and corrected by how its past windows held.
//!
//! `model::facts` (what is known, dated) -> `work::view` (how it stood on a day) -> `learn` (what the record teaches) ->
//! `plan` and `trial` (the queue played forward many times) -> `windows`. How a window is worded is `render`'s.
//!
//! It answers "when will it be done?" for every open piece: soonest, likely, latest day (10, 50 and 90 %).
//!
//! # What it knows
//!
//! Plain dated facts (`model::facts`, built from the shop by `work::dated` alone): each piece's route, day in, place in line, gates, and the days on
//! which steps were reached or sent; bench hours, closures with the day they were announced, partners and their parcel days. Every fact
//! has its day, so the shop as it was on any past day is the same facts with the later ones left out (`view`). Nothing else is kept between
//! passes, and what `memo` remembers changes no result.
//!
//! # The model
//!
//! A trial plays the open queue forward, day by day (`plan`, `trial`). What came back or has rested long enough goes on in the morning. Then
//! the bench works through its minutes of that day, always on the possible step that is first in line (rush first, then by deposit or
//! arrival), as far as the shop keeps to its line. What it finishes sets off the next steps. Parcels leave on their days, or when enough pieces
//! wait; pieces of one parcel come back together. Gates that are not met are taken as met today. Times are whole minutes and days. Ties,
//! threads and order of trials change nothing: each number hangs on (piece, step, trial), on (partner, day of the parcel, trial) or on
//! (calendar week, trial). So the same thing has the same luck in every pass, and an edit to one piece moves others only as far as it really does.
//!
//! # What is drawn
//!
//! | what | from | shared by |
//! |---|---|---|
//! | bench minutes of a step | the beta with the PERT mean and variance of the owner's three figures (`pert`) | nobody |
//! | pace: minutes of figures earned for each scheduled minute | level (recent weeks count more; spread from the shop's age and from how its quarters differed) times runs of its own past weeks, 8 weeks long on average (`learn/pace`) | all pieces of a trial |
//! | rest days | the shop's own, with the owner's figures as five more values; what still goes on counts as "longer than so far" (`learn/times`, `survive`) | nobody |
//! | days at a partner | the same with one value a parcel, and the owner's figures as two and a half more | the parcel; the partner's own slowness is shared by all that is there in a trial |
//! | lateness of a parcel | the shop's own, with three values of "on its day" | the parcel |
//! | order at the bench | how often the step really finished next was not first in line (`learn/order`); then pieces that will come in later matter and are taken from a year ago (`learn/arrivals`); at a strict bench only rush ones and those that fill a parcel, the latter up to that parcel | |
//!
//! Weeks in which there was not enough work at hand say nothing about the pace and are left out. Values that cannot be true (negative, or
//! more than four times the owner's largest figure and 30 days) are left out; dates typed wrong within that are outvoted.
//!
//! # Correction (`correct`, `past`)
//!
//! The same trials are played for past Mondays, every fourth week, two years back. Each past window is compared with what came of it, in window
//! widths on the scale of ln(days + 6); pieces still open count as "longer". Today's windows are moved and stretched to the weighted quantiles
//! of those misses, with a bell curve that weighs as much as ten past days mixed in, so that a young shop keeps the trials' own widths.
//!
//! # What is shown (`shown`, `pages`)
//!
//! Windows are worked out as of the latest Monday, or as of the day on which the piece itself moved if that is later. The further off the likely
//! day, the more past Mondays (up to five, since the piece last moved) are averaged in.
//!
//! The last days of gates come from the same trials (`choose`). In each trial a gate's step has a float: up to the day on which the bench takes it or its
//! parcel leaves (who misses a parcel waits for the next), and further as far as the rest of the piece waits for something else. The day shown is
//! the last one with which the median does not move. Where a place in line counts from the deposit, the last day for the deposit is today:
//! each day without it is lost. A settled pose has such a day too, until when it can be changed. `Outlook::Expected` holds them; `choose_by` is the first
//! of the customer's open ones.
//!
//! `Reason` carries the parts of what the page says: hours at the bench before it (by the owner's figures), the pieces before it by the month
//! they were taken in and never by number or name (`line`), what the bench gets through in a week, what is due back when, and how far the
//! likely day moved in about a month, with the plainest cause: its own record, a late partner, more or less in line than was to be
//! expected, the pace, else "many small things". An open piece without a window says what is missing (`NoWindow`).
//!
//! The words fit what is known (`render/dates.rs`, `render/view/when.rs`): days where the likely day is under two weeks off, weeks under four
//! months, then thirds of months, the same for all three days of a window so that they stay in order. `[estimates] says` puts the shop's
//! own words in the place of "an estimate, not a promise". `[estimates] show-past` puts one sentence on the front page (`held`): of the last 80
//! pieces at most, how many were ready inside the window given about three months before; not said of fewer than ten. It shares the past days
//! of the correction. On the demo it adds about as much as all other estimates take (0.6 s of processor time in the tests' build).
//!
//! # Proof
//!
//! `benchlight replay` makes the estimates of past days again, each from what was known by then, and sets them beside three simple ways
//! (`work/replay/simple.rs`). `cargo bench --bench estimate` prints the speed and how windows hold on invented shops (`tests/truth/`) that live by
//! other rules than the model: lognormal times, a pace that wanders, illness, bad quarters at partners, moods and batches at the bench,
//! hopeful figures, dates late, wrong or missing, shops two months old. Kinds of shop in `TUNED` were looked at while the constants were
//! chosen, those in `HELD_OUT` were not: keep it so, and make up new kinds before tuning again.
//!
//! # When it fails
//!
//! A change that no record can know: a second pair of hands next month, a partner that closes. A gate that a customer leaves open for months: the
//! window counts on its being met today. Owners who work by whim with hardly any record. A bench that is mostly idle teaches its pace
//! slowly. Steps that are never written down: they count from the next one that is. Likely days beyond ten years are not shown.

pub mod chance;
pub mod choose;
mod correct;
pub mod held;
pub mod learn;
pub mod line;
mod load;
pub mod memo;
mod pages;
pub mod past;
pub mod pert;
pub mod plan;
mod ready;
pub mod shown;
pub mod survive;
pub mod trial;
pub mod windows;

pub(in crate::work) use load::load;
pub(in crate::work) use pages::{Outlooks, outlooks};
