//! The front page: the shop, what it makes, what is on the bench, what a piece brought in today can expect.

use super::frame::{Frame, PageLink, field_care_page};
use super::showroom::{AnimalView, animals};
use super::when::WindowView;
use crate::model::{BenchMonth, Closure, Owner, PastHeld, Route};
use crate::problem::Problems;
use crate::render::dates::DayWords;
use crate::render::desk::Desk;
use crate::render::{Made, paths};
use serde::Serialize;

#[derive(Debug, Serialize)]
struct FrontPage {
    frame: Frame,
    today: DayWords,
    routes: Vec<RouteView>,
    animals: Vec<AnimalView>,
    bench: Vec<MonthView>,
    /// How many pieces are on the bench in all.
    pieces: usize,
    closures: Vec<ClosureView>,
    /// Whether one goes on or begins within four weeks, so that somebody may come in vain.
    closed_soon: bool,
    /// The page on looking after game in the field, if the menu has one.
    field_care: Option<PageLink>,
    /// The shop's own words for "no promise".
    estimate_says: Option<String>,
    /// How past windows held, where the owner shows it.
    past: Option<PastHeld>,
}

/// A kind of work.
#[derive(Debug, Serialize)]
struct RouteView {
    name: String,
    price_from: Option<String>,
    showroom: Option<String>,
    window: Option<WindowView>,
}

/// Pieces by the month in which they were taken in.
#[derive(Debug, Serialize)]
struct MonthView {
    month: String,
    pieces: Vec<PiecesView>,
    count: usize,
}

#[derive(Debug, Serialize)]
struct PiecesView {
    route: String,
    count: usize,
}

/// Days on which the bench stands still.
#[derive(Debug, Serialize)]
struct ClosureView {
    from: DayWords,
    to: DayWords,
    one_day: bool,
    why: Option<String>,
}

/// The front page.
pub fn make(desk: &Desk<'_>) -> Made {
    let bench: Vec<MonthView> = desk.worked.bench.iter().map(|month| month_view(desk, month)).collect();
    let view = FrontPage {
        frame: Frame::of(desk, "index.html", desk.shop.studio.name.clone()),
        today: desk.theme.dates.day(desk.worked.today),
        routes: routes(desk).into_iter().map(|route| route_view(desk, route)).collect(),
        animals: animals(desk, "").into_iter().map(|(_, animal)| animal).collect(),
        pieces: bench.iter().map(|month| month.count).sum(),
        bench,
        closures: closures(desk),
        closed_soon: known_closures(desk).any(|closure| closure.from.since(desk.worked.today) <= SOON),
        field_care: field_care_page(desk, ""),
        estimate_says: desk.shop.studio.estimates.says.clone(),
        past: desk.worked.past,
    };
    Ok((vec![desk.page("index.html", "front.html", &view, Owner::Shop)?], Problems::default()))
}

/// In the order of the showroom, then by key; last what has no poses to show.
fn routes<'a>(desk: &Desk<'a>) -> Vec<&'a Route> {
    let mut routes: Vec<&Route> = desk.shop.routes.values().collect();
    let place = |route: &Route| {
        let shown = route.animal.as_ref().filter(|animal| desk.poses_of(animal).is_some())?;
        desk.animals.iter().position(|animal| animal == shown)
    };
    routes.sort_by_cached_key(|route| (place(route).unwrap_or(usize::MAX), route.key.clone()));
    routes
}

fn route_view(desk: &Desk<'_>, route: &Route) -> RouteView {
    let of_route = desk.worked.windows.iter().find(|w| w.route == route.key);
    let window = of_route.and_then(|w| w.window);
    RouteView {
        name: route.name.clone(),
        price_from: route.price_from.map(|price| desk.money(price)),
        showroom: route.animal.as_deref().and_then(|animal| desk.poses_of(animal)),
        window: window.map(|window| WindowView::of(desk, window)),
    }
}

fn month_view(desk: &Desk<'_>, month: &BenchMonth) -> MonthView {
    let pieces = month.pieces.iter().filter(|(_, count)| *count > 0).map(|(key, count)| PiecesView {
        route: desk.shop.routes.get(key).map_or_else(|| paths::as_words(key), |route| route.name.clone()),
        count: *count,
    });
    MonthView {
        month: desk.theme.dates.month(month.month),
        pieces: pieces.collect(),
        count: month.pieces.iter().map(|(_, count)| count).sum(),
    }
}

/// How many days before a closure it is told first of all.
const SOON: i64 = 28;

/// Closures that are announced and not past.
fn known_closures<'a>(desk: &Desk<'a>) -> impl Iterator<Item = &'a Closure> {
    let today = desk.worked.today;
    let known = desk.shop.studio.closures.iter();
    known.filter(move |closure| {
        closure.to >= today && closure.announced.is_none_or(|announced| announced <= today)
    })
}

fn closures(desk: &Desk<'_>) -> Vec<ClosureView> {
    let mut known: Vec<_> = known_closures(desk).collect();
    known.sort_by_key(|closure| (closure.from, closure.to));
    let day = |day| desk.theme.dates.day(day);
    let views = known.into_iter().map(|closure| ClosureView {
        from: day(closure.from),
        to: day(closure.to),
        one_day: closure.from == closure.to,
        why: closure.why.clone(),
    });
    views.collect()
}
