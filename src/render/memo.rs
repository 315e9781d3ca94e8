//! Pages rendered before, by the digest of all that they were made from: view, template and theme.
//!
//! A view holds everything that its page shows, so a page whose view is as before is as before. Kept in
//! memory only, and only what the last site was made of.

use crate::base::digest::Digest;
use crate::problem::Problems;
use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Finished pages.
#[derive(Debug, Default)]
pub struct Memo {
    pages: Mutex<BTreeMap<Digest, FinishedPage>>,
}

#[derive(Debug)]
struct FinishedPage {
    bytes: Vec<u8>,
    /// Whether this site asked for it.
    asked: bool,
}

impl Memo {
    fn lock(&self) -> MutexGuard<'_, BTreeMap<Digest, FinishedPage>> {
        self.pages.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The page of that digest: remembered, or made now.
    pub fn page(
        &self,
        digest: Digest,
        make: impl FnOnce() -> Result<Vec<u8>, Problems>,
    ) -> Result<Vec<u8>, Problems> {
        if let Some(page) = self.lock().get_mut(&digest) {
            page.asked = true;
            return Ok(page.bytes.clone());
        }
        let bytes = make()?;
        self.lock().insert(digest, FinishedPage { bytes: bytes.clone(), asked: true });
        Ok(bytes)
    }

    /// Forgets what the last site was not made of.
    pub fn prune(&self) {
        self.lock().retain(|_, page| std::mem::take(&mut page.asked));
    }
}
