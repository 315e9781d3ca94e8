//! Photos are opened in processes apart: the program itself, started with one hidden word, a few at most, used again
//! for photo after photo.
//!
//! Decoders are large, some are young, several hold unsafe code, and they read files that anybody may have made. A memory
//! fault, an endless loop or a decoder that a file has led astray so costs one photo, which is told: the helper has no
//! right beyond its two pipes (`rights`), what it answers is checked as a stranger's (`frame`, `making::is_plausible`), and
//! one that is silent for too long is ended. What is decoded and how is `making`'s; who waits for memory is `develop`'s.
//!
//! The other way that was weighed: decoders that are old and fuzzed by many. For JPEG, which is nearly all photos, those
//! that decode at a part of the size (most of the speed of this room) are C, and a memory fault there would be as
//! deadly; those in safe Rust decode whole. So the decoders stay as they are, and stand where they can do no harm.
//!
//! Only the program opens photos apart. A test or bench that calls this room without `begin` opens them in its own process.

mod frame;
mod helper;
mod pool;
mod rights;

use super::cache::Made;
use super::decode::Header;
use super::guard;
use super::making::{self, Hand};
use crate::model::{Format, PhotoFault};
use frame::{Ask, Head};
pub use helper::serve;
use pool::{Helper, Pool};
use std::io;
use std::path::PathBuf;
use std::sync::OnceLock;

/// The hidden word that makes the program a helper.
pub const WORD: &str = "--open-photos";

/// What a helper is called among the processes; the word stands behind it.
const NAME: &str = "benchlight";

static POOL: OnceLock<Pool> = OnceLock::new();

/// From now on this process opens photos in others, started from `program`. Once is enough.
pub fn begin(program: PathBuf) {
    let _ = POOL.set(Pool::new(program, vec![WORD.to_owned()]));
}

/// Whoever opens photos one after the other.
pub(super) enum Opener<'p> {
    Here(Box<Hand>),
    Apart(Helper<'p>),
}

/// Why there is no answer.
enum Lost {
    /// The photo is at fault, or the helper cannot be started.
    Told(PhotoFault),
    /// The helper ended or answered nonsense.
    Gone,
}

/// Someone to open photos; waits until a helper is free.
pub(super) fn opener() -> Opener<'static> {
    opener_of(POOL.get())
}

/// Ends the helpers that nobody has.
pub(super) fn rest() {
    if let Some(pool) = POOL.get() {
        pool.rest();
    }
}

fn opener_of(pool: Option<&Pool>) -> Opener<'_> {
    match pool {
        None => Opener::Here(Box::default()),
        Some(pool) => Opener::Apart(pool.take()),
    }
}

impl Opener<'_> {
    /// What the header of a file tells, held to the bounds. A helper that ended (somebody may have ended it) is given one
    /// more chance with the same file.
    pub fn header(&mut self, format: Format, file: &[u8]) -> Result<Header, PhotoFault> {
        self.twice(|helper| ask_header(helper, format, file), |hand| hand.header(format, file))
    }

    /// Everything that is shown of the file whose header was asked for last.
    pub fn made(&mut self, format: Format, file: &[u8], header: &Header) -> Result<Made, PhotoFault> {
        self.twice(
            |helper| {
                if !helper.holds {
                    ask_header(helper, format, file)?;
                }
                ask_made(helper)
            },
            |hand| hand.made(format, file, header),
        )
    }

    fn twice<T>(
        &mut self,
        ask: impl Fn(&mut Helper<'_>) -> Result<T, Lost>,
        here: impl FnOnce(&mut Hand) -> Result<T, PhotoFault>,
    ) -> Result<T, PhotoFault> {
        let helper = match self {
            Opener::Here(hand) => return here(hand),
            Opener::Apart(helper) => helper,
        };
        for _ in 0..2 {
            match helper.started().map_err(Lost::Told).and_then(|()| ask(helper)) {
                Ok(answer) => return Ok(answer),
                Err(Lost::Told(fault)) => return Err(fault),
                Err(Lost::Gone) if helper.was_silent() => {
                    helper.end();
                    return Err(PhotoFault::Damaged("it takes too long to open".to_owned()));
                }
                Err(Lost::Gone) => helper.end(),
            }
        }
        Err(guard::gave_up())
    }
}

fn ask_header(helper: &mut Helper<'_>, format: Format, file: &[u8]) -> Result<Header, Lost> {
    let head = helper.asked(Ask::Header(format, file), |from| frame::head(from)).map_err(gone)?;
    let header = match head {
        Head::Fault(fault) => return Err(Lost::Told(bounded(fault))),
        head => frame::header(&head).ok_or(Lost::Gone)?,
    };
    super::bounds::check(header.width, header.height).map_err(Lost::Told)?;
    helper.holds = true;
    Ok(header)
}

fn ask_made(helper: &mut Helper<'_>) -> Result<Made, Lost> {
    let made = helper.asked(Ask::Make, |from| {
        Ok(match frame::head(from)? {
            Head::Made { sizes, placeholder } => Ok(frame::made(from, sizes, placeholder)?),
            Head::Fault(fault) => Err(fault),
            Head::Header { .. } => return Err(io::ErrorKind::InvalidData.into()),
        })
    });
    match made.map_err(gone)? {
        Ok(made) if making::is_plausible(&made) => Ok(made),
        Ok(_) => Err(Lost::Gone),
        Err(fault) => Err(Lost::Told(bounded(fault))),
    }
}

fn gone(_: io::Error) -> Lost {
    Lost::Gone
}

/// A reason that a helper gives is no longer than a decoder's own.
fn bounded(fault: PhotoFault) -> PhotoFault {
    let cut = |text: String| text.chars().take(200).collect();
    match fault {
        PhotoFault::Damaged(why) => PhotoFault::Damaged(cut(why)),
        PhotoFault::NotShowable(what) => PhotoFault::NotShowable(cut(what)),
        PhotoFault::TooLarge(width, height) => PhotoFault::TooLarge(width, height),
        _ => PhotoFault::Damaged("its decoder gave no reason".to_owned()),
    }
}

#[cfg(test)]
mod tests;
