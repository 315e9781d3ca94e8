//! A page of the owner's own.

use super::frame::Frame;
use crate::model::{Owner, Page, Spoilt};
use crate::problem::Problems;
use crate::render::desk::Desk;
use crate::render::markdown::{self, Around};
use crate::render::photos::{self, PictureView};
use crate::render::{Made, paths};
use serde::Serialize;

#[derive(Debug, Serialize)]
struct OwnPage {
    frame: Frame,
    title: String,
    text: String,
}

/// The page and the pictures that its text shows.
pub fn make(desk: &Desk<'_>, page: &Page) -> Made {
    let owner = Owner::Part(Spoilt::Page(page.key.clone()));
    let path = paths::page(&page.key);
    let root = paths::root_of(&path);
    let mut notes = Problems::default();
    let picture = |name: &str| {
        let (_, photo) = page.pictures.iter().find(|(known, _)| known == name)?;
        PictureView::of(desk.album, photo, "")
    };
    let around = Around { picture: Some(&picture), ..desk.around(&root, 2) };
    let text = markdown::of_source(&page.text, &around, &mut notes);
    let view = OwnPage { frame: Frame::of(desk, &path, page.title.clone()), title: page.title.clone(), text };
    let mut files = vec![desk.page(&path, "page.html", &view, owner.clone())?];
    let folder = paths::folder_of(&path);
    let shown = page.pictures.iter();
    files.extend(shown.flat_map(|(_, photo)| photos::files(desk.album, photo, folder, &owner)));
    Ok((files, notes))
}
