//! One job of the board on one slip: all that the owner may be asked on the phone.

use super::drafts::Draft;
use super::terms::brief;
use super::who::Who;
use crate::model::{PageLife, WorkedJob};
use crate::render::dates::DayWords;
use crate::render::desk::{Desk, JobAtHand};
use crate::render::paths;
use crate::render::view::progress::{self, Need, Now};
use serde::Serialize;

/// An open job, or one that went home with a balance.
#[derive(Clone, Debug, Serialize)]
pub struct Slip {
    pub number: String,
    pub who: Who,
    pub piece: String,
    pub route: String,
    pub stage: &'static str,
    pub rush: bool,
    pub taken_in: DayWords,
    pub in_line_since: Option<DayWords>,
    pub pose: Option<String>,
    pub ready: Option<DayWords>,
    pub collected: Option<DayWords>,
    pub soonest: Option<DayWords>,
    pub likely: Option<DayWords>,
    pub latest: Option<DayWords>,
    pub choose_by: Option<DayWords>,
    pub now: Vec<Now>,
    pub needs: Vec<Need>,
    pub total: String,
    pub paid: String,
    /// What was written off; none where nothing was.
    pub written_off: Option<String>,
    /// What is due; none where nothing is.
    pub due: Option<String>,
    /// The private page: beside the board, and where it will be on the web; none once it is gone.
    pub page: Option<String>,
    pub web: Option<String>,
    /// The file that all of this comes from.
    pub file: String,
    pub drafts: Vec<Draft>,
    /// All that it can be found by, in small letters.
    pub found_by: String,
}

impl Slip {
    /// Whether every one of these words is somewhere on it.
    pub fn is_meant_by(&self, words: &[String]) -> bool {
        words.iter().all(|word| self.found_by.contains(&word.to_lowercase()))
    }
}

pub(super) fn of(desk: &Desk<'_>, open: JobAtHand<'_>, who: Who, drafts: Vec<Draft>) -> Slip {
    let JobAtHand { job, route, worked } = open;
    let day = |day| brief(desk, day);
    let pose = job.pose.as_ref().filter(|choice| choice.on <= desk.worked.today);
    let pose = pose.map(|choice| choice.words.replace('-', " "));
    let about =
        [job.number.as_str(), &job.piece, &route.name, &job.route, pose.as_deref().unwrap_or_default()];
    let found_by: Vec<&str> = about.into_iter().chain(who.words()).collect();
    let there = worked.page != PageLife::Gone;
    Slip {
        found_by: found_by.join(" ").to_lowercase(),
        number: job.number.clone(),
        piece: job.piece.clone(),
        route: route.name.clone(),
        stage: progress::stage_word(worked),
        rush: job.rush,
        taken_in: day(job.taken_in),
        in_line_since: worked.in_line_since.map(day),
        pose,
        ready: worked.ready.map(day),
        collected: worked.collected.map(day),
        soonest: worked.window().map(|w| day(w.soonest)),
        likely: worked.window().map(|w| day(w.likely)),
        latest: worked.window().map(|w| day(w.latest)),
        choose_by: worked.choose_by().map(day),
        now: progress::now(desk, route, worked),
        needs: progress::needs(desk, job, worked).0,
        total: desk.money(worked.ledger.total),
        paid: desk.money(worked.ledger.paid),
        written_off: worked.ledger.written_off.is_positive().then(|| desk.money(worked.ledger.written_off)),
        due: worked.ledger.due.is_positive().then(|| desk.money(worked.ledger.due)),
        page: there.then(|| page_beside(worked)),
        web: desk.shop.studio.web_address(worked).filter(|_| there).map(|web| web.reveal().clone()),
        file: format!("{}/job.toml", job.folder.reveal()),
        drafts,
        who,
    }
}

/// The way from the board to the page, by the name of its file, so that it also works straight from disk.
fn page_beside(worked: &WorkedJob) -> String {
    let key = worked.seal.as_ref().map(|key| format!("#{}", key.reveal())).unwrap_or_default();
    format!("../{}{key}", paths::private(&worked.address))
}
