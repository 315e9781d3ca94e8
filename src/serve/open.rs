//! The thread that the preview runs on: takes in whoever connects, has those sent away who stay too long, and ends when
//! it is told to, whoever is still there.

use super::answer::Shown;
use super::guests::Guests;
use super::talk;
use futures::future::select;
use std::io;
use std::net;
use std::pin::pin;
use std::sync::Arc;
use std::thread::{self, JoinHandle};
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::runtime::{Builder, Runtime};
use tokio::sync::oneshot;

/// So many files are read at a time, beside the thread that answers.
const READERS: usize = 4;
/// How often it is looked who stays too long.
const LOOK: Duration = Duration::from_millis(250);
/// What is still being read when it ends is waited for so long.
const PARTING: Duration = Duration::from_millis(300);
/// The system is out of something for a moment, such as open files.
const BREATH: Duration = Duration::from_millis(50);

/// It is open until this is dropped.
pub(super) struct Open {
    end: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

/// Answers whoever connects, on a thread of its own.
pub(super) fn to_guests(listener: net::TcpListener, shown: Arc<Shown>) -> io::Result<Open> {
    listener.set_nonblocking(true)?;
    let mut runtime = Builder::new_current_thread();
    let runtime = runtime.enable_io().enable_time().max_blocking_threads(READERS).build()?;
    let listener = {
        let _inside = runtime.enter();
        TcpListener::from_std(listener)?
    };
    let (end, ended) = oneshot::channel();
    let thread = thread::Builder::new().name("preview".to_owned());
    let thread = thread.spawn(move || run(runtime, &listener, &shown, ended))?;
    Ok(Open { end: Some(end), thread: Some(thread) })
}

fn run(runtime: Runtime, listener: &TcpListener, shown: &Arc<Shown>, ended: oneshot::Receiver<()>) {
    runtime.block_on(async {
        let guests = Arc::new(Guests::default());
        tokio::spawn(look_after(Arc::clone(&guests)));
        select(pin!(take_in(listener, &guests, shown)), ended).await;
    });
    // All who are there are sent away with it.
    runtime.shutdown_timeout(PARTING);
}

async fn take_in(listener: &TcpListener, guests: &Arc<Guests>, shown: &Arc<Shown>) {
    loop {
        match listener.accept().await {
            Ok((stream, _)) => {
                let shown = Arc::clone(shown);
                guests.take_in(|seat| tokio::spawn(talk::with(stream, seat, shown)).abort_handle());
            }
            Err(_) => tokio::time::sleep(BREATH).await,
        }
    }
}

async fn look_after(guests: Arc<Guests>) {
    loop {
        tokio::time::sleep(LOOK).await;
        guests.send_away_who_stays_too_long();
    }
}

impl Drop for Open {
    fn drop(&mut self) {
        drop(self.end.take());
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}
