//! How a job stands: what is going on, what is waited for, and how far along its route it is.

use super::when::about;
use crate::base::day::Day;
use crate::model::{Gate, Job, Route, Stage, Step, StepState, WorkedJob, WorkedStep, gate};
use crate::render::dates::{AboutWords, DayWords};
use crate::render::desk::Desk;
use crate::render::gate_words;
use crate::render::paths::{as_words, capital};
use serde::Serialize;

/// Something that goes on or stands still now.
#[derive(Clone, Debug, Serialize)]
pub struct Now {
    /// The step, as words with a capital.
    pub step: String,
    /// `bench`, `rest`, `parcel` (waits for the next parcel), `away` or `held`.
    pub kind: &'static str,
    pub tells: Option<String>,
    pub since: Option<DayWords>,
    pub partner: Option<String>,
    /// As it is reckoned today, else by the partner's figures as long as that day is not past.
    pub likely_back: Option<AboutWords>,
    /// By the partner's figures; none once the day is past.
    pub latest_back: Option<DayWords>,
    /// Whether it is away for longer than the partner's latest day.
    pub overdue: bool,
    /// Days that it usually takes, least and most.
    pub days: Option<(u32, u32)>,
    /// What it is held by, in words.
    pub waits_for: Option<String>,
}

/// A step of the route.
#[derive(Debug, Serialize)]
pub struct StepView {
    pub name: String,
    /// `done`, `open`, `away`, `held` or `ahead`.
    pub state: &'static str,
    pub kind: &'static str,
    pub day: Option<DayWords>,
    /// Whether the day is known, or only the latest that it can be.
    pub exact: bool,
    pub partner: Option<String>,
    pub waits_for: Option<String>,
    /// The steps it needs, where these are not simply the one above it.
    pub after: Option<String>,
    /// How many branches run to the left of it; 0 for the trunk.
    pub lane: usize,
}

/// Something that the customer is asked for.
#[derive(Clone, Debug, Serialize)]
pub struct Need {
    /// `pose`, `deposit`, `tag` or `other`.
    pub kind: &'static str,
    pub name: String,
    pub tells: Option<String>,
    /// The step that waits for it.
    pub step: String,
    /// The last day for it that does not move the likely day.
    pub by: Option<DayWords>,
    /// Whether that day is today.
    pub by_now: bool,
}

/// How a step of the route stands; nothing for one that the job does not know.
fn worked_step<'a>(job: &'a WorkedJob, step: &Step) -> Option<&'a WorkedStep> {
    job.steps.iter().find(|own| own.name == step.name)
}

/// What goes on now, in the order of the route. Nothing once it is ready.
pub fn now(desk: &Desk<'_>, route: &Route, job: &WorkedJob) -> Vec<Now> {
    if job.stage >= Stage::Ready {
        return Vec::new();
    }
    route.steps.iter().filter_map(|step| now_of(desk, step, worked_step(job, step)?, job)).collect()
}

fn now_of(desk: &Desk<'_>, step: &Step, own: &WorkedStep, job: &WorkedJob) -> Option<Now> {
    let day = |day| desk.theme.dates.day(day);
    let mut now = Now {
        step: as_words(&step.name),
        kind: step.work.kind().word(),
        tells: step.tells.clone(),
        since: None,
        partner: partner_of(desk, step),
        likely_back: None,
        latest_back: None,
        overdue: false,
        days: None,
        waits_for: None,
    };
    match own.state {
        StepState::Open { since } => {
            now.since = Some(day(since));
            now.kind = if now.kind == "away" { "parcel" } else { now.kind };
            now.days = step.work.rest_days().map(|days| (days.least, days.most));
        }
        StepState::Sent { since } => {
            let away = job.away.iter().find(|away| away.step == step.name);
            now.kind = "away";
            now.since = Some(day(since));
            let to_come = |back: Day| (back >= desk.worked.today).then(|| day(back));
            let reckoned = job.reason().into_iter().flat_map(|reason| &reason.back);
            let likely = reckoned.filter(|back| back.step == step.name).map(|back| back.day).next();
            let by_figures = away.map(|a| a.likely_back).filter(|back| *back >= desk.worked.today);
            now.likely_back = likely.or(by_figures).map(|back| about(desk, back));
            let is_behind = |latest: &Day| likely.is_none_or(|likely| likely < *latest);
            now.latest_back = away.map(|a| a.latest_back).filter(is_behind).and_then(to_come);
            now.overdue = away.is_some_and(|a| a.latest_back < desk.worked.today);
        }
        StepState::Held { .. } => {
            now.kind = "held";
            now.waits_for = Some(gate_words::of_all(desk.theme, &own.missing));
        }
        StepState::Reached { .. } | StepState::Ahead => return None,
    }
    Some(now)
}

/// The route as a list, with what is done, going on and to come.
pub fn steps(desk: &Desk<'_>, route: &Route, job: &WorkedJob) -> Vec<StepView> {
    let lanes = lanes(route);
    let views = route.steps.iter().zip(lanes).enumerate().filter_map(|(at, (step, lane))| {
        let own = worked_step(job, step)?;
        let plain =
            step.after.is_empty() && at == 0 || at.checked_sub(1).is_some_and(|above| step.after == [above]);
        let needed: Vec<String> =
            step.after.iter().filter_map(|i| route.steps.get(*i)).map(|s| s.name.replace('-', " ")).collect();
        let after = (!plain && !needed.is_empty()).then(|| desk.theme.list(&needed));
        Some(step_view(desk, step, own, after, lane))
    });
    views.collect()
}

