//! `post`: brings `public/` to the host that `[post]` of `shop.toml` names, and tells what it did.
//!
//! How is `post`'s business; what stands in `public/` is `make`'s. `watch --post` calls the same once it is quiet.

use super::terminal::{Progress, say, tell, tell_problems};
use super::{Outcome, clock, signs};
use crate::base::identity::Identity;
use crate::base::words::{count, list, ticked};
use crate::model::{Post, ShopKey, Studio, Today};
use crate::post::{self, Destination, Halt, Local, Plan, Report};
use crate::problem::{Code, Location, Problem, Problems};
use crate::read;
use crate::write::{LastWrite, ShopLock};
use std::path::Path;

/// So often a posting begins anew because the site changed under it.
const ROUNDS: usize = 5;
/// More names than this are only counted.
const NAMED: usize = 12;

/// What a posting came to.
#[derive(Debug)]
pub struct Posted {
    pub report: Report,
    pub requests: usize,
    pub place: String,
}

/// Puts the site of the shop up, or only tells what would be done. `even_so` is the owner's word that it may go on where it
/// would ask.
pub fn run(shop: &Path, dry: bool, even_so: bool) -> Outcome {
    let one = |problem| Problems::from_iter([problem]);
    let done = prepared(shop).and_then(|poster| match dry {
        true => told_only(shop, &poster, even_so).map_err(one),
        false => {
            let progress = Progress::new("files");
            let step = |done, all| progress.at(done, all);
            let posted = post_now(shop, &poster, even_so, &step, &|line| say(line)).map_err(one)?;
            let problems: Problems = posted.report.problems.iter().cloned().collect();
            tell_problems(&problems);
            account(&posted).iter().for_each(|line| say(line));
            Ok(Outcome::of(&problems))
        }
    });
    done.unwrap_or_else(|problems| {
        tell_problems(&problems);
        Outcome::CouldNot
    })
}

/// Who puts up what where: what a posting needs of `shop.toml` and the key, read once for it.
#[derive(Debug)]
pub struct Poster {
    pub post: Post,
    key: ShopKey,
    /// The day of the posting; none where the clock cannot be told, and then no page is held back because of it.
    today: Option<Today>,
}

/// What `[post]` says, once nothing speaks against putting this shop up.
///
/// # Errors
/// It says nothing, or something speaks against it.
pub fn prepared(shop: &Path) -> Result<Poster, Problems> {
    super::is_shop(shop)?;
    let (studio, key) = read::studio_and_key(shop)?;
    let today = clock::today(None, &studio).ok();
    let post = studio.post.ok_or_else(|| Problems::from_iter([no_place()]))?;
    Ok(Poster { post, key, today })
}

/// The same for a place that is known already.
///
/// # Errors
/// The shop cannot be read.
pub fn prepared_for(post: &Post, shop: &Path) -> Result<Poster, Problem> {
    let first = |problems: Problems| {
        let other =
            || Problem::new(Code::BadKey, "the shop's key cannot be read").hint("run `benchlight proof`");
        problems.into_iter().next().unwrap_or_else(other)
    };
    let (studio, key) = read::studio_and_key(shop).map_err(first)?;
    Ok(Poster { post: post.clone(), key, today: clock::today(None, &studio).ok() })
}

/// An output folder of a pass is no place for what is put up; `post` itself knows of the shop's own folders.
fn is_no_output(shop: &Path, post: &Post) -> Result<(), Problem> {
    let folder = post::target_folder(shop, post).filter(|folder| LastWrite::of(folder, shop).is_some());
    match folder {
        None => Ok(()),
        Some(_) => Err(Problem::new(
            Code::BadPlace,
            format!("the site cannot be put up there: a pass makes the site in it ({})", post.to.words()),
        )
        .hint("choose an empty folder; nothing was changed")),
    }
}

fn no_place() -> Problem {
    Problem::new(Code::NoPlace, "shop.toml does not say where the site is to be put up")
        .at(Location::file("content/shop.toml"))
        .hint("write a part `[post]` there; the handbook has the lines for each kind of place, in docs/hosting.md")
}

/// What is in `public/`, looked at while no pass writes there.
fn local(shop: &Path) -> Result<Local, Problem> {
    let out = shop.join("public");
    let _turn = ShopLock::take(shop, || tell("Another Benchlight is at work on this shop; waiting for it."))?;
    let last = LastWrite::of(&out, shop);
    if last.as_ref().is_some_and(|last| !last.is_whole()) {
        let problem =
            Problem::new(Code::NothingToPost, "the last pass was cut short, so `public` holds no whole site");
        return Err(problem.hint("run `benchlight make`, then this again"));
    }
    let known = |path: &str, stamp: &crate::base::stamp::Stamp| last.as_ref()?.digest(path, stamp);
    let local = Local::read(&out, &known)?;
    if !local.has("index.html") {
        let problem = Problem::new(Code::NothingToPost, "there is no site in `public` yet");
        return Err(problem.hint("run `benchlight make`, then this again"));
    }
    Ok(local)
}

