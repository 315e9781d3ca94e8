//! Rank 3: the preview on this machine. Serves the output folder, and a few pages that are never
//! written into it, to browsers of this computer alone, and has them load a page anew when it changed.
//!
//! What to answer is `answer`'s, which files may be served is `files`'s, loading anew is `reload`'s. How many may come
//! and how long they may stay is `guests`'s, HTTP itself is `talk`'s, the thread that all of it runs on is `open`'s.
//! When something changed is told from outside. Pages that also take something in would get their rules in `answer` and
//! their bounded body in `talk`; until then no request's body is ever read.
//!
//! It binds to 127.0.0.1 alone, answers GET and HEAD for its own names in `Host` alone, and reads from the output folder alone. A page's
//! `<meta>` policy goes into the answer's header with what loading anew needs (`policy`); nothing of that is in `public/`. It keeps out other
//! machines and other web sites, not other accounts of this computer.

mod answer;
mod body;
mod files;
mod guests;
mod open;
mod policy;
mod reload;
mod talk;

use crate::base::files::{FileError, with_path};
use answer::Shown;
use open::Open;
use reload::Changes;
use std::collections::BTreeMap;
use std::io;
use std::net::{Ipv4Addr, TcpListener};
use std::path::PathBuf;
use std::sync::{Arc, RwLock};

/// So many ports are tried, from the one that was asked for.
const PORTS: u16 = 50;

/// A running preview; it ends when it is dropped, whoever is still connected.
pub struct Preview {
    shown: Arc<Shown>,
    port: u16,
    _open: Open,
}

impl std::fmt::Debug for Preview {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Preview").field("port", &self.port).finish_non_exhaustive()
    }
}

impl Preview {
    /// Serves `root` on the first free port from `port` on; `0` lets the system choose.
    ///
    /// # Errors
    /// No port is free, or this machine lets nobody listen.
    pub fn open(root: PathBuf, port: u16) -> Result<Preview, FileError> {
        let listener = with_path(listen(port), "serve the preview of", &root)?;
        let port = with_path(listener.local_addr(), "serve the preview of", &root)?.port();
        let shown =
            Shown { root: root.clone(), port, aside: RwLock::new(BTreeMap::new()), changes: Changes::new() };
        let shown = Arc::new(shown);
        let open = with_path(open::to_guests(listener, Arc::clone(&shown)), "serve the preview of", &root)?;
        Ok(Preview { shown, port, _open: open })
    }

    /// The address of a page, such as `see/…/`; nothing for the front page.
    pub fn address(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}/{path}", self.port)
    }

    /// Shows a page that is not in the output folder, such as `board/`, from now on; whether it is another
    /// one than before.
    pub fn show_aside(&self, path: &str, page: String) -> bool {
        let Ok(mut aside) = self.shown.aside.write() else { return false };
        let page = page.into_bytes();
        aside.insert(path.to_owned(), page.clone()).is_none_or(|before| before != page)
    }

    /// Has every open page loaded anew.
    pub fn changed(&self) {
        self.shown.changes.tell();
    }
}

/// A listener that only this machine can reach.
fn listen(port: u16) -> io::Result<TcpListener> {
    let mut tried = port;
    loop {
        match TcpListener::bind((Ipv4Addr::LOCALHOST, tried)) {
            Err(e) if e.kind() == io::ErrorKind::AddrInUse && tried < port.saturating_add(PORTS) => {
                tried += 1
            }
            other => return other,
        }
    }
}
