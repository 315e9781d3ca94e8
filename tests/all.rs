//! All integration tests as one program. Each module says what it covers.

// A test fails by a panic, and so do its helpers.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
// And it lays out files of any kind.
#![allow(clippy::disallowed_methods, clippy::disallowed_macros)]

mod address_oracle;
mod attack;
mod bad;
mod beside;
mod board;
mod builder;
mod circles;
mod commands;
mod counter;
mod demo_site;
mod estimate;
mod frozen;
mod house;
mod increment;
mod inherited;
mod kept_types;
mod keys;
mod ledger_oracle;
mod mutations;
mod odd_files;
mod oracle;
mod pages;
mod phone;
mod photos;
mod plain_terminal;
mod posting;
mod privacy;
mod private_text;
mod published_tables;
mod publishing;
mod reading;
mod render;
mod roles;
mod sealed;
mod sizes;
mod taking_back;
mod tax_rule;
mod truth;
mod watching;
mod written;
