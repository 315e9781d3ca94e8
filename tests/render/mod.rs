//! The rendered site, made of an example shop that is laid out in memory.

mod check;
mod example;
mod injection;
mod pictures;
mod privacy;
mod showroom;
mod site;
mod standing;
mod when;
mod words;
