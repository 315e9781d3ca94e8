//! The door through which the room `fuzz` hands bytes to the readers of this room, each as if they lay in a file.
//!
//! There for tests and fuzzers alone.

#![allow(clippy::expect_used)]

use crate::base::day::Day;
use crate::base::money::Currency;
use crate::base::telltale::Public;
use crate::problem::{Problem, Source};
use crate::read::disk::text;
use crate::read::job::JobContext;
use crate::read::job::job_toml;
use crate::read::job::link;
use crate::read::job::texts::RouteTexts;
use crate::read::pages;
use crate::read::photo::photo_name;
use crate::read::photo::photo_name::PhotoName;
use crate::read::photo::wish::Wish;
use crate::read::route::partners::Partners;
use crate::read::route::{self, Routes};
use crate::read::shop::key_file;
use crate::read::shop::shop_toml;
use crate::read::showroom;
use crate::read::showroom::Showroom;
use std::collections::{BTreeMap, BTreeSet};

/// `shop.toml`.
pub fn shop(bytes: &[u8]) -> Vec<Problem> {
    of_text(bytes, "content/shop.toml", |source| shop_toml::studio(source, &words(&["prices"])).1)
}

/// `job.toml`, and what is read of it where it is damaged.
pub fn job(bytes: &[u8]) -> Vec<Problem> {
    let _ = link::link_in(bytes);
    of_text(bytes, "content/jobs/26-041 Fenn gobbler/job.toml", |source| {
        let keys = BTreeMap::from([("turkey".to_owned(), words(&["half-strut"]))]);
        let showroom = Showroom { keys, ..Showroom::default() };
        let routes = a_route();
        let (public, route_texts) = (Public::default(), RouteTexts::of(&routes));
        let known = JobContext {
            routes: &routes,
            showroom: &showroom,
            currency: currency(),
            public: &public,
            route_texts: &route_texts,
        };
        job_toml::read(source, &known).1
    })
}

/// A file of `routes/`.
pub fn route(bytes: &[u8]) -> Vec<Problem> {
    of_text(bytes, "content/routes/turkey-full.toml", |source| one_route(source).1)
}

/// `partners.toml`.
pub fn partners(bytes: &[u8]) -> Vec<Problem> {
    of_text(bytes, "content/partners.toml", |source| Partners::of(source).1)
}

/// `pose.toml`.
pub fn pose(bytes: &[u8]) -> Vec<Problem> {
    let file = "content/showroom/turkey/half-strut/pose.toml";
    of_text(bytes, file, |source| showroom::of_source(source, "turkey", "half-strut", currency()).1)
}

/// The title of a page and the text without it, if it has one.
pub fn page(bytes: &[u8]) -> Option<(String, Source)> {
    let source = text::source_of(bytes.to_vec(), "content/pages/prices.md").ok()?;
    let (title, heading) = pages::first_heading(&source.text)?;
    Some((title, pages::without(&source, &heading)))
}

/// The name of a picture as a page's text writes it.
pub fn picture_name(text: &str) -> String {
    pages::percent_decoded(text)
}

/// The key in `shop.key`.
pub fn key(bytes: &[u8]) -> Option<[u8; 32]> {
    let source = text::source_of(bytes.to_vec(), "content/shop.key").ok()?;
    key_file::decoded(&source.text).ok()
}

/// Whether a name lets the photo be shown where nothing else hides it, its day and second, its caption.
type Named = (bool, Option<(Day, Option<u32>)>, Option<String>);

/// What the name of a photo's file says.
pub fn photo(name: &str) -> Named {
    let PhotoName { wish, taken, caption } = photo_name::read(name);
    (matches!(wish, None | Some(Wish::Show)), taken, caption)
}

fn of_text(bytes: &[u8], file: &str, read: impl FnOnce(&Source) -> Vec<Problem>) -> Vec<Problem> {
    match text::source_of(bytes.to_vec(), file) {
        Ok(source) => read(&source),
        Err(problem) => vec![problem],
    }
}

/// The route that jobs of the tests follow.
fn a_route() -> Routes {
    let text = include_str!("../../tests/builder/healthy/turkey-full.toml");
    let key = "turkey-full".to_owned();
    let (route, _) = one_route(&Source::new("content/routes/turkey-full.toml", text));
    Routes { sound: route.map(|route| (key, route)).into_iter().collect(), ..Routes::default() }
}

fn one_route(source: &Source) -> (Option<crate::model::Route>, Vec<Problem>) {
    let text = include_str!("../../tests/builder/healthy/partners.toml");
    let (partners, _) = Partners::of(&Source::new("content/partners.toml", text));
    let (animals, currency) = (words(&["turkey"]), currency());
    let known = route::RouteContext { partners: &partners, animals: &animals, currency };
    route::of_source(source, "turkey-full", &known)
}

fn words(words: &[&str]) -> BTreeSet<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

fn currency() -> Currency {
    Currency::from_code("USD").expect("a currency")
}
