//! Photos on pages: which ones, in which sizes, and the files that they need.

use crate::base::day::Day;
use crate::model::photo::Album;
use crate::model::{
    Body, Job, MadeOf, Owner, PageLife, Photo, Picture, Rendition, Renditions, Shop, SiteFile, Worked,
};
use serde::Serialize;
use std::collections::BTreeSet;

/// A photo as an `img` needs it. Addresses are relative to the page.
#[derive(Clone, Debug, Serialize)]
pub struct PictureView {
    pub src: String,
    pub srcset: String,
    pub width: u32,
    pub height: u32,
    /// The widest there is, for a closer look.
    pub full: String,
    /// A tiny picture as a `data:` address, to stand there until the photo has come; empty if there is none.
    pub placeholder: String,
}

/// Width that a phone can show at once without waiting long; where `srcset` is not understood.
const USUAL_WIDTH: u32 = 960;

impl PictureView {
    /// The photo as a page in `folder` (relative, empty for the page's own) shows it.
    pub fn of(album: &Album, photo: &Photo, folder: &str) -> Option<PictureView> {
        let Renditions { sizes, placeholder } = album.get(&photo.look.digest)?;
        let widest = sizes.first()?;
        let usual = sizes.iter().find(|size| size.width <= USUAL_WIDTH).unwrap_or(widest);
        let address = |size: &Rendition| format!("{folder}{}", file_name(size));
        let each: Vec<String> =
            sizes.iter().rev().map(|size| format!("{} {}w", address(size), size.width)).collect();
        Some(PictureView {
            src: address(usual),
            srcset: each.join(", "),
            width: widest.width,
            height: widest.height,
            full: address(widest),
            placeholder: placeholder.clone(),
        })
    }

    /// The `img` for the owner's Markdown.
    pub fn tag(&self, words: &str) -> String {
        let words = attribute(words);
        let PictureView { src, srcset, width, height, placeholder, .. } = self;
        let stand_in = match placeholder.as_str() {
            "" => String::new(),
            tiny => format!(
                "<svg class=\"soon\" width=\"24\" height=\"24\" aria-hidden=\"true\" focusable=\"false\"><image width=\"100%\" height=\"100%\" preserveAspectRatio=\"xMidYMin slice\" href=\"{tiny}\" /></svg>"
            ),
        };
        format!(
            "<span class=\"print\">{stand_in}<img src=\"{src}\" srcset=\"{srcset}\" sizes=\"(min-width: 864px) 765px, calc(100vw - 99px)\" width=\"{width}\" height=\"{height}\" alt=\"{words}\" loading=\"lazy\"></span>"
        )
    }
}

fn attribute(words: &str) -> String {
    let mut out = Vec::new();
    let escaped = tera::escape_html(words, &mut out);
    escaped.ok().and_then(|()| String::from_utf8(out).ok()).unwrap_or_default()
}

/// The public name of a rendition: by what it holds.
fn file_name(size: &Rendition) -> String {
    format!("{}.{}", size.digest.short(), size.ending)
}

/// The files of a photo in a folder of the site.
pub fn files(album: &Album, photo: &Photo, folder: &str, owner: &Owner) -> Vec<(String, SiteFile)> {
    let sizes = album.get(&photo.look.digest).map(|r| r.sizes.as_slice()).unwrap_or_default();
    let each = sizes.iter().map(|size| {
        let body = Body::Cached { path: size.path.clone(), digest: size.digest, bytes: size.bytes };
        let made_of = MadeOf { digest: photo.look.digest, file: photo.file.clone() };
        (
            format!("{folder}{}", file_name(size)),
            SiteFile { photo: Some(made_of), ..SiteFile::new(body, owner.clone()) },
        )
    });
    each.collect()
}

/// The photos of a job that its page shows on a day, in the order in which they are shown.
pub fn shown_of(job: &Job, today: Day) -> impl Iterator<Item = &Photo> {
    job.photos.iter().filter(move |photo| photo.shown && photo.taken.day <= today)
}

/// Every picture that the site needs: those of open jobs first, the newest before the others; then those of
/// jobs that were collected, the showroom, and the owner's pages; then what last good pages may still show. Each one once.
pub fn all(shop: &Shop, worked: &Worked) -> Vec<Picture> {
    let mut seen = BTreeSet::new();
    let photos = by_haste(shop, worked)
        .into_iter()
        .chain(shop.poses.iter().flat_map(|pose| pose.photos.iter().filter(|p| p.shown)))
        .chain(shop.pages.iter().flat_map(|page| page.pictures.iter().map(|(_, photo)| photo)))
        .chain(still_there(shop, worked));
    photos.filter(|photo| seen.insert(photo.look.digest)).map(Photo::picture).collect()
}

/// The photos of what cannot be made.
fn still_there<'a>(shop: &'a Shop, worked: &'a Worked) -> impl Iterator<Item = &'a Photo> {
    let contradictory = shop.jobs.iter().filter(|job| worked.spoilt.contains(&job.number));
    let unread = shop.remains.values().flat_map(|remains| &remains.photos);
    contradictory.flat_map(|job| &job.photos).chain(unread).filter(|photo| photo.shown)
}

/// The photos that jobs show, in the order in which somebody waits for them.
fn by_haste<'a>(shop: &'a Shop, worked: &'a Worked) -> Vec<&'a Photo> {
    let with_page = worked.jobs.iter().filter(|w| w.page != PageLife::Gone);
    let jobs = with_page.filter_map(|w| Some((w.page != PageLife::Open, shop.job(w.job)?)));
    let mut photos: Vec<(bool, &Photo)> = jobs
        .flat_map(|(closing, job)| shown_of(job, worked.today).map(move |photo| (closing, photo)))
        .collect();
    photos
        .sort_by_key(|(closing, photo)| (*closing, std::cmp::Reverse((photo.taken.day, photo.taken.second))));
    photos.into_iter().map(|(_, photo)| photo).collect()
}
