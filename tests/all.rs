//! All integration tests as one program. Each module says what it covers.

// A test fails by a panic, and so do its helpers.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

mod address_oracle;
mod bad;
mod beside;
mod board;
mod builder;
mod commands;
mod counter;
mod demo_site;
mod estimate;
mod frozen;
mod house;
mod increment;
mod inherited;
mod keys;
mod ledger_oracle;
mod mutations;
mod oracle;
mod pages;
mod phone;
mod photos;
mod posting;
mod privacy;
mod private_text;
mod published_tables;
mod publishing;
mod reading;
mod render;
mod sealed;
mod taking_back;
mod tax_rule;
mod truth;
mod watching;
mod written;
