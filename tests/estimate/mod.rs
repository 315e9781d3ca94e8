//! Estimates against the outside: published formulas, textbook networks, queueing theory and reference
//! libraries; properties that must hold for any shop; and invented shops whose truth is known.

mod commands;
mod figures;
mod known_shops;
mod learning;
mod network;
mod properties;
pub mod queue;
mod rules;
mod scores;
