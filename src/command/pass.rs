//! One full pass over a shop, up to the finished site in memory. `make` writes its result, `proof`
//! only looks at its problems; whatever watches calls the same.

use super::clock;
use crate::base::day::Day;
use crate::model::photo::Album;
use crate::model::{Picture, Rendition, Renditions, Shop, Site, Spoilt, Today, Worked};
use crate::problem::Problems;
use crate::{photo, read, render, work, write};
use std::path::Path;

/// What a pass found out and made.
#[derive(Debug)]
pub struct Pass {
    pub today: Today,
    pub shop: Shop,
    pub worked: Worked,
    pub site: Site,
    pub problems: Problems,
}

/// Whether photos are made, or only looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Photos {
    Make,
    LookOnly,
}

/// Reads, works out and renders.
///
/// # Errors
/// The problems, among them a `Stop`: no site could be made, and nothing was changed.
pub fn run(
    shop_folder: &Path,
    as_of: Option<Day>,
    photos: Photos,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<Pass, Problems> {
    let today = clock::today(as_of, shop_folder).map_err(|p| Problems::from_iter([p]))?;
    let (mut shop, mut problems) = read::shop(shop_folder, &photo::look)?;
    let (worked, found) = work::reckon(&shop, today);
    problems.extend(found);
    let theme = with(&mut problems, render::theme::load(shop_folder))?;
    let pictures = render::pictures(&shop, &worked);
    let album = match photos {
        Photos::Make => {
            let (album, faults) = photo::develop(&pictures, &photo_cache(shop_folder), progress);
            problems.extend(faults.iter().map(|(picture, fault)| fault.problem(&picture.file)));
            album
        }
        Photos::LookOnly => stand_ins(&pictures),
    };
    let spoilt = worked.spoilt.iter().map(|number| Spoilt::Job(number.clone()));
    shop.spoilt.extend(spoilt);
    let site = with(&mut problems, render::site(&shop, &worked, &album, &theme))?;
    if photos == Photos::Make {
        photo::prune(&photo_cache(shop_folder), &album);
    }
    Ok(Pass { today, shop, worked, site, problems: problems.sorted() })
}

/// Keeps the problems of a stage that went well, or ends the pass with all that were found so far.
fn with<T>(problems: &mut Problems, stage: Result<(T, Problems), Problems>) -> Result<T, Problems> {
    match stage {
        Ok((made, found)) => {
            problems.extend(found);
            Ok(made)
        }
        Err(found) => {
            problems.extend(found);
            Err(std::mem::take(problems).sorted())
        }
    }
}

fn photo_cache(shop_folder: &Path) -> std::path::PathBuf {
    write::hidden_folder(shop_folder).join("photos")
}

/// Something to stand where each photo would, so that pages can be checked without making any.
fn stand_ins(pictures: &[Picture]) -> Album {
    let stand_in = |picture: &Picture| {
        let size = Rendition {
            width: 1,
            height: 1,
            bytes: 0,
            digest: picture.digest,
            ending: "jpg",
            path: picture.path.clone(),
        };
        (picture.digest, Renditions { sizes: vec![size], placeholder: String::new() })
    };
    pictures.iter().map(stand_in).collect()
}
