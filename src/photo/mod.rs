//! Rank 3: one photo in, renditions out, kept by content.
//!
//! [`look()`] reads a header, [`develop()`] makes what pages show, [`prune`] drops what no page needs.
//! Which photos there are is `read`'s to say, which of them are shown `render`'s, and putting them
//! into the site `write`'s. A photo is decoded once; everything that is shown of it comes from that.

mod bounds;
mod cache;
mod colour;
mod decode;
mod develop;
#[cfg(any(test, fuzzing))]
pub mod door;
mod encode;
mod exif;
mod guard;
mod kind;
mod look;
mod looks;
mod pixels;
mod upright;

pub use develop::{develop, prune};
pub use look::look;
pub use looks::Looks;
