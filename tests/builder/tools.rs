//! Programs from outside that results are checked with. One that is missing fails the test with
//! the way to get it: a check that is left out in silence is no check.

use std::path::PathBuf;
use std::process::{Command, Output};

const HOW: &str = "run `bash tests/all.sh`, which installs what the tests need";

/// Runs a program to its end.
pub fn run(command: &mut Command) -> Output {
    let name = command.get_program().to_string_lossy().into_owned();
    command.output().unwrap_or_else(|e| panic!("`{name}` does not run ({e}): {HOW}"))
}

/// A file of an npm package.
pub fn npm(path: &str) -> PathBuf {
    let folder = std::env::var_os("BENCHLIGHT_NPM").map(PathBuf::from);
    let folder = folder
        .unwrap_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/tools/npm/node_modules"));
    let file = folder.join(path);
    assert!(file.exists(), "{} is not there: {HOW}", file.display());
    file
}

/// The Python that has the packages of `tests/requirements.txt`.
pub fn python() -> Command {
    let own = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/tools/python/bin/python");
    let set = std::env::var_os("BENCHLIGHT_PYTHON").map(PathBuf::from);
    Command::new(set.or_else(|| own.exists().then_some(own)).unwrap_or_else(|| PathBuf::from("python3")))
}
