//! Rank 3: `Shop` and `Worked` become a `DraftSite`.
//!
//! `view` decides what a page may show, the theme how it looks and in which words; this file says
//! which pages there are. Nothing here reads the clock or writes to disk.

mod amounts;
pub mod board;
pub mod dates;
mod desk;
#[cfg(any(test, fuzzing))]
pub mod door;
pub mod drawing;
mod gate_words;
mod markdown;
mod markup;
mod memo;
mod minify;
mod paths;
mod photos;
mod plain_files;
pub mod printed;
pub mod theme;
mod view;

use crate::base::identity::Identity;
use crate::base::ours::with_shop_mark;
use crate::base::site_path::private_folder;
use crate::model::photo::Album;
use crate::model::{
    Body, DraftSite, Owner, PageKey, PageLife, Photo, Picture, Role, Shop, Site, SiteFile, Spoilt, Worked,
};
use crate::problem::Problems;
use desk::Desk;
pub use memo::Memo;
use rayon::prelude::*;
use std::collections::BTreeMap;
use theme::Theme;

/// Files of the site and what is worth knowing about them.
type Made = Result<(Vec<(String, SiteFile)>, Problems), Problems>;

/// Every picture that will be shown, in the order in which it is best made.
pub fn pictures(shop: &Shop, worked: &Worked) -> Vec<Picture> {
    photos::all(shop, worked)
}

/// The files that a photo gives in a folder of the site.
pub fn files_of(album: &Album, photo: &Photo, folder: &str) -> Vec<(String, SiteFile)> {
    photos::files(album, photo, folder, &Owner::Shop)
}

/// The folder of a pose or of a page of the owner's, with its slash; none for a job, whose folder nobody can guess.
pub fn folder_of(part: &Spoilt) -> Option<String> {
    let path = match part {
        Spoilt::Job(_) => return None,
        Spoilt::Pose(animal, key) => paths::pose(animal, key),
        Spoilt::Page(key) => paths::page(key),
    };
    Some(paths::folder_of(&path).to_owned())
}

/// The name of a job's calendar beside its page.
pub const CALENDAR: &str = view::calendar::FILE;

/// The whole site in memory. A photo that is not in the album is left out. An error is a template
/// or a word that does not work: then nothing of the site is to be touched.
///
/// `memo` remembers pages made before; what comes of it does not depend on that.
pub fn site_with(
    shop: &Shop,
    worked: &Worked,
    album: &Album,
    theme: &Theme,
    memo: &Memo,
) -> Result<(DraftSite, Problems), Problems> {
    let desk = Desk::new(shop, worked, album, theme).remembering(memo);
    let jobs = worked.jobs.par_iter().filter(|job| job.page != PageLife::Gone);
    let mut made: Vec<Made> = jobs.map(|job| view::private::make(&desk, job)).collect();
    made.par_extend(shop.poses.par_iter().map(|pose| view::showroom::make_pose(&desk, pose)));
    made.par_extend(shop.pages.par_iter().map(|page| view::page::make(&desk, page)));
    made.push(view::showroom::make_lists(&desk));
    made.push(view::side_by_side::make(&desk));
    made.push(view::front::make(&desk));
    made.push(plain_files::make(&desk));

    let to_seal: BTreeMap<String, PageKey> = worked
        .jobs
        .iter()
        .filter(|job| job.page != PageLife::Gone)
        .filter_map(|job| Some((private_folder(&job.address), job.seal.clone()?)))
        .collect();
    let shell = if to_seal.is_empty() { Ok(Vec::new()) } else { view::sealed::make(&desk) };
    let kept = kept(shop, worked);
    let stand_ins = if kept.is_empty() { Ok(BTreeMap::new()) } else { plain_files::stand_ins(&desk) };
    let mut site = DraftSite { kept, to_seal, ..DraftSite::default() };
    let (mut notes, mut stops) = (Problems::default(), Problems::default());
    match stand_ins {
        Ok(stand_ins) => site.stand_ins = stand_ins,
        Err(more) => stops.extend(more),
    }
    for one in made {
        match one {
            Ok((files, more)) => {
                site.files.extend(files);
                notes.extend(more);
            }
            Err(more) => stops.extend(more),
        }
    }
    match shell {
        Ok(shell) => site.shell = shell,
        Err(more) => stops.extend(more),
    }
    memo.prune();
    // What stands in shop.toml is on many pages; a note on it is told once.
    if stops.is_empty() { Ok((site, notes.sorted())) } else { Err(stops.sorted()) }
}

/// Gives every page the mark of its shop, once nothing else changes: by that a host's files are told to be this shop's.
pub fn mark(site: &mut Site, identity: &Identity) {
    for (path, file) in site.files.iter_mut().filter(|(path, _)| Role::of(path).is_page()) {
        if let Body::Bytes(bytes) = &mut file.body {
            *bytes = with_shop_mark(bytes, &identity.mark(path));
        }
    }
}

/// What could not be made this time, in reading or in reckoning.
fn kept(shop: &Shop, worked: &Worked) -> Vec<Spoilt> {
    let mut kept = shop.spoilt.clone();
    kept.extend(worked.spoilt.iter().cloned().map(Spoilt::Job));
    kept.sort();
    kept.dedup();
    kept
}
