//! One full pass over a shop, up to the finished site in memory. Writing its result is `publish`'s: `make` calls it once, `watch` on each
//! stir. `proof` only looks at a pass's problems. `reckoned` is its first half, for commands that need the figures and no pages (`board`, `tag`,
//! `parcel`, `register`, `open --new-key`); `with_drafts` is the same with job files that are not there yet (`intake`, `parcel --sent`); `read_shop` reads
//! and no more (`replay`).

use super::arriving::{self, Arriving};
use super::clock;
pub use super::memory::Memory;
use crate::base::day::Day;
use crate::base::identity::Identity;
use crate::base::site_path::private_folder;
use crate::base::words::count;
use crate::model::photo::Album;
use crate::model::{
    DraftSite, PageLife, PhotoFault, Picture, Rendition, Renditions, Shop, Site, Spoilt, Today, Worked,
};
use crate::problem::{Problem, Problems};
use crate::{photo, read, render, seal, work, write};
use std::collections::BTreeMap;
use std::path::Path;

/// What a pass found out and made.
#[derive(Debug)]
pub struct Pass {
    pub today: Today,
    pub shop: Shop,
    pub worked: Worked,
    pub site: Site,
    pub problems: Problems,
    /// What is waited for.
    pub arriving: Arriving,
}

/// What a pass may leave behind: photos, sealed files and what is remembered for the next one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PassMode {
    /// Photos are made and kept, pages are sealed, looks and trials are noted down.
    Make,
    /// The same, and a file that was written a moment ago is waited for.
    MakePatiently,
    /// Photos are only looked at, pages stay unsealed, and nothing is written anywhere.
    LookOnly,
}

impl PassMode {
    fn makes(self) -> bool {
        self != PassMode::LookOnly
    }
}

/// A shop that was opened, on the day of the pass: both are fixed at its beginning.
#[derive(Debug)]
pub struct Begun {
    pub today: Today,
    pub opened: read::Opened,
}

/// Opens the shop and fixes the day.
///
/// # Errors
/// The problems, among them a `Stop`: there is no shop, or what all of it hangs on needs mending.
pub fn begin(shop_folder: &Path, as_of: Option<Day>) -> Result<Begun, Problems> {
    let opened = read::open(shop_folder)?;
    let today = clock::today(as_of, opened.studio()).map_err(|p| Problems::from_iter([p]))?;
    Ok(Begun { today, opened })
}

/// A shop that was read, and what follows from it.
#[derive(Debug)]
pub struct Reckoned {
    pub today: Today,
    pub shop: Shop,
    pub worked: Worked,
    pub problems: Problems,
}

/// Reads and works out, without any page.
///
/// # Errors
/// The problems, among them a `Stop`: the shop could not be read.
pub fn reckoned(shop_folder: &Path, as_of: Option<Day>, mode: PassMode) -> Result<Reckoned, Problems> {
    reckoned_with(shop_folder, begin(shop_folder, as_of)?, mode, &mut Memory::default())
}

/// The same with what earlier passes of the program left.
///
/// # Errors
/// As `reckoned`.
fn reckoned_with(
    shop_folder: &Path,
    begun: Begun,
    mode: PassMode,
    memory: &mut Memory,
) -> Result<Reckoned, Problems> {
    let ReadShop { today, shop, mut problems } = read_shop_with(shop_folder, begun, mode, memory)?;
    let (worked, found) = work::reckon_with(&shop, today, memory.estimates(shop_folder));
    if mode.makes() {
        memory.keep_estimates(shop_folder);
    }
    problems.extend(found);
    Ok(Reckoned { today, shop, worked, problems })
}

/// Reads and works out the shop as it would be on this day with these job files in it; photos are only looked at.
///
/// # Errors
/// As `reckoned`.
pub fn with_drafts(shop_folder: &Path, today: Today, drafts: &[read::Draft]) -> Result<Reckoned, Problems> {
    let looks = photo::Looks::open(&write::hidden_folder(shop_folder));
    let (shop, mut problems) = read::shop_with_drafts(shop_folder, &|path| looks.look(path), drafts)?;
    let (worked, found) = work::reckon(&shop, today);
    problems.extend(found);
    Ok(Reckoned { today, shop, worked, problems })
}

/// A shop as it was read, on the day of the pass.
#[derive(Debug)]
pub struct ReadShop {
    pub today: Today,
    pub shop: Shop,
    pub problems: Problems,
}

/// Fixes the day and reads, and no more. What is known of a photo whose file has not changed is not read again; what
/// only looks notes nothing down.
///
/// # Errors
/// As `reckoned`.
pub fn read_shop(shop_folder: &Path, as_of: Option<Day>, mode: PassMode) -> Result<ReadShop, Problems> {
    read_shop_with(shop_folder, begin(shop_folder, as_of)?, mode, &mut Memory::default())
}

fn read_shop_with(
    shop_folder: &Path,
    Begun { today, opened }: Begun,
    mode: PassMode,
    memory: &mut Memory,
) -> Result<ReadShop, Problems> {
    let (looks, jobs) = memory.for_reading(shop_folder);
    let (shop, problems) = read::shop_with(opened, &|path| looks.look(path), jobs)?;
    if mode.makes() {
        // A memory that cannot be kept only makes the next pass slower.
        let _ = looks.keep();
    }
    Ok(ReadShop { today, shop, problems })
}

/// A site before sealing, with all that is needed to finish it.
#[derive(Debug)]
pub struct Drafted {
    pub today: Today,
    pub shop: Shop,
    pub site: DraftSite,
    pub problems: Problems,
    worked: Worked,
    arriving: Arriving,
    album: Album,
    identity: Identity,
}

