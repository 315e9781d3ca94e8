//! The door through which the room `fuzz` hands bytes to what posting reads: a host's answers, and our own records.
//!
//! There for tests and fuzzers alone.

use super::host::{Host, HostKind};
use super::local::Local;
use super::record::Record;
use super::{plan, secrets};
use crate::base::identity::Identity;
use opendal::{Buffer, HttpBody, HttpTransport, HttpTransporter, OperationContext, Operator};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicUsize;
use tokio::runtime::{Builder, Runtime};

/// A host that answers everything with the same bytes.
struct Parrot(Buffer);

impl HttpTransport for Parrot {
    async fn fetch(&self, _: http::Request<Buffer>) -> opendal::Result<http::Response<HttpBody>> {
        let (length, bytes) = (self.0.len() as u64, self.0.clone());
        let body = HttpBody::new(futures::stream::iter([Ok(bytes)]), Some(length));
        let status = if self.0.to_bytes().starts_with(b"<?xml version=\"1.0\" d") { 207 } else { 200 };
        let built = http::Response::builder().status(status).body(body);
        built.map_err(|_| opendal::Error::new(opendal::ErrorKind::Unexpected, "no answer"))
    }
}

/// What is to be done at a host that says this of itself: files to put, files to take away, or what is told.
///
/// # Errors
/// The message.
pub fn planned(storage: bool, answer: &[u8], local: &Local) -> Result<(Vec<String>, Vec<String>), String> {
    let operator = if storage { bucket() } else { share() }.map_err(|e| e.to_string())?;
    let context = OperationContext::new()
        .with_http_transport(HttpTransporter::new(Parrot(Buffer::from(answer.to_vec()))));
    let kind = if storage { HostKind::Storage } else { HostKind::Webdav };
    let calls = Arc::new(AtomicUsize::new(0));
    let host = Host::new(operator.with_context(context), kind, calls, "the host".to_owned());
    let runtime: Runtime = Builder::new_current_thread().enable_all().build().map_err(|e| e.to_string())?;
    let identity = Identity::from_bytes([7; 32]);
    let record = Record::load(Path::new("no/such/shop"), "the host", &identity.bond("the host"), &|_| false);
    // With the owner's word, so that the plan goes on where it would ask.
    match runtime.block_on(plan::make(&host, local, record, &identity, true)) {
        Ok(plan) => Ok((plan.puts.concat(), plan.removals.concat())),
        Err(problem) => Err(format!("{problem:?}")),
    }
}

fn bucket() -> opendal::Result<Operator> {
    Operator::new(
        opendal::services::S3::default()
            .endpoint("https://host.example")
            .bucket("site")
            .region("auto")
            .access_key_id("key")
            .secret_access_key(SECRET)
            .disable_config_load()
            .disable_ec2_metadata(),
    )
}

fn share() -> opendal::Result<Operator> {
    Operator::new(
        opendal::services::Webdav::default()
            .endpoint("https://host.example")
            .username("owner")
            .password(SECRET)
            .disable_create_dir(true),
    )
}

/// What no message may show.
pub const SECRET: &str = "CANARYSECRET";

/// The paths in the record of a place, as it lies in a shop, and after it was saved again.
pub fn recorded(shop: &Path, place: &str) -> (Vec<String>, Vec<String>) {
    let paths = |record: &Record| record.files.keys().cloned().collect::<Vec<_>>();
    let bond = Identity::from_bytes([7; 32]).bond(place);
    let load = || Record::load(shop, place, &bond, &|_| true);
    let record = load();
    let _ = record.save(shop);
    (paths(&record), paths(&load()))
}

/// The name of the file of a place's record; its journal ends in `going`.
pub fn record_file(shop: &Path, place: &str) -> std::path::PathBuf {
    super::record::lock_file(shop, place).with_extension("json")
}

/// A secret in the text of `post.key`.
pub fn secret(text: &str, word: &str) -> Option<String> {
    secrets::line(text, word)
}
