//! Programs from outside that results are checked with. One that is missing fails the test with
//! the way to get it: a check that is left out in silence is no check.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

const HOW: &str = "run `bash tests/all.sh`, which installs what the tests need";

/// Runs a program to its end.
pub fn run(command: &mut Command) -> Output {
    let name = command.get_program().to_string_lossy().into_owned();
    command.output().unwrap_or_else(|e| panic!("`{name}` does not run ({e}): {HOW}"))
}

/// What a program prints; it must end well.
pub fn printed(command: &mut Command) -> String {
    let output = run(command);
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{:?} failed: {HOW}\n{complaint}", command.get_program());
    String::from_utf8(output.stdout).expect("it prints UTF-8")
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

/// The scanner that `tests/requirements-scan.txt` names, which has a Python of its own.
pub fn wapiti() -> Command {
    let own = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/tools/wapiti/bin/wapiti");
    let program = std::env::var_os("BENCHLIGHT_WAPITI").map_or(own, PathBuf::from);
    assert!(program.exists(), "{} is not there: {HOW}", program.display());
    Command::new(program)
}

/// A folder served over http on this machine, as long as it lives.
pub struct Served {
    server: Child,
    base: String,
}

impl Served {
    pub fn folder(folder: &Path) -> Served {
        let mut command = python();
        command.args(["-u", "-m", "http.server", "0", "--bind", "127.0.0.1", "--directory"]).arg(folder);
        let mut server = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("Python serves");
        // "Serving HTTP on 127.0.0.1 port 40123 (http://127.0.0.1:40123/) ..."
        let mut line = String::new();
        BufReader::new(server.stdout.take().expect("its output"))
            .read_line(&mut line)
            .expect("its first line");
        let base =
            line.split(['(', ')']).nth(1).unwrap_or_else(|| panic!("no address in {line:?}")).to_owned();
        Served { server, base }
    }

    /// The address of a file of the folder.
    pub fn address(&self, path: &str) -> String {
        format!("{}{path}", self.base)
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// What a program prints when it is asked something on its standard input; it must end well.
pub fn answered(command: &mut Command, asked: &str) -> String {
    let name = command.get_program().to_string_lossy().into_owned();
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap_or_else(|e| panic!("`{name}` does not run ({e}): {HOW}"));
    std::io::Write::write_all(&mut child.stdin.take().expect("its input"), asked.as_bytes())
        .expect("it reads");
    let output = child.wait_with_output().expect("it ends");
    assert!(output.status.success(), "`{name}` failed: {HOW}\n{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("it prints UTF-8")
}
