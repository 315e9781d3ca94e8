//! What belongs to the shop as a whole: `shop.toml` with its money rules and where to post, the key, the numbers that
//! were given out.
//!
//! `secrets` takes out of `shop.toml` what must not stand there before anything reads it. Partners lie with `route`.

pub(in crate::read) mod key_file;
mod money_rules;
pub(in crate::read) mod numbers;
mod posting;
pub(in crate::read) mod secrets;
pub(in crate::read) mod shop_toml;
