//! The shell that stands in the place of every sealed page: the shop's name and number, plain words for all that can go
//! wrong, and the script that opens the page. It is the same for every piece and knows none.

use super::frame::Frame;
use crate::base::digest::Digest;
use crate::model::Owner;
use crate::problem::Problems;
use crate::render::desk::Desk;
use crate::render::paths;
use serde::Serialize;

#[derive(Serialize)]
struct Shell {
    frame: Frame,
    script: String,
}

/// The shell's bytes.
pub fn make(desk: &Desk<'_>) -> Result<Vec<u8>, Problems> {
    let script = desk.theme.sealed_script().trim().to_owned();
    // All private folders lie equally deep; which one it is makes no difference.
    let path = paths::private("sealed");
    let mut frame = Frame::of(desk, &path, "");
    // Besides what other pages may show: this one script, what it fetches from beside itself, and photos that it opened.
    frame.policy = format!(
        "default-src 'none'; script-src {}; connect-src 'self'; img-src 'self' data: blob:; style-src 'self'; \
         base-uri 'none'; form-action 'none'",
        Digest::of(script.as_bytes()).in_policy()
    );
    let (_, file) = desk.page(&path, "sealed.html", &Shell { frame, script }, Owner::Shop)?;
    match file.body {
        crate::model::Body::Bytes(bytes) => Ok(bytes),
        crate::model::Body::Cached { .. } => Ok(Vec::new()),
    }
}
