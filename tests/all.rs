//! All integration tests as one program. Each module says what it covers.

mod builder;
mod commands;
mod demo_site;
mod house;
mod privacy;
mod publishing;
