//! The helper's side: the same program, started by itself to open photos and nothing else.
//!
//! It opens what comes through its input, answers through its output, and ends when nobody asks any more.

use super::frame::{self, Asked, Head};
use super::rights;
use crate::model::{Format, PhotoFault};
use crate::photo::cache::Made;
use crate::photo::making::Hand;
use std::io::{self, Write};

/// Answers until the input ends; whether nothing went wrong on the way.
#[allow(clippy::disallowed_methods)] // Its output is a pipe to the program, never a terminal.
pub fn serve() -> bool {
    rights::give_up();
    let mut hand = Hand::default();
    let mut kept: Option<(Format, Vec<u8>)> = None;
    let (mut input, mut output) = (io::stdin().lock(), io::stdout().lock());
    loop {
        let answered = match frame::asked(&mut input) {
            Ok(None) => return true,
            Ok(Some(Asked::Header(format, file))) => {
                let head = hand.header(format, &file).map_or_else(Head::Fault, Head::from);
                kept = Some((format, file));
                frame::answer(&mut output, &head, &[])
            }
            Ok(Some(Asked::Make)) => {
                let made = match kept.take() {
                    Some((format, file)) => hand.made(format, &file),
                    None => Err(PhotoFault::Empty),
                };
                tell(&mut output, made)
            }
            Err(cut) => Err(cut),
        };
        if answered.is_err() {
            return false;
        }
    }
}

fn tell(output: &mut impl Write, made: Result<Made, PhotoFault>) -> io::Result<()> {
    match made {
        Ok(Made { sizes, placeholder }) => {
            let head = sizes.iter().map(|(width, height, file)| (*width, *height, file.len() as u64));
            let head = Head::Made { sizes: head.collect(), placeholder };
            let files: Vec<&[u8]> = sizes.iter().map(|(_, _, file)| file.as_slice()).collect();
            frame::answer(output, &head, &files)
        }
        Err(fault) => frame::answer(output, &Head::Fault(fault), &[]),
    }
}
