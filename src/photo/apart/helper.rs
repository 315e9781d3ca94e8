//! The helper's side: the same program, started by itself to open photos and nothing else.
//!
//! It opens what comes through its input, answers through its output, and ends when nobody asks any more.

use super::frame::{self, Asked, Head};
use super::rights;
#[cfg(target_os = "linux")]
use crate::base::files;
use crate::model::{Format, PhotoFault};
use crate::photo::cache::Made;
use crate::photo::decode::Header;
use crate::photo::making::Hand;
use std::io::{self, Write};
#[cfg(target_os = "linux")]
use std::path::Path;

/// Answers until the input ends; whether nothing went wrong on the way.
#[allow(clippy::disallowed_methods)] // Its output is a pipe to the program, never a terminal.
pub fn serve() -> bool {
    take_name();
    rights::give_up();
    let mut hand = Hand::default();
    let mut kept: Option<(Format, Vec<u8>, Header)> = None;
    let (mut input, mut output) = (io::stdin().lock(), io::stdout().lock());
    loop {
        let answered = match frame::asked(&mut input) {
            Ok(None) => return true,
            Ok(Some(Asked::Header(format, file))) => {
                let header = hand.header(format, &file);
                let head = header.clone().map_or_else(Head::Fault, Head::from);
                kept = header.ok().map(|header| (format, file, header));
                frame::answer(&mut output, &head, &[])
            }
            Ok(Some(Asked::Make)) => {
                let made = match kept.take() {
                    Some((format, file, header)) => hand.made(format, &file, &header),
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

/// Under this name `ps` and its like show a process, on Linux (proc(5)): it was started as `/proc/self/exe`.
fn take_name() {
    #[cfg(target_os = "linux")]
    let _ = files::open_own(Path::new("/proc/self/comm"), true)
        .and_then(|mut name| name.write_all(super::NAME.as_bytes()));
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
