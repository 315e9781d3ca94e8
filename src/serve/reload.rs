//! Pages of the preview load themselves anew when something changed: by server-sent events
//! (WHATWG HTML, "Server-sent events"), which a browser takes up again by itself when they break off.

use futures::stream::{self, Stream};
use std::time::Duration;
use tokio::sync::watch;

/// Where the script lies. No page or folder of the site begins with a hyphen.
pub(super) const SCRIPT: &str = "/-/reload.js";
/// Where changes are told.
pub(super) const CHANGES: &str = "/-/changes";
pub(super) const TEXT: &str = include_str!("reload.js");

/// A word now and then, so that a page that has gone away is noticed.
const STILL_HERE: Duration = Duration::from_secs(15);

/// How often something changed, for whoever waits for it.
pub(super) struct Changes(watch::Sender<u64>);

/// The headers of the stream that tells of changes.
pub(super) fn headers() -> Vec<(&'static str, String)> {
    let headers = [
        ("Content-Type", "text/event-stream"),
        ("Cache-Control", "no-store"),
        ("X-Content-Type-Options", "nosniff"),
        ("Cross-Origin-Resource-Policy", "same-origin"),
    ];
    headers.map(|(name, value)| (name, value.to_owned())).into()
}

impl Changes {
    pub fn new() -> Changes {
        Changes(watch::Sender::new(0))
    }

    pub fn tell(&self) {
        self.0.send_modify(|count| *count += 1);
    }

    /// How it stands, and then every change, until nobody can tell any more.
    pub fn follow(&self) -> impl Stream<Item = String> + Send + use<> {
        let news = self.0.subscribe();
        stream::unfold((news, true), |(mut news, first)| async move {
            if first {
                let stands = data(&mut news);
                return Some((format!("retry: 1000\n\n{stands}"), (news, false)));
            }
            let told = tokio::time::timeout(STILL_HERE, news.changed()).await;
            let words = match told {
                Ok(Ok(())) => data(&mut news),
                Ok(Err(_)) => return None,
                Err(_) => ": still here\n\n".to_owned(),
            };
            Some((words, (news, false)))
        })
    }
}

/// The process's number, so that a page also notices that the program was started anew.
fn data(news: &mut watch::Receiver<u64>) -> String {
    format!("data: {}-{}\n\n", std::process::id(), *news.borrow_and_update())
}