/// Reads, works out, renders, and looks no further: nothing that could be written comes of it.
///
/// # Errors
/// The problems, among them a `Stop`: no site could be made, and nothing was changed.
pub fn looked(shop_folder: &Path, begun: Begun) -> Result<Drafted, Problems> {
    let mut drafted = drafted(shop_folder, begun, PassMode::LookOnly, &|_, _| {}, &mut Memory::default())?;
    drafted.problems = drafted.problems.sorted();
    Ok(drafted)
}

fn drafted(
    shop_folder: &Path,
    begun: Begun,
    mode: PassMode,
    progress: &(dyn Fn(usize, usize) + Sync),
    memory: &mut Memory,
) -> Result<Drafted, Problems> {
    let Reckoned { today, mut shop, mut worked, mut problems } =
        reckoned_with(shop_folder, begun, mode, memory)?;
    problems.extend(super::keys::open(shop_folder, &shop.studio, mode.makes()));
    let theme = with(&mut problems, render::theme::load(shop_folder))?;
    let pictures = render::pictures(&shop, &worked);
    let album = match mode {
        PassMode::Make | PassMode::MakePatiently => {
            let (album, faults) = photo::develop(&pictures, &photo_cache(shop_folder), progress);
            problems.extend(photo_problems(&faults));
            album
        }
        PassMode::LookOnly => stand_ins(&pictures),
    };
    let mut arriving = Arriving::default();
    if mode == PassMode::MakePatiently {
        arriving = arriving::sift(&mut problems, shop_folder, Some(&shop), clock::moment());
        arriving.hold_back(&shop, &mut worked);
    }
    let spoilt = worked.spoilt.iter().map(|number| Spoilt::Job(number.clone()));
    shop.spoilt.extend(spoilt);
    let site = with(&mut problems, render::site_with(&shop, &worked, &album, &theme, &memory.pages))?;
    let identity = read::identity(shop_folder, &shop.key).map_err(|problem| Problems::from_iter([problem]));
    let identity = with(&mut problems, identity.map(|identity| (identity, Problems::default())))?;
    Ok(Drafted { today, shop, site, problems, worked, arriving, album, identity })
}

/// Reads, works out, renders and seals.
///
/// # Errors
/// The problems, among them a `Stop`: no site could be made, and nothing was changed.
pub fn run(
    shop_folder: &Path,
    begun: Begun,
    mode: PassMode,
    progress: &(dyn Fn(usize, usize) + Sync),
    memory: &mut Memory,
) -> Result<Pass, Problems> {
    let Drafted { today, shop, site: draft, mut problems, worked, arriving, album, identity } =
        drafted(shop_folder, begun, mode, progress, memory)?;
    let seals = memory.seals(shop_folder);
    let sealed = seal::site(draft, seals).map(|site| (site, Problems::default()));
    let mut site = with(&mut problems, sealed)?;
    if mode.makes() {
        seals.end_pass();
        photo::prune(&photo_cache(shop_folder), &album);
    }
    let addresses = present_addresses(&shop, &worked);
    let sources = super::still::StillSources {
        shop: &shop,
        worked: &worked,
        album: &album,
        arriving: &arriving,
        addresses: &addresses,
    };
    site.still = sources.of_every_part(&site.kept, &problems);
    site.addresses = addresses.into_iter().map(|(number, address)| (number, address.folder)).collect();
    site.ends = ends(&worked);
    render::mark(&mut site, &identity);
    Ok(Pass { today, shop, worked, site, problems: problems.sorted(), arriving })
}

/// What the photo room complains of. A disk that is full, or a helper that does not start, is one problem, however many
/// photos meet it.
fn photo_problems(faults: &[(Picture, PhotoFault)]) -> Vec<Problem> {
    let of_computer = |fault: &PhotoFault| matches!(fault, PhotoFault::NotKept(_) | PhotoFault::NoHelper(_));
    let (unkept, bad): (Vec<_>, Vec<_>) = faults.iter().partition(|(_, fault)| of_computer(fault));
    let told = bad.into_iter().chain(unkept.first().copied());
    let mut problems: Vec<Problem> = told.map(|(picture, fault)| fault.problem(&picture.file)).collect();
    if let (Some(problem), others @ 1..) = (problems.last_mut(), unkept.len().saturating_sub(1)) {
        problem.message += &format!("; the same goes for {}", count(others, "more photo"));
    }
    problems
}

/// The private address that each broken job has today, as far as it can be known: from its record if
/// that could be read, else from what could still be read of its `link`.
fn present_addresses(shop: &Shop, worked: &Worked) -> BTreeMap<String, work::address::Address> {
    let sound = shop.jobs.iter().filter(|job| worked.spoilt.contains(&job.number));
    let sound = sound.map(|job| (&job.number, job.page_link()));
    let broken = shop.spoilt_links.iter().filter_map(|(number, link)| Some((number, (*link)?)));
    let links = sound.chain(broken);
    links.map(|(number, link)| (number.clone(), work::address::of_job(shop, number, link))).collect()
}

/// The folders of closing pages and the last day of each.
fn ends(worked: &Worked) -> BTreeMap<String, Day> {
    let closing = worked.jobs.iter().filter_map(|job| match job.page {
        PageLife::Closing { until } => Some((private_folder(&job.address), until)),
        PageLife::Open | PageLife::Gone => None,
    });
    closing.collect()
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