fn step_view(desk: &Desk<'_>, step: &Step, own: &WorkedStep, after: Option<String>, lane: usize) -> StepView {
    let (state, day, exact, waits_for) = match own.state {
        StepState::Reached { day, exact, .. } => ("done", Some(day), exact, None),
        StepState::Open { since } => ("open", Some(since), true, None),
        StepState::Sent { since } => ("away", Some(since), true, None),
        StepState::Held { .. } => ("held", None, true, Some(gate_words::of_all(desk.theme, &own.missing))),
        StepState::Ahead => ("ahead", None, true, None),
    };
    StepView {
        name: as_words(&step.name),
        state,
        kind: step.work.kind().word(),
        day: day.map(|day| desk.theme.dates.day(day)),
        exact,
        partner: partner_of(desk, step),
        waits_for,
        after,
        lane,
    }
}

fn partner_of(desk: &Desk<'_>, step: &Step) -> Option<String> {
    step.work.partner().and_then(|partner| desk.shop.partners.get(partner)).map(|p| p.name.clone())
}

/// For each step how many branches run beside it: a step goes on in the lane of the first step it
/// needs if it is the first to do so, else it opens a new lane; where branches meet, the lowest lane goes on.
fn lanes(route: &Route) -> Vec<usize> {
    let mut lanes: Vec<usize> = Vec::with_capacity(route.steps.len());
    let mut taken: Vec<bool> = vec![false; route.steps.len()];
    for step in &route.steps {
        let free = step.after.iter().filter(|i| !taken.get(**i).copied().unwrap_or(true));
        let lane = free.filter_map(|i| lanes.get(*i).copied()).min();
        let beside = step.after.iter().filter_map(|i| lanes.get(*i)).max().map_or(1, |lane| lane + 1);
        for needed in &step.after {
            if let Some(one) = taken.get_mut(*needed) {
                *one = true;
            }
        }
        let first = lanes.is_empty();
        lanes.push(if first { 0 } else { lane.unwrap_or(beside).min(2) });
    }
    lanes
}

/// What the customer is asked for: what something stands still for today, and what will be asked later.
pub fn needs(desk: &Desk<'_>, job: &Job, worked: &WorkedJob) -> (Vec<Need>, Vec<Need>) {
    if worked.stage >= Stage::Ready {
        return (Vec::new(), Vec::new());
    }
    let mut all: Vec<&Gate> = Vec::new();
    let open = worked.gates.iter().filter(|gate| gate.customer && gate.met.is_none());
    for gate in open {
        match all.iter().position(|known| known.name == gate.name) {
            None => all.push(gate),
            // A gate of several steps counts where it blocks.
            Some(at) if gate.blocking => all.splice(at..=at, [gate]).for_each(drop),
            Some(_) => {}
        }
    }
    let route = desk.shop.routes.get(&job.route);
    let (now, later): (Vec<&Gate>, Vec<&Gate>) = all.into_iter().partition(|gate| gate.blocking);
    let views = |gates: Vec<&Gate>| gates.into_iter().map(|gate| need(desk, route, worked, gate)).collect();
    (views(now), views(later))
}

fn need(desk: &Desk<'_>, route: Option<&Route>, worked: &WorkedJob, gate: &Gate) -> Need {
    let last_day = worked.last_day_for(&gate.name);
    let step = route.and_then(|r| r.steps.iter().find(|s| s.name == gate.step));
    Need {
        kind: gate::KNOWN.into_iter().find(|known| *known == gate.name).unwrap_or("other"),
        name: capital(&gate_words::of_one(desk.theme, &gate.name)),
        tells: desk.shop.studio.gates.get(&gate.name).and_then(|rule| rule.tells.clone()),
        step: as_words(step.map_or(gate.step.as_str(), |s| s.name.as_str())),
        by: last_day.map(|day| desk.theme.dates.day(day)),
        by_now: last_day.is_some_and(|day| day <= desk.worked.today),
    }
}

/// The word for the stage; a held job is told apart by whom it waits for.
pub fn stage_word(job: &WorkedJob) -> &'static str {
    match job.stage {
        Stage::Held if job.gates.iter().any(|gate| gate.blocking && gate.customer) => "held-by-you",
        stage => stage.word(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::minutes::Minutes;
    use crate::model::Likely;
    use crate::model::StepWork;

    fn route(steps: &[(&str, &[usize])]) -> Route {
        let minutes = Likely { least: Minutes(1), likely: Minutes(1), most: Minutes(1) };
        let steps = steps.iter().map(|(name, after)| Step {
            name: (*name).to_owned(),
            after: after.to_vec(),
            work: StepWork::Bench(minutes),
            needs: Vec::new(),
            tells: None,
            photos: true,
            sent: None,
        });
        Route {
            key: "r".into(),
            name: "R".into(),
            animal: None,
            needs: Vec::new(),
            deposit: None,
            price_from: None,
            prices: vec![],
            steps: steps.collect(),
        }
    }

    #[test]
    fn branches_part_and_meet_again() {
        let turkey = route(&[
            ("skinned", &[]),
            ("washed", &[0]),
            ("head-back", &[0]),
            ("mounted", &[1, 2]),
            ("dried", &[3]),
        ]);
        assert_eq!(lanes(&turkey), [0, 0, 1, 0, 0]);
        assert_eq!(lanes(&route(&[("a", &[]), ("b", &[]), ("c", &[0, 1])])), [0, 1, 0]);
        assert_eq!(lanes(&route(&[])), [0usize; 0]);
    }
}
