//! Estimates against the outside: published formulas, textbook networks, queueing theory and reference
//! libraries; properties that must hold for any shop; and invented shops whose truth is known.

mod figures;
mod known_shops;
mod network;
mod properties;
pub mod queue;
mod scores;
