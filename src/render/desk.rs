//! What every page is made from, and the one way in which a page becomes a file.

use super::Memo;
use super::markdown::Around;
use super::minify::{marked, minified};
use super::paths;
use super::theme::Theme;
use crate::base::digest::Digest;
use crate::base::money::Money;
use crate::model::photo::Album;
use crate::model::{Body, Job, Owner, Route, Shop, SiteFile, Spoilt, Worked, WorkedJob};
use crate::problem::Problems;
use serde::Serialize;
use std::collections::BTreeSet;

/// The whole of what pages are made from.
pub struct Desk<'a> {
    pub shop: &'a Shop,
    pub worked: &'a Worked,
    pub album: &'a Album,
    pub theme: &'a Theme,
    /// Pages made before.
    memo: Option<&'a Memo>,
    /// The name of the style sheet: by what it holds, so that an old one is never shown with a new page.
    pub style: String,
    /// The folders of the showroom, in the order of the shop's poses.
    pub animals: Vec<String>,
    /// Every page that anybody may be led to.
    pub pages: BTreeSet<String>,
}

/// A job with its route and what follows from both.
#[derive(Clone, Copy)]
pub struct JobAtHand<'a> {
    pub job: &'a Job,
    pub route: &'a Route,
    pub worked: &'a WorkedJob,
}

impl<'a> Desk<'a> {
    pub fn new(shop: &'a Shop, worked: &'a Worked, album: &'a Album, theme: &'a Theme) -> Desk<'a> {
        let style = format!("look-{}.css", Digest::of(theme.look().as_bytes()).short());
        let animals = animals(shop);
        let pages = public_pages(shop, &animals);
        Desk { shop, worked, album, theme, memo: None, style, animals, pages }
    }

    /// The same one, that makes no page again whose view is as it was.
    pub fn remembering(self, memo: &'a Memo) -> Desk<'a> {
        Desk { memo: Some(memo), ..self }
    }

    /// A job with its route; none where the shop has lost either.
    pub fn job(&self, worked: &'a WorkedJob) -> Option<JobAtHand<'a>> {
        let job = self.shop.jobs.get(worked.job)?;
        Some(JobAtHand { job, route: self.shop.routes.get(&job.route)?, worked })
    }

    /// The list of an animal's poses, if there is one to show.
    pub fn poses_of(&self, animal: &str) -> Option<String> {
        self.shop.poses.iter().any(|pose| pose.animal == animal).then(|| paths::animal(animal))
    }

    /// A page as a file of the site.
    pub fn page(
        &self,
        path: &str,
        template: &str,
        view: &impl Serialize,
        owner: Owner,
    ) -> Result<(String, SiteFile), Problems> {
        let make = || Ok(marked(minified(&self.theme.render(template, view)?)).into_bytes());
        // What cannot be told apart is made anew; the template says what is wrong with it.
        let bytes = match self.memo.zip(serde_json::to_vec(view).ok()) {
            Some((memo, shown)) => {
                memo.page(Digest::of_value(&(self.theme.mark(), template, shown)), make)?
            }
            None => make()?,
        };
        Ok((path.to_owned(), SiteFile::new(Body::Bytes(bytes), owner)))
    }

    /// An amount of the shop's currency in words.
    pub fn money(&self, money: Money) -> String {
        self.theme.amounts.money(money, self.shop.studio.money.currency)
    }

    /// What Markdown without pictures of its own needs to know.
    pub fn around<'b>(&'b self, root: &'b str, heading: usize) -> Around<'b> {
        Around { root, pages: &self.pages, heading, picture: None }
    }
}

/// Animals by their first pose; behind them those whose poses all need mending.
///
/// The last good page of a spoilt pose stays, and it leads to the list of its animal and to the
/// showroom: so these are made even where nothing is left to list. They do not lead back, nor does
/// the menu lead to a spoilt page, for one that was never right has no last good page, and only
/// the room that writes knows which has.
fn animals(shop: &Shop) -> Vec<String> {
    let spoilt = shop.spoilt.iter().filter_map(|one| match one {
        Spoilt::Pose(animal, _) => Some(animal),
        Spoilt::Job(_) | Spoilt::Page(_) => None,
    });
    let mut seen = BTreeSet::new();
    let all = shop.poses.iter().map(|pose| &pose.animal).chain(spoilt);
    all.filter(|animal| seen.insert(*animal)).cloned().collect()
}

/// The pages of the shop, the showroom and the owner; never a private one.
fn public_pages(shop: &Shop, animals: &[String]) -> BTreeSet<String> {
    let mut pages = BTreeSet::from(["index.html".to_owned()]);
    for animal in animals {
        pages.insert(paths::SHOWROOM.to_owned());
        pages.insert(paths::animal(animal));
    }
    pages.extend(shop.poses.iter().map(|pose| paths::pose(&pose.animal, &pose.key)));
    pages.extend(shop.pages.iter().map(|page| paths::page(&page.key)));
    pages
}
