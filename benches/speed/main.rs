//! How long a pass takes on shops of many jobs, each time beside a floor in the same run.
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, reason = "a report")]

mod many;

use std::path::Path;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    if let [word, folder, jobs] = args.as_slice()
        && word == "lay-out"
    {
        many::lay_out(
            Path::new(folder),
            jobs.parse().unwrap(),
            include_bytes!("../../tests/fixtures/plain.jpg"),
        );
    }
}
