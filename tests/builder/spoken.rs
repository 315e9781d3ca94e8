//! A program that goes on running, and what it says meanwhile, line by line.

use std::io::{BufRead, BufReader, Read};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;

/// Starts a command that ends up as `benchlight watch`, on a port that is free, by the system's own day; what it says on either stream
/// comes as it is said.
pub fn watch(command: &mut Command) -> (Child, Receiver<String>) {
    command.args(["--port", "0"]).env("NO_COLOR", "1").env_remove("SOURCE_DATE_EPOCH");
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the program runs");
    let (sender, lines) = channel();
    let streams: [Box<dyn Read + Send>; 2] =
        [Box::new(child.stdout.take().unwrap()), Box::new(child.stderr.take().unwrap())];
    for stream in streams {
        let sender = sender.clone();
        thread::spawn(move || {
            // It may be led to say what is no text; then that is for the test to judge.
            for line in BufReader::new(stream).split(b'\n').map_while(Result::ok) {
                let _ = sender.send(String::from_utf8_lossy(&line).into_owned());
            }
        });
    }
    (child, lines)
}
