//! Rank 3: one photo in, renditions out, kept by content.
//!
//! [`look()`] reads a header, [`develop()`] makes what pages show, [`prune`] drops what no page needs.
//! Which photos there are is `read`'s to say, which of them are shown `render`'s, and putting them
//! into the site `write`'s. A photo is decoded once; everything that is shown of it comes from that.
//!
//! # What is made
//!
//! 1600, 960 and 480 pixels of the longer side and a stand-in of 24, all JPEG. They are kept by the photo's digest and the recipe
//! (`cache::RECIPE`: raise it whenever the same photo would give other bytes). `render::pictures` gives the order: photos of open jobs,
//! newest first. Each photo is kept as soon as it is made, so a pass that is killed loses none.
//!
//! A stand-in lies behind its photo as an `image` of a small inline SVG, so that the pages' policy lets no style in but the site's own sheet.
//! (As an `img` with a `data:` address the Nu HTML Checker takes it for blocked by `img-src data:`, which no browser does.)
//!
//! # Quality
//!
//! `cargo bench --bench photos -- quality` scores each size against a reduction in floating point, beside `vipsthumbnail` at the same bytes.
//! `tests/photos/quality.rs` holds us to "not below" on two of its photos. What decided, over four photos:
//!
//! | at 1600 pixels | SSIMULACRA2 | kB | ahead of vipsthumbnail |
//! |---|---|---|---|
//! | standard tables, quality 80 | 79.62 | 313 | -0.11 |
//! | the same, progressive | 79.62 | 301 | +0.47, for twice the encoder's time and more |
//! | the same, decoded whole instead of at half size | 80.21 | 318 | +0.20 |
//! | N. Robidoux's table, quality 80 | 79.20 | 283 | +0.95 |
//! | the same, progressive | 79.20 | 273 | +2.04 |
//!
//! Taken: that table, not progressive, at quality 81 (`encode`).
//!
//! # WebP and AVIF beside JPEG: no
//!
//! Measured with libwebp (method 4) and libaom's AVIF at speed 8 through Pillow, from the same pixels, at the score of our JPEG (about 77 to
//! 80), for one photo of the bench:
//!
//! | longer side | JPEG kB, CPU ms | WebP kB, CPU ms | AVIF kB, CPU ms |
//! |---|---|---|---|
//! | 960 | 117, 16 | not scored | about 95, 155 |
//! | 480 | 36.6, 1 to 20 (a busy machine) | about 35, 17 | about 27.5, 51 |
//!
//! At 480 WebP saves about 4 %, which is not worth three files more a photo. AVIF saves 19 to 25 %, for ten times the encoder's time and an
//! encoder that the default build does not have. A private page's first screen, pictures included, is held under 150 kB without it
//! (`tests/phone.rs`). Times are from a machine under load: read them as an order of magnitude. Measure again when an AVIF encoder in Rust
//! alone is quick.
//!
//! AVIF as *input* is reported, not decoded: `decode` says why.

pub mod apart;
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
mod making;
mod pixels;
mod upright;

pub use develop::{develop, prune};
pub use look::look;
pub use looks::Looks;
