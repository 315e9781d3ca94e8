//! Rank 3: the preview on this machine. Serves the output folder, and a few pages that are never
//! written into it, to browsers of this computer alone, and has them load a page anew when it changed.
//!
//! What to answer is `answer`'s, which files may be served is `files`'s, loading anew is `reload`'s.
//! When something changed is told from outside.
//!
//! It binds to 127.0.0.1 alone, answers GET and HEAD for its own names in `Host` alone, and reads from the output folder alone. A page's
//! `<meta>` policy goes into the answer's header with what loading anew needs (`policy`); nothing of that is in `public/`. It keeps out other
//! machines and other web sites, not other accounts of this computer.

mod answer;
mod files;
mod policy;
mod reload;

use crate::base::files::{FileError, told};
use answer::{Answer, Asked, Kept};
use reload::Changes;
use std::collections::BTreeMap;
use std::io;
use std::net::{Ipv4Addr, TcpListener};
use std::path::PathBuf;
use std::sync::{Arc, RwLock};
use std::thread::{self, JoinHandle};
use tiny_http::{Header, Method, Request, Response, Server, StatusCode};

/// So many ports are tried, from the one that was asked for.
const PORTS: u16 = 50;
/// So many answers are given at a time; a slow browser holds up one of them.
const HANDS: usize = 4;

/// A running preview; it ends when it is dropped.
pub struct Preview {
    server: Arc<Server>,
    kept: Arc<Kept>,
    port: u16,
    hands: Vec<JoinHandle<()>>,
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
        let listener = told(listen(port), "serve the preview of", &root)?;
        let port = told(listener.local_addr(), "serve the preview of", &root)?.port();
        let server = Server::from_listener(listener, None).map_err(io::Error::other);
        let server = Arc::new(told(server, "serve the preview of", &root)?);
        let kept = Kept { root, port, aside: RwLock::new(BTreeMap::new()), changes: Changes::new() };
        let kept = Arc::new(kept);
        let hands = (0..HANDS).map(|_| hand(Arc::clone(&server), Arc::clone(&kept))).collect();
        Ok(Preview { server, kept, port, hands })
    }

    /// The address of a page, such as `see/…/`; nothing for the front page.
    pub fn address(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}/{path}", self.port)
    }

    /// Shows a page that is not in the output folder, such as `board/`, from now on; whether it is another
    /// one than before.
    pub fn show_aside(&self, path: &str, page: String) -> bool {
        let Ok(mut aside) = self.kept.aside.write() else { return false };
        let page = page.into_bytes();
        aside.insert(path.to_owned(), page.clone()).is_none_or(|before| before != page)
    }

    /// Has every open page loaded anew.
    pub fn changed(&self) {
        self.kept.changes.tell();
    }
}

impl Drop for Preview {
    fn drop(&mut self) {
        self.kept.changes.end();
        for _ in &self.hands {
            self.server.unblock();
        }
        for hand in self.hands.drain(..) {
            let _ = hand.join();
        }
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

/// Answers one request after the other, until the server is told to end.
fn hand(server: Arc<Server>, kept: Arc<Kept>) -> JoinHandle<()> {
    thread::spawn(move || {
        while let Ok(request) = server.recv() {
            serve(request, &kept);
        }
    })
}

fn serve(request: Request, kept: &Arc<Kept>) {
    let hosts: Vec<&str> =
        request.headers().iter().filter(|h| h.field.equiv("Host")).map(|h| h.value.as_str()).collect();
    let method = match request.method() {
        Method::Get => "GET",
        Method::Head => "HEAD",
        _ => "other",
    };
    let answer = answer::to(&Asked { method, target: request.url(), hosts: &hosts }, kept);
    match answer {
        Answer::Changes => {
            let kept = Arc::clone(kept);
            // It stays open as long as the page does, so it gets a thread of its own.
            thread::spawn(move || kept.changes.follow(request.into_writer()));
        }
        Answer::Reply(reply) => {
            let mut response = Response::from_data(reply.body).with_status_code(StatusCode(reply.status));
            for (name, value) in reply.headers {
                if let Ok(header) = Header::from_bytes(name, value) {
                    response.add_header(header);
                }
            }
            // A browser that has gone away has no use for the answer.
            let _ = request.respond(response);
        }
    }
}
