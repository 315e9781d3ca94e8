//! The few helpers of this process: started when one is needed, used again, ended when they are silent for too long.

use super::frame::{self, Ask};
use crate::model::PhotoFault;
use std::io::{self, BufReader, Read};
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

/// More helpers than this are not started: each takes some 50 MB with a photo of twelve megapixels in hand.
const MOST: usize = 2;
/// A helper that takes longer over one question is ended. The largest photo that is let in takes a few seconds.
const PATIENCE: Duration = Duration::from_secs(60);
/// A pipe that holds much is filled with few turns between the two processes; Linux grants this to everybody.
#[cfg(target_os = "linux")]
const PIPE: usize = 1 << 20;

/// The helpers that are at work or free.
#[derive(Debug)]
pub(super) struct Pool {
    program: PathBuf,
    arguments: Vec<String>,
    patience: Duration,
    free: Mutex<Vec<Option<Running>>>,
    given_back: Condvar,
}

impl Pool {
    pub fn new(program: PathBuf, arguments: Vec<String>) -> Pool {
        let cores = thread::available_parallelism().map_or(1, NonZeroUsize::get);
        let places = (0..cores.min(MOST)).map(|_| None).collect();
        Pool { program, arguments, patience: PATIENCE, free: Mutex::new(places), given_back: Condvar::new() }
    }

    #[cfg(test)]
    pub fn with_patience(mut self, patience: Duration) -> Pool {
        self.patience = patience;
        self
    }

    /// Ends those that nobody has; they are started again when they are needed.
    pub fn rest(&self) {
        let mut free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        free.iter_mut().for_each(|place| *place = None);
    }

    /// The next helper that is free, started already or not; waits for one.
    pub fn take(&self) -> Helper<'_> {
        let mut free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        loop {
            // One that runs rather than one that would have to be started.
            let place = free.iter().position(Option::is_some).or(free.len().checked_sub(1));
            if let Some(place) = place {
                return Helper { pool: self, running: free.swap_remove(place), silent: false, holds: false };
            }
            free = self.given_back.wait(free).unwrap_or_else(PoisonError::into_inner);
        }
    }
}

/// A process that opens photos, while somebody has it.
pub(in crate::photo) struct Helper<'p> {
    pool: &'p Pool,
    running: Option<Running>,
    silent: bool,
    /// Whether it holds the file whose header was asked for last.
    pub holds: bool,
}

impl Helper<'_> {
    /// Starts it, if it does not run.
    pub fn started(&mut self) -> Result<(), PhotoFault> {
        if self.running.is_none() {
            let started = Running::start(&self.pool.program, &self.pool.arguments, self.pool.patience);
            self.running = Some(started.map_err(|error| PhotoFault::NoHelper(error.to_string()))?);
            (self.silent, self.holds) = (false, false);
        }
        Ok(())
    }

    /// Asks, and reads the answer as `read` says.
    pub(super) fn asked<T>(
        &mut self,
        ask: Ask<'_>,
        read: impl FnOnce(&mut dyn Read) -> io::Result<T>,
    ) -> io::Result<T> {
        self.holds = false;
        let running = self.running.as_mut().ok_or(io::ErrorKind::NotConnected)?;
        let _ = running.begun.send(());
        let answer = frame::ask(&mut running.input, ask).and_then(|()| read(&mut running.output));
        let _ = running.begun.send(());
        self.silent = running.ended.load(Ordering::Relaxed);
        answer
    }

    /// Whether it was ended because it took too long.
    pub fn was_silent(&self) -> bool {
        self.silent
    }

    /// Ends it; the next question starts another.
    pub fn end(&mut self) {
        self.running = None;
    }
}

impl Drop for Helper<'_> {
    fn drop(&mut self) {
        let mut free = self.pool.free.lock().unwrap_or_else(PoisonError::into_inner);
        free.push(self.running.take());
        drop(free);
        self.pool.given_back.notify_one();
    }
}

/// A running process, and whoever looks at the clock for it. Ends with it.
#[derive(Debug)]
struct Running {
    child: Arc<Mutex<Child>>,
    input: ChildStdin,
    output: BufReader<ChildStdout>,
    /// Told when a question begins and when it is over.
    begun: Sender<()>,
    /// Whether it was ended because it took too long.
    ended: Arc<AtomicBool>,
}

impl Running {
    fn start(program: &Path, arguments: &[String], patience: Duration) -> io::Result<Running> {
        let mut command = Command::new(program);
        command.args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
        alone(&mut command);
        let mut child = command.spawn()?;
        let input = child.stdin.take().ok_or(io::ErrorKind::BrokenPipe)?;
        let output = child.stdout.take().ok_or(io::ErrorKind::BrokenPipe)?;
        // Smaller pipes are only slower.
        #[cfg(target_os = "linux")]
        let _ = rustix::pipe::fcntl_setpipe_size(&input, PIPE);
        #[cfg(target_os = "linux")]
        let _ = rustix::pipe::fcntl_setpipe_size(&output, PIPE);
        let child = Arc::new(Mutex::new(child));
        let ended = Arc::new(AtomicBool::new(false));
        let (begun, events) = mpsc::channel();
        let (watched, told) = (Arc::clone(&child), Arc::clone(&ended));
        thread::spawn(move || {
            while events.recv().is_ok() {
                match events.recv_timeout(patience) {
                    Ok(()) => {}
                    Err(RecvTimeoutError::Disconnected) => return,
                    Err(RecvTimeoutError::Timeout) => {
                        told.store(true, Ordering::Relaxed);
                        end(&mut watched.lock().unwrap_or_else(PoisonError::into_inner));
                        return;
                    }
                }
            }
        });
        Ok(Running { child, input, output: BufReader::new(output), begun, ended })
    }
}

/// A process group of its own, so that Ctrl-C ends the pass in order and not a photo in the middle; nothing of our
/// surroundings, no folder of the owner's held, and a name by which they are known among the processes.
fn alone(command: &mut Command) {
    #[cfg(unix)]
    {
        use std::os::unix::process::CommandExt;
        command.arg0(super::NAME).process_group(0).env_clear().current_dir("/");
    }
    #[cfg(not(unix))]
    let _ = command;
}

impl Drop for Running {
    fn drop(&mut self) {
        let mut child = self.child.lock().unwrap_or_else(PoisonError::into_inner);
        end(&mut child);
        let _ = child.wait();
    }
}

/// Ends it, and whatever it may have started.
fn end(child: &mut Child) {
    #[cfg(unix)]
    if let Some(group) = i32::try_from(child.id()).ok().and_then(rustix::process::Pid::from_raw) {
        let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
    }
    let _ = child.kill();
}
