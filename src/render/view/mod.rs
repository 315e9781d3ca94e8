//! What templates are given. A view holds only what may be shown: it is built from `Shop` and
//! `Worked` and has no field of what is private, so no template can get at it.

pub mod beside;
pub mod calendar;
pub mod frame;
pub mod front;
mod ledger;
pub mod measures;
pub mod news;
pub mod page;
pub mod private;
pub mod progress;
pub mod sealed;
pub mod showroom;
mod way;
mod when;
