//! When a piece will be ready: the open queue simulated over the finite bench, learned from the shop's own
//! record and corrected by how its past windows held.
//!
//! `facts` (what is known, dated) -> `view` (how it stood on a day) -> `learn` (what the record teaches) ->
//! `plan` and `trial` (the queue played forward many times) -> `windows`.

pub mod chance;
pub mod choose;
mod correct;
pub mod facts;
pub mod from_shop;
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
pub mod view;
pub mod windows;

pub(in crate::work) use load::load;
pub(in crate::work) use pages::{Outlook, fill};
