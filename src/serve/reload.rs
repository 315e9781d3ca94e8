//! Pages of the preview load themselves anew when something changed: by server-sent events
//! (WHATWG HTML, "Server-sent events"), which a browser takes up again by itself when they break off.

use std::io::{self, Write};
use std::sync::{Condvar, Mutex};
use std::time::Duration;

/// Where the script lies. No page or folder of the site begins with a hyphen.
pub(super) const SCRIPT: &str = "/-/reload.js";
/// Where changes are told.
pub(super) const CHANGES: &str = "/-/changes";
pub(super) const TEXT: &str = include_str!("reload.js");

/// A word now and then, so that a page that has gone away is noticed.
const STILL_HERE: Duration = Duration::from_secs(15);

/// How often something changed, for whoever waits for it.
pub(super) struct Changes {
    state: Mutex<State>,
    told: Condvar,
}

struct State {
    count: u64,
    ended: bool,
}

impl Changes {
    pub fn new() -> Changes {
        Changes { state: Mutex::new(State { count: 0, ended: false }), told: Condvar::new() }
    }

    pub fn tell(&self) {
        self.change(|state| state.count += 1);
    }

    pub fn end(&self) {
        self.change(|state| state.ended = true);
    }

    fn change(&self, how: impl FnOnce(&mut State)) {
        if let Ok(mut state) = self.state.lock() {
            how(&mut state);
        }
        self.told.notify_all();
    }

    /// Tells one page of every change, until it goes away.
    pub fn follow(&self, mut page: Box<dyn Write + Send>) {
        let _ = self.tell_all(&mut *page);
    }

    fn tell_all(&self, page: &mut dyn Write) -> io::Result<()> {
        page.write_all(
            b"HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\nCache-Control: no-store\r\n\
              X-Content-Type-Options: nosniff\r\nCross-Origin-Resource-Policy: same-origin\r\n\
              Connection: close\r\n\r\nretry: 1000\n\n",
        )?;
        let mut told = None;
        loop {
            let Ok(state) = self.state.lock() else { return Ok(()) };
            let waits = |state: &mut State| !state.ended && told == Some(state.count);
            let Ok((state, _)) = self.told.wait_timeout_while(state, STILL_HERE, waits) else {
                return Ok(());
            };
            let (count, ended) = (state.count, state.ended);
            drop(state);
            if ended {
                return Ok(());
            }
            if told == Some(count) {
                page.write_all(b": still here\n\n")?;
            } else {
                // The process's number, so that a page also notices that the program was started anew.
                write!(page, "data: {}-{count}\n\n", std::process::id())?;
                told = Some(count);
            }
            page.flush()?;
        }
    }
}
