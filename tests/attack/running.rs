//! One run of the program, watched: how long it took, how much memory it held, what it said.

use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

/// Longer than any run on a small shop takes on a busy machine.
pub const LONGEST: Duration = Duration::from_secs(60);
/// More than any run on a small shop holds: what photos may take together, and as much again twice.
pub const LARGEST: u64 = 700 << 20;
/// More than a person reads.
const MOST_WORDS: usize = 1 << 20;

/// How a run ended.
pub struct Ended {
    pub status: ExitStatus,
    pub out: Vec<u8>,
    pub err: Vec<u8>,
    pub took: Duration,
    pub peak: u64,
    /// Whether it had to be killed for taking too long.
    pub hung: bool,
    /// Whether we killed it as part of the attack.
    pub killed: bool,
    pub words: String,
}

/// A run that goes on.
pub struct Running {
    child: Child,
    streams: [JoinHandle<Vec<u8>>; 2],
    begun: Instant,
    peak: u64,
    words: String,
}

impl Running {
    pub fn begin(shop: &Path, args: &[&str], surroundings: &[(&str, &str)]) -> Running {
        Running::of(
            Command::new(env!("CARGO_BIN_EXE_benchlight")).args(args),
            shop,
            surroundings,
            args.join(" "),
        )
    }

    /// A command that ends up as the program.
    pub fn of(command: &mut Command, shop: &Path, surroundings: &[(&str, &str)], words: String) -> Running {
        command
            .current_dir(shop)
            .env_remove("SOURCE_DATE_EPOCH")
            .env("NO_COLOR", "1")
            .envs(surroundings.iter().copied());
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().expect("the program runs");
        let (out, err) = (child.stdout.take().unwrap(), child.stderr.take().unwrap());
        Running { streams: [gathered(out), gathered(err)], child, begun: Instant::now(), peak: 0, words }
    }

    pub fn is_over(&mut self) -> bool {
        self.peak = self.peak.max(held(self.child.id()));
        self.child.try_wait().unwrap().is_some()
    }

    /// Waits for its end, not for ever.
    pub fn end(mut self) -> Ended {
        let mut hung = false;
        while !self.is_over() {
            // What takes too much is ended before it takes the machine.
            if self.begun.elapsed() > LONGEST || self.peak > 3 * LARGEST {
                hung = true;
                let _ = self.child.kill();
                break;
            }
            thread::sleep(Duration::from_millis(2));
        }
        self.over(hung, false)
    }

    /// Ends it as a power cut does, after so long, if it is not over by then.
    pub fn kill_after(mut self, wait: Duration) -> Ended {
        while self.begun.elapsed() < wait && !self.is_over() {
            thread::sleep(Duration::from_micros(300));
        }
        let _ = self.child.kill();
        self.over(false, true)
    }

    fn over(mut self, hung: bool, killed: bool) -> Ended {
        let status = self.child.wait().unwrap();
        let took = self.begun.elapsed();
        let [out, err] = self.streams.map(|stream| stream.join().unwrap());
        Ended { status, out, err, took, peak: self.peak, hung, killed, words: self.words }
    }
}

/// The most memory that a process held so far (proc(5), `VmHWM`).
fn held(id: u32) -> u64 {
    let text = std::fs::read_to_string(format!("/proc/{id}/status")).unwrap_or_default();
    let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|l| l.trim().trim_end_matches("kB").trim().parse::<u64>().ok()).unwrap_or_default() << 10
}

/// What a stream says; of a flood only as much as shows that it is one.
fn gathered(mut stream: impl Read + Send + 'static) -> JoinHandle<Vec<u8>> {
    thread::spawn(move || {
        let (mut all, mut piece) = (Vec::new(), [0; 65536]);
        while let Ok(read @ 1..) = stream.read(&mut piece) {
            if all.len() < 4 * MOST_WORDS {
                all.extend_from_slice(&piece[..read]);
            }
        }
        all
    })
}

impl Ended {
    /// It ended by itself with a code of ours, in time, within its memory, and its words are fit for a terminal.
    pub fn is_well(&self) -> Result<(), String> {
        let fault = |what: String| Err(format!("{what}: benchlight {} said {}", self.words, self.told()));
        if self.hung {
            return fault(format!("hung or swelled ({} MB)", self.peak >> 20));
        }
        if !self.killed && !matches!(self.status.code(), Some(0..=2)) {
            return fault(format!("ended badly ({})", self.status));
        }
        if self.peak > LARGEST {
            return fault(format!("took too much memory ({} MB)", self.peak >> 20));
        }
        for (bytes, stream) in [(&self.out, "stdout"), (&self.err, "stderr")] {
            if bytes.len() > MOST_WORDS {
                return fault(format!("said {} bytes on {stream}", bytes.len()));
            }
            // A killed run may have been cut in the middle of a sign.
            let Ok(text) = std::str::from_utf8(bytes) else {
                if self.killed {
                    continue;
                }
                return fault(format!("{stream} is no text"));
            };
            if let Some(odd) = odd_sign(text) {
                return fault(format!("{stream} shows a sign {odd:?}"));
            }
            if text.contains("panicked at")
                || text.contains("RUST_BACKTRACE")
                || text.contains("overflowed its stack")
            {
                return fault("panicked".to_owned());
            }
        }
        Ok(())
    }

    pub fn code(&self) -> Option<i32> {
        self.status.code()
    }

    pub fn told(&self) -> String {
        format!("{}{}", String::from_utf8_lossy(&self.out), String::from_utf8_lossy(&self.err))
    }
}

/// A sign that a terminal would obey, or that turns the direction of what is read (Unicode, UAX 9).
pub fn odd_sign(text: &str) -> Option<char> {
    let turns = |c: char| matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars().find(|c| c.is_control() && !['\n', '\t'].contains(c) || turns(*c))
}
