//! What may still be seen of the photos of parts that cannot be made: put together from what was read of their folders, what
//! photos could not be opened, and what is on its way. What follows from it is decided where the site is written.

use super::arriving::Arriving;
use crate::base::site_path::private_folder;
use crate::model::photo::Album;
use crate::model::{MadeOf, Photo, Shop, Spoilt, Still, Worked};
use crate::problem::{Code, Problem, Problems};
use crate::work::address::Address;
use crate::{render, seal};
use std::collections::{BTreeMap, BTreeSet};

/// All that it is put together from.
#[derive(Debug)]
pub struct StillSources<'a> {
    pub shop: &'a Shop,
    pub worked: &'a Worked,
    pub album: &'a Album,
    pub arriving: &'a Arriving,
    /// The present address of each broken job, as far as it can be known.
    pub addresses: &'a BTreeMap<String, Address>,
}

impl StillSources<'_> {
    /// For each kept part of which something is known.
    pub fn of_every_part(&self, kept: &[Spoilt], problems: &Problems) -> BTreeMap<Spoilt, Still> {
        let mut unread: BTreeSet<String> = problems.iter().filter_map(unread_file).collect();
        unread.extend(self.arriving.files.iter().cloned());
        let each = kept.iter().filter_map(|part| Some((part.clone(), self.of_part(part, &unread)?)));
        each.collect()
    }

    fn of_part(&self, part: &Spoilt, unread: &BTreeSet<String>) -> Option<Still> {
        let (photos, own_unread) = self.photos(part)?;
        let mut still = Still { unread: unread.union(own_unread).cloned().collect(), ..Still::default() };
        for photo in photos {
            let side = if photo.shown { &mut still.shown } else { &mut still.hidden };
            side.insert(photo.look.digest);
        }
        still.waits = matches!(part, Spoilt::Job(number) if self.arriving.jobs.contains(number));
        self.name_files(part, photos, &mut still);
        Some(still)
    }

    /// The photos of a part, and what of them could not be read.
    fn photos(&self, part: &Spoilt) -> Option<(&[Photo], &BTreeSet<String>)> {
        static NONE: BTreeSet<String> = BTreeSet::new();
        if let Spoilt::Job(number) = part
            && self.worked.spoilt.contains(number)
            && let Some(job) = self.shop.jobs.iter().find(|job| job.number == *number)
        {
            return Some((&job.photos, &NONE));
        }
        self.shop.remains.get(part).map(|remains| (remains.photos.as_slice(), &remains.unread))
    }

    /// The files that the shown photos would give today.
    fn name_files(&self, part: &Spoilt, photos: &[Photo], still: &mut Still) {
        let (folder, key) = match part {
            Spoilt::Job(number) => match self.addresses.get(number) {
                Some(address) => (private_folder(&address.folder), address.key.as_ref()),
                None => return,
            },
            _ => match render::folder_of(part) {
                Some(folder) => (folder, None),
                None => return,
            },
        };
        let path = |name: &str| match key {
            Some(key) => format!("{folder}{}", seal::file::name(key, name)),
            None => format!("{folder}{name}"),
        };
        for photo in photos.iter().filter(|photo| photo.shown) {
            for (name, _) in render::files_of(self.album, photo, "") {
                let made_of = MadeOf { digest: photo.look.digest, file: photo.file.clone() };
                still.files.insert(path(&name), made_of);
            }
        }
        if key.is_some() {
            still.others = ["index.html", render::CALENDAR].map(path).into();
        }
    }
}

/// The file or folder of which a problem says that nothing can be told of it now.
fn unread_file(problem: &Problem) -> Option<String> {
    let unread = matches!(
        problem.code,
        Code::BadPhoto | Code::PhotoKind | Code::NotHere | Code::Unreadable | Code::PhotoCache
    );
    let file = problem.place.as_ref().filter(|_| unread)?.file.to_string();
    // A folder without the file that it must have is told at the folder, and can be looked through all the same.
    let inside = file.starts_with("content/jobs/") && file.matches('/').count() > 2;
    (problem.code != Code::Unreadable || inside).then_some(file)
}