fn told_only(shop: &Path, Poster { post, key, today }: &Poster, even_so: bool) -> Result<Outcome, Problem> {
    is_no_output(shop, post)?;
    let place = Destination::open(shop, post)?;
    let local = local(shop)?;
    let plan = post::plan(&place, &local, shop, &read::identity(shop, key)?, even_so)?;
    let (plan, held) = signs::hold_back(plan, shop, *today, even_so)?;
    tell_problems(&held.into_iter().collect());
    say(&format!("To {}:", place.words()));
    outlook(&place, &plan, &local).iter().for_each(|line| say(line));
    for (paths, how) in [(&plan.puts, "put up"), (&plan.removals, "take away")] {
        let paths: Vec<&String> = paths.iter().flatten().collect();
        paths.iter().take(NAMED).for_each(|path| say(&format!("    {how}: {path}")));
        if paths.len() > NAMED {
            say(&format!("    {how}: {}", count(paths.len() - NAMED, "more file")));
        }
    }
    say("Nothing was changed there.");
    Ok(Outcome::Done)
}

/// Puts the site up; begins anew when it changes meanwhile. `announce` is told what is ahead.
///
/// # Errors
/// What is in the way; what was done stands, and the next posting goes on from there.
pub fn post_now(
    shop: &Path,
    Poster { post, key, today }: &Poster,
    even_so: bool,
    progress: &dyn Fn(usize, usize),
    announce: &dyn Fn(&str),
) -> Result<Posted, Problem> {
    is_no_output(shop, post)?;
    let place = Destination::open(shop, post)?;
    let identity = read::identity(shop, key)?;
    for round in 0..ROUNDS {
        let local = local(shop)?;
        let plan = post::plan(&place, &local, shop, &identity, even_so)?;
        let (plan, held) = signs::hold_back(plan, shop, *today, even_so)?;
        if round == 0 && !plan.is_idle() {
            announce(&format!("To {}:", place.words()));
            outlook(&place, &plan, &local).iter().for_each(|line| announce(line));
        }
        let aside = left_alone(&plan, &local);
        match post::carry_out(&place, &local, plan, shop, progress) {
            Ok(mut report) => {
                report.problems.extend(aside.into_iter().chain(held));
                if let (true, Some(today)) = (even_so, *today) {
                    signs::are_in_order(shop, today);
                }
                report.problems.extend(elsewhere(&place, shop, &identity));
                post::keep_identity(shop, &identity);
                return Ok(Posted { report, requests: place.requests(), place: place.words().to_owned() });
            }
            Err(Halt::Moved) => {}
            Err(Halt::Told(problem)) => return Err(problem),
        }
    }
    let problem = Problem::new(Code::Busy, "the site kept changing while it was being put up");
    Err(problem.hint("run this again when nothing is being saved"))
}

/// What is ahead, in lines.
fn outlook(place: &Destination, plan: &Plan, local: &Local) -> Vec<String> {
    if plan.is_idle() {
        return vec![format!(
            "  nothing to do: all of {} there as they are here",
            count(local.len(), "file")
        )];
    }
    let mut lines = vec![format!(
        "  {} to put up, {} to take away, {} as before",
        count(plan.to_put(), "file"),
        count(plan.to_remove(), "file"),
        plan.same
    )];
    if place.counts_requests() {
        lines.push(format!(
            "  {} so far to look, about {} to come",
            count(place.requests(), "request"),
            plan.requests()
        ));
    }
    lines
}

/// A short account of what was done.
pub fn account(posted: &Posted) -> Vec<String> {
    let Posted { report, requests, place } = posted;
    let what = match (report.put, report.removed) {
        (0, 0) => format!("Nothing to put up: {} at {place} as they are here", count(report.same, "file")),
        (put, removed) => format!(
            "Put up: {} new or changed, {removed} gone, {} as before, at {place}",
            count(put, "file"),
            report.same
        ),
    };
    vec![format!("{what} ({}).", count(*requests, "request"))]
}

/// What is not put up, or not taken away.
fn left_alone(plan: &Plan, local: &Local) -> Vec<Problem> {
    let mut problems = Vec::new();
    let names = |paths: &[String]| {
        list(&paths.iter().take(NAMED).map(|path| ticked(path)).collect::<Vec<_>>(), "and")
    };
    if !plan.left.is_empty() {
        let message = format!(
            "{} was to go from the host, but is somebody else's by now, so it was left",
            names(&plan.left)
        );
        problems.push(
            Problem::new(Code::Unposted, message).hint("take it away there yourself if it is not wanted"),
        );
    }
    if !local.left_out.is_empty() {
        let message = format!(
            "{} in `public` was not put up, as it is a link or has a name that no address can have",
            names(&local.left_out)
        );
        problems.push(Problem::new(Code::Unposted, message).hint("put a file there, under a plain name"));
    }
    problems
}

/// Places that were left for another one keep what was put there.
fn elsewhere(place: &Destination, shop: &Path, identity: &Identity) -> Option<Problem> {
    let others = post::other_places(place, shop, identity);
    let first = others.first()?;
    let message = format!("the site was put up at another place before, and what is there stays: {first}");
    let hint = "take it away there, or set `[post]` back and empty it, so that no retired page lives on";
    Some(Problem::new(Code::Unposted, message).hint(hint))
}

/// What `proof` says about putting this shop up.
pub fn proof(studio: &Studio) -> Option<Problem> {
    let bare = studio.web.as_ref().is_some_and(|web| !web.starts_with("https://"));
    (bare && studio.post.is_some()).then(|| {
        Problem::new(
            Code::WebNotHttps,
            "`web` is not https, so anyone in between can read along and change pages",
        )
        .at(Location::file("content/shop.toml"))
        .hint("most hosts switch https on for nothing; then write `web = \"https://…\"`")
    })
}
