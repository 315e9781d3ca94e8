//! The board's page: the owner's own view, never part of the site. `site` does not know this folder, and the
//! watcher's preview is the only one that shows the page.
//!
//! `who` is the one place where what is private is opened; `view` puts the board into words, for the page and for
//! the terminal alike; `drafts` words the messages.
//!
//! `work::board` sorts the open jobs into a `model::Board`: places and figures only. `view` adds the words, who is who, and the drafts. From
//! that `command/board/` lays out the terminal and `page` the page for the preview. The load by week (`work/estimate/load.rs`) comes from
//! the same kind of trials as the windows, with today's pieces alone.

mod chart;
mod drafts;
mod slip;
mod terms;
mod view;
mod who;

use super::desk::Desk;
use super::minify::minified;
use super::theme::Theme;
use crate::base::digest::Digest;
use crate::model::photo::Album;
use crate::model::{Board, Shop, Worked};
use crate::problem::Problems;
use serde::Serialize;

pub use drafts::Draft;
pub use view::{BoardView, KeptSince, Row, Slip, SumsView};

/// The page as its template sees it.
#[derive(Serialize)]
struct BoardPage {
    language: String,
    policy: String,
    /// The site's style sheet, and the board's own style, which stands in the page.
    look: String,
    style: String,
    script: String,
    made_up: bool,
    board: BoardView,
}

/// The board in words.
pub fn view(shop: &Shop, worked: &Worked, board: &Board, theme: &Theme, kept: &KeptSince) -> BoardView {
    let album = Album::default();
    view::of(&Desk::new(shop, worked, &album, theme), board, kept)
}

/// The whole page, to be shown at `board/` beside the site.
///
/// # Errors
/// A template or a word of the theme that does not work.
pub fn page(
    shop: &Shop,
    worked: &Worked,
    board: &Board,
    theme: &Theme,
    kept: &KeptSince,
) -> Result<String, Problems> {
    let album = Album::default();
    let desk = Desk::new(shop, worked, &album, theme);
    let (style, script) = (theme.board_look().trim().to_owned(), theme.board_script().trim().to_owned());
    // Style and script stand in the page itself, and the policy lets in exactly these bytes: CSP level 3, 6.7.3.
    let policy = format!(
        "default-src 'none'; img-src 'self' data:; style-src 'self' {}; script-src {}; \
         base-uri 'none'; form-action 'none'",
        Digest::of(style.as_bytes()).in_policy(),
        Digest::of(script.as_bytes()).in_policy()
    );
    let view = BoardPage {
        language: shop.studio.language.clone(),
        policy,
        look: format!("../{}", desk.style),
        style,
        script,
        made_up: shop.studio.made_up.is_some(),
        board: view::of(&desk, board, kept),
    };
    Ok(minified(&theme.render("board.html", &view)?))
}
