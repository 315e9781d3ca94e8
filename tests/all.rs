//! Every integration test, in one program.

mod address_oracle;
mod ledger_oracle;
mod oracle;
mod published_tables;
mod tax_rule;
