//! Hang tags: one part for the customer with the address of the private page, one for the piece with nothing
//! but its number, what it is, and an initial.

use super::{Paper, Sheet, stopped};
use crate::base::person::initial;
use crate::base::qr::Qr;
use crate::base::words::ticked;
use crate::model::{Shop, Worked, WorkedJob};
use crate::problem::{Code, Location, Problem, Problems};
use crate::render::dates::DayWords;
use crate::render::theme::Theme;
use serde::Serialize;

/// How tags are laid out.
#[derive(Clone, Copy, Debug)]
pub struct Sheets {
    pub paper: Paper,
    /// Each on a sheet of its own, else as many as fit.
    pub single: bool,
}

/// So many letters of an address are read out in one breath.
const GROUP: usize = 4;
/// A number that is longer is printed smaller, or it would not fit on the piece's part.
const LONG: usize = 9;

#[derive(Serialize)]
struct TagsPage {
    sheet: Sheet,
    single: bool,
    tags: Vec<TagView>,
}

#[derive(Serialize)]
struct TagView {
    number: String,
    long: bool,
    piece: String,
    name: String,
    initial: String,
    taken_in: DayWords,
    pose: Option<String>,
    paid: Option<String>,
    due: Option<String>,
    code: CodeView,
    /// Where the address begins, without `https://`.
    site: String,
    /// The part that nobody can guess, as it is read out.
    groups: Vec<String>,
    /// The key of a sealed page, which stands behind a `#`.
    key: Vec<String>,
}

#[derive(Serialize)]
struct CodeView {
    side: u32,
    path: String,
}

/// The page of the hang tags of these jobs, given by their places in `Worked::jobs`.
///
/// # Errors
/// `no-web-address`: there is nothing to lead to yet. Or the theme does not work.
pub fn tags(
    shop: &Shop,
    worked: &Worked,
    theme: &Theme,
    sheets: Sheets,
    jobs: &[usize],
) -> Result<String, Problems> {
    let views = jobs.iter().filter_map(|at| worked.jobs.get(*at)).map(|job| tag(shop, theme, job));
    let tags: Vec<TagView> = views.collect::<Result<_, _>>()?;
    let sheet = Sheet::of(shop, worked, theme, sheets.paper);
    theme.render("tags.html", &TagsPage { sheet, single: sheets.single, tags })
}

fn tag(shop: &Shop, theme: &Theme, worked: &WorkedJob) -> Result<TagView, Problems> {
    let Some(job) = shop.jobs.get(worked.job) else { return Err(Problems::default()) };
    let web = shop.studio.web_address(worked).ok_or_else(|| stopped(no_web_address()))?;
    let web = web.reveal();
    let code = Qr::of(web).ok_or_else(|| stopped(too_long(web)))?;
    let money = |amount| theme.amounts.money(amount, shop.studio.money.currency);
    let ledger = &worked.ledger;
    let groups = |symbols: &str| -> Vec<String> {
        let symbols: Vec<char> = symbols.chars().collect();
        symbols.chunks(GROUP).map(|group| group.iter().collect()).collect()
    };
    let site = web.split_once("://").map_or(web.as_str(), |(_, rest)| rest);
    Ok(TagView {
        number: job.number.clone(),
        long: job.number.chars().count() > LONG,
        piece: job.piece.clone(),
        name: job.shown_name.clone(),
        initial: initial(&job.shown_name),
        taken_in: theme.dates.day(job.taken_in),
        pose: job.pose.as_ref().map(|choice| super::parcel::pose_words(shop, choice)),
        paid: ledger.paid.is_positive().then(|| money(ledger.paid)),
        due: ledger.due.is_positive().then(|| money(ledger.due)),
        code: CodeView { side: code.side(), path: code.path() },
        site: site.split_once(&worked.address).map_or(site, |(before, _)| before).to_owned(),
        groups: groups(&worked.address),
        key: worked.seal.as_ref().map(|key| groups(key.reveal())).unwrap_or_default(),
    })
}

fn no_web_address() -> Problem {
    Problem::new(Code::NoWebAddress, "the shop has no web address that a hang tag could lead to")
        .at(Location::file("content/shop.toml"))
        .hint(
            "add a line such as `web = \"https://my-studio.example/\"`: where the finished pages are put up",
        )
}

fn too_long(web: &str) -> Problem {
    Problem::new(Code::NoWebAddress, format!("the address {} is too long for a code", ticked(web)))
        .at(Location::file("content/shop.toml"))
        .hint("use a shorter address under `web`")
}
