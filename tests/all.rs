//! All integration tests as one program. Each module says what it covers.

mod address_oracle;
mod bad;
mod builder;
mod commands;
mod demo_site;
mod estimate;
mod house;
mod ledger_oracle;
mod mutations;
mod oracle;
mod photos;
mod privacy;
mod published_tables;
mod publishing;
mod reading;
mod render;
mod tax_rule;
mod truth;
