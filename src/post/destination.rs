//! A place of the owner's as the library knows it: with its secrets, its waiting times and its retries.

use super::host::{Host, HostKind};
use super::secrets::Secrets;
use super::{target, trouble};
use crate::model::{Post, PostTo};
use crate::problem::{Code, Problem};
use opendal::layers::{RetryLayer, TimeoutLayer};
use opendal::{HttpTransport, HttpTransporter, OperationContext, Operator};
use opendal_http_transport_reqwest::ReqwestTransport;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use tokio::runtime::{Builder, Runtime};

/// So often a request is tried again; each wait is about twice the one before.
const RETRIES: usize = 4;
const FIRST_WAIT: Duration = Duration::from_millis(200);
const LONGEST_WAIT: Duration = Duration::from_secs(8);

/// A place that the site is put up at.
#[derive(Debug)]
pub struct Destination {
    pub(super) host: Host,
    words: String,
    /// What carries the waiting; after the host, which needs it to the end.
    runtime: Runtime,
}

impl Destination {
    /// Makes everything ready; asks nothing of the host yet.
    ///
    /// # Errors
    /// A secret is missing or lies open, or the place cannot be as it is written.
    pub fn open(shop: &Path, post: &Post) -> Result<Destination, Problem> {
        let words = post.to.words();
        if let Some(folder) = target::folder(shop, post) {
            target::check(&folder, shop, &words)?;
        }
        let secrets = Secrets::read(shop, post)?;
        let runtime = Builder::new_current_thread().enable_all().build().map_err(|e| {
            Problem::new(Code::HostAway, format!("the connection could not be made ready ({e})"))
                .hint("run this again")
        })?;
        let patience = Duration::from_secs(u64::from(post.patience));
        let calls = Arc::new(AtomicUsize::new(0));
        let _inside = runtime.enter();
        let kind = match &post.to {
            PostTo::Folder { .. } => HostKind::Folder,
            PostTo::Storage { .. } => HostKind::Storage,
            PostTo::Sftp { .. } => HostKind::Sftp,
            PostTo::Webdav { .. } => HostKind::Webdav,
        };
        let operator = operator(shop, post, &secrets).map_err(|error| trouble::of_place(&words, &error))?;
        let mut context = OperationContext::new();
        if matches!(kind, HostKind::Storage | HostKind::Webdav) {
            let counted = Counted { inner: transport(patience)?, calls: calls.clone() };
            context = context.with_http_transport(HttpTransporter::new(counted));
        }
        let retry = RetryLayer::new()
            .with_max_times(RETRIES)
            .with_min_delay(FIRST_WAIT)
            .with_max_delay(LONGEST_WAIT)
            .with_jitter()
            // The library would write the cause to a log, with whatever stands in it.
            .with_notify(|_: opendal::layers::RetryEvent<'_>| {});
        let operator = operator
            .with_context(context)
            .layer(TimeoutLayer::new().with_timeout(patience).with_io_timeout(patience))
            .layer(retry);
        drop(_inside);
        Ok(Destination { host: Host::new(operator, kind, calls, words.clone()), words, runtime })
    }

    /// The place in words.
    pub fn words(&self) -> &str {
        &self.words
    }

    /// How many requests were made of the host so far.
    pub fn requests(&self) -> usize {
        self.host.requests()
    }

    /// Whether requests cost money or a place in somebody's queue, as they do over HTTP.
    pub fn counts_requests(&self) -> bool {
        self.host.over_http()
    }

    pub(super) fn wait<T>(&self, work: impl Future<Output = T>) -> T {
        self.runtime.block_on(work)
    }
}

fn operator(shop: &Path, post: &Post, secrets: &Secrets) -> opendal::Result<Operator> {
    match &post.to {
        PostTo::Folder { .. } => {
            let folder = target::folder(shop, post).unwrap_or_default();
            Operator::new(opendal::services::Fs::default().root(&absolute(&folder).to_string_lossy()))
        }
        PostTo::Storage { endpoint, bucket, region, folder } => Operator::new(
            opendal::services::S3::default()
                .endpoint(endpoint)
                .bucket(bucket)
                .region(region)
                .root(folder)
                .access_key_id(secrets.get("access-key"))
                .secret_access_key(secrets.get("secret-key"))
                // Nothing but what the owner named is looked for.
                .disable_config_load()
                .disable_ec2_metadata(),
        ),
        PostTo::Webdav { address, user } => Operator::new(
            opendal::services::Webdav::default()
                .endpoint(address)
                .username(user.as_deref().unwrap_or_default())
                .password(secrets.get("password"))
                // Folders are made once each, by ourselves.
                .disable_create_dir(true),
        ),
        #[cfg(unix)]
        PostTo::Sftp { host, port, user, folder } => {
            let port = port.map_or_else(String::new, |port| format!(":{port}"));
            let user = user.as_deref().map_or_else(String::new, |user| format!("{user}@"));
            let key = super::secrets::key_file(shop, post);
            let key = key.map(|key| absolute(&key).to_string_lossy().into_owned());
            Operator::new(
                opendal::services::Sftp::default()
                    .endpoint(&format!("ssh://{user}{host}{port}"))
                    .root(folder)
                    .key(key.as_deref().unwrap_or_default())
                    // A host that is not known yet is no host to send anything to.
                    .known_hosts_strategy("Strict"),
            )
        }
        #[cfg(not(unix))]
        PostTo::Sftp { .. } => {
            Err(opendal::Error::new(opendal::ErrorKind::Unsupported, "there is no SFTP on this system"))
        }
    }
}

fn absolute(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

fn transport(patience: Duration) -> Result<ReqwestTransport, Problem> {
    // Taken once for the whole program; a second time nothing changes.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let client = reqwest::Client::builder()
        .connect_timeout(patience.min(Duration::from_secs(10)))
        // A host that sends us elsewhere is not the one that was named.
        .redirect(reqwest::redirect::Policy::none())
        .user_agent("Benchlight")
        .build();
    client.map(ReqwestTransport::new).map_err(|_| {
        Problem::new(Code::HostAway, "this computer's list of trusted certificates cannot be read")
            .hint("install your system's certificates (on Debian: apt install ca-certificates)")
    })
}

/// Counts every request that leaves, whoever asked for it and however often.
struct Counted {
    inner: ReqwestTransport,
    calls: Arc<AtomicUsize>,
}

impl HttpTransport for Counted {
    async fn fetch(
        &self,
        request: http::Request<opendal::Buffer>,
    ) -> opendal::Result<http::Response<opendal::HttpBody>> {
        self.calls.fetch_add(1, Ordering::Relaxed);
        self.inner.fetch(request).await
    }
}
