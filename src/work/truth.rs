//! What cannot be true of a job: dates before it was taken in, or out of order (what is later than today
//! is `later`'s).
//!
//! Contradictions are told, never guessed over: a job with one is left as its last good pages show it.
//! Only facts known on the day are weighed; when the owner asked for an earlier day, later ones
//! are not known and so no mistake.

use super::known::Known;
use super::later;
use crate::base::words::ticked;
use crate::model::{Job, Mark, Route, Today};
use crate::problem::{Code, Location, Problem, Severity};

/// All that contradicts itself in one job. Any problem as bad as `Mend` but for `photo-date` spoils the job.
pub(super) fn check(job: &Job, route: &Route, today: Today) -> Vec<Problem> {
    let mut problems = Vec::new();
    if !today.asked {
        problems.extend(later::problems(job, today.day));
        if job.taken_in > today.day {
            // Everything else would only repeat it.
            return problems;
        }
    }
    let known = Known::on(job, today.day);
    let events = events(&known, route);
    problems.extend(events.iter().filter(|e| e.mark.day < job.taken_in).map(|e| before_taken_in(job, e)));
    problems.extend(out_of_order(job, route, &events));
    problems.extend(told_too_early(&known, route));
    problems
}

/// Whether a problem of [`check`] keeps the job from being made.
pub(super) fn spoils(problem: &Problem) -> bool {
    problem.severity >= Severity::Mend && problem.code != Code::PhotoDate
}

/// Something dated that stands in an order with others.
#[derive(Clone, Copy, Debug)]
struct Event<'a> {
    name: &'a str,
    mark: &'a Mark,
    what: What,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Sent(usize),
    Reached(usize),
    Told,
    Collected,
}

/// What is known to have happened, step by step and then the end.
fn events<'a>(known: &Known<'a>, route: &'a Route) -> Vec<Event<'a>> {
    let mut events = Vec::new();
    for (at, step) in route.steps.iter().enumerate() {
        let sent = step.sent.as_deref().map(|name| (name, What::Sent(at)));
        for (name, what) in sent.into_iter().chain([(step.name.as_str(), What::Reached(at))]) {
            events.extend(known.reached(name).map(|mark| Event { name, mark, what }));
        }
    }
    events.extend(known.told().map(|mark| Event { name: "told", mark, what: What::Told }));
    events.extend(known.collected().map(|mark| Event { name: "collected", mark, what: What::Collected }));
    events
}

/// Whether `first` must lie before `then`, by the route or by the way of all pieces.
fn comes_before(first: What, then: What, needs: &[Vec<bool>]) -> bool {
    let step = |what| match what {
        What::Sent(at) | What::Reached(at) => Some(at),
        What::Told | What::Collected => None,
    };
    match (step(first), step(then)) {
        (Some(a), Some(b)) if a == b => (first, then) == (What::Sent(a), What::Reached(a)),
        (Some(a), Some(b)) => needs.get(b).and_then(|row| row.get(a)).copied().unwrap_or(false),
        (Some(_), None) => true,
        (None, Some(_)) => false,
        (None, None) => (first, then) == (What::Told, What::Collected),
    }
}

/// For each step, which steps it needs, directly or through others.
fn needs(route: &Route) -> Vec<Vec<bool>> {
    let mut rows: Vec<Vec<bool>> = Vec::new();
    for step in &route.steps {
        let mut row = vec![false; route.steps.len()];
        for needed in &step.after {
            let theirs = rows.get(*needed).cloned().unwrap_or_default();
            row.iter_mut().zip(theirs).for_each(|(own, their)| *own |= their);
            row.get_mut(*needed).into_iter().for_each(|own| *own = true);
        }
        rows.push(row);
    }
    rows
}

/// Pairs in the wrong order. Of a whole chain only neighbours are told, as mending those mends the rest.
fn out_of_order(job: &Job, route: &Route, events: &[Event<'_>]) -> Vec<Problem> {
    let needs = needs(route);
    let before = |a: &Event<'_>, b: &Event<'_>| comes_before(a.what, b.what, &needs);
    let mut problems = Vec::new();
    for then in events {
        for first in events.iter().filter(|first| before(first, then) && then.mark.day < first.mark.day) {
            if !events.iter().any(|between| before(first, between) && before(between, then)) {
                problems.push(swapped(job, first, then));
            }
        }
    }
    problems
}

fn swapped(job: &Job, first: &Event<'_>, then: &Event<'_>) -> Problem {
    let message = format!(
        "{} ({}) is dated before {} ({}), which must come first",
        ticked(then.name),
        then.mark.day,
        ticked(first.name),
        first.mark.day
    );
    let hint = mending(then, &format!("mend this date or that of {}", ticked(first.name)));
    Problem::new(Code::OutOfOrder, message).at(place(job, then.mark)).hint(hint).of_job(&job.number)
}

fn before_taken_in(job: &Job, event: &Event<'_>) -> Problem {
    let message = format!(
        "{} is dated {}, before the piece was taken in on {}",
        ticked(event.name),
        event.mark.day,
        job.taken_in
    );
    let hint = mending(event, "mend this date or `taken-in`");
    Problem::new(Code::BeforeTakenIn, message).at(place(job, event.mark)).hint(hint).of_job(&job.number)
}

/// What to do about a date: where it comes from a photo, a line under `[reached]` takes its place.
fn mending(event: &Event<'_>, written: &str) -> String {
    match (&event.mark.at, event.what) {
        (None, What::Sent(_) | What::Reached(_) | What::Collected) => {
            format!(
                "its day comes from this photo; a line `{} = …` under `[reached]` takes its place",
                event.name
            )
        }
        _ => written.to_owned(),
    }
}

/// The customer was told that it is ready while steps are still missing: odd, but it can be so for a day.
fn told_too_early(known: &Known<'_>, route: &Route) -> Option<Problem> {
    let told = known.told().filter(|_| known.collected().is_none())?;
    let last = route.steps.iter().enumerate().filter(|(at, _)| {
        // The ends of the route: steps that no other needs.
        !route.steps.iter().any(|step| step.after.contains(at))
    });
    let missing: Vec<String> =
        last.filter(|(_, s)| known.reached(&s.name).is_none()).map(|(_, s)| ticked(&s.name)).collect();
    let job = known.job;
    let names = crate::base::words::list(&missing, "and");
    (!missing.is_empty()).then(|| {
        Problem::new(Code::OutOfOrder, format!("`told` says that it is ready, but {names} is not reached"))
            .with_severity(Severity::Note)
            .at(place(job, told))
            .hint(format!("write the day of {names} under `[reached]`"))
            .of_job(&job.number)
    })
}

/// Where a mark stands: in `job.toml`, else at the photo that it comes from.
pub(super) fn place(job: &Job, mark: &Mark) -> Location {
    match (&mark.at, &mark.photo) {
        (Some(span), _) => job.place(span),
        (None, Some(photo)) => Location::file(photo.reveal().as_str()),
        (None, None) => job.file(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;

    #[test]
    fn a_true_record_is_not_complained_about() {
        let made = job("26-001", "2026-01-05")
            .reached("skinned", "2026-01-05")
            .reached("head-sent", "2026-01-05")
            .reached("washed", "2026-01-05")
            .reached("head-back", "2026-03-05")
            .reached("finished", "2026-05-01")
            .told("2026-05-01")
            .collected("2026-05-01");
        assert_eq!(told(made, on("2026-05-01")), [""; 0]);
    }

    #[test]
    fn nothing_happens_before_it_was_taken_in() {
        let made = job("26-001", "2026-01-05").reached("skinned", "2026-01-04").collected("2026-01-03");
        let all = told(made, on("2026-05-01"));
        assert_eq!(
            all[..2],
            [
                "before-taken-in: `skinned` is dated 2026-01-04, before the piece was taken in on 2026-01-05 [2026-01-04]",
                "before-taken-in: `collected` is dated 2026-01-03, before the piece was taken in on 2026-01-05 [2026-01-03]",
            ]
        );
        let phoned = job("26-001", "2026-01-05").told("2026-01-01");
        assert!(told(phoned, on("2026-05-01"))[0].starts_with("before-taken-in: `told`"));
        // Paid ahead, a form on the shelf, a pose chosen last year: all of that can be.
        let early = job("26-001", "2026-01-05")
            .paid(100, "2025-12-01")
            .have("form", "2024-01-01")
            .pose("2025-12-31")
            .charge(5, "2025-12-01");
        assert_eq!(told(early, on("2026-05-01")), [""; 0]);
    }

    #[test]
    fn steps_follow_those_that_they_need_on_their_own_branch() {
        let late =
            job("26-001", "2026-01-05").reached("skinned", "2026-01-09").reached("mounted", "2026-01-08");
        assert_eq!(
            told(late, on("2026-05-01")),
            [
                "out-of-order: `mounted` (2026-01-08) is dated before `skinned` (2026-01-09), which must come first [2026-01-08]"
            ]
        );
        // `washed` and `head-back` are on different branches.
        let beside =
            job("26-001", "2026-01-05").reached("head-back", "2026-01-20").reached("washed", "2026-01-10");
        assert_eq!(told(beside, on("2026-05-01")), [""; 0]);
        let same_day =
            job("26-001", "2026-01-05").reached("skinned", "2026-01-09").reached("washed", "2026-01-09");
        assert_eq!(told(same_day, on("2026-05-01")), [""; 0]);
    }

    #[test]
    fn only_neighbours_of_a_chain_are_told() {
        let made = job("26-001", "2026-01-05")
            .reached("skinned", "2026-01-20")
            .reached("washed", "2026-01-10")
            .reached("mounted", "2026-01-12")
            .reached("dried", "2026-01-11");
        let all = told(made, on("2026-05-01"));
        assert_eq!(all.len(), 2, "{all:?}");
        assert!(all[0].contains("`washed` (2026-01-10) is dated before `skinned`"));
        assert!(all[1].contains("`dried` (2026-01-11) is dated before `mounted`"));
    }

    #[test]
    fn what_is_back_was_sent_first() {
        let back =
            job("26-001", "2026-01-05").reached("head-sent", "2026-03-01").reached("head-back", "2026-02-01");
        assert!(
            told(back, on("2026-05-01"))[0].contains("`head-back` (2026-02-01) is dated before `head-sent`")
        );
        let sent =
            job("26-001", "2026-01-05").reached("skinned", "2026-02-01").reached("head-sent", "2026-01-20");
        assert!(
            told(sent, on("2026-05-01"))[0].contains("`head-sent` (2026-01-20) is dated before `skinned`")
        );
        // It left after a step that needs it back.
        let late =
            job("26-001", "2026-01-05").reached("head-sent", "2026-03-01").reached("mounted", "2026-02-01");
        assert!(
            told(late, on("2026-05-01"))[0].contains("`mounted` (2026-02-01) is dated before `head-sent`")
        );
    }

    #[test]
    fn told_and_collected_come_last() {
        let home = job("26-001", "2026-01-05").reached("dried", "2026-03-01").collected("2026-02-01");
        assert!(told(home, on("2026-05-01"))[0].contains("`collected` (2026-02-01) is dated before `dried`"));
        let phoned = job("26-001", "2026-01-05").reached("finished", "2026-03-01").told("2026-02-01");
        assert!(told(phoned, on("2026-05-01"))[0].contains("`told` (2026-02-01) is dated before `finished`"));
        let after = job("26-001", "2026-01-05").collected("2026-02-01").told("2026-02-02");
        assert!(told(after, on("2026-05-01"))[0].contains("`collected` (2026-02-01) is dated before `told`"));
    }

    #[test]
    fn told_without_being_ready_is_worth_a_note() {
        let made = job("26-001", "2026-01-05").reached("dried", "2026-01-20").told("2026-02-01");
        let (worked, problems) = worked(shop(), vec![made.clone().made()], on("2026-05-01"));
        assert_eq!((worked.jobs.len(), problems.worst()), (1, Some(Severity::Note)));
        assert!(lines(&problems)[0].contains("`finished` is not reached [2026-02-01]"));
        assert_eq!(told(made.collected("2026-02-01"), on("2026-05-01")), [""; 0]);
    }

    #[test]
    fn a_photo_that_contradicts_is_pointed_at() {
        let made =
            job("26-001", "2026-01-05").reached("skinned", "2026-01-09").photographed("washed", "2026-01-08");
        let (_, problems) = worked(shop(), vec![made.made()], on("2026-05-01"));
        let problem = problems.iter().next().unwrap();
        assert_eq!(problem.place.as_ref().unwrap().short(), "content/jobs/1 washed/IMG_1.jpg");
        assert!(problem.hint.as_ref().unwrap().contains("`washed = …` under `[reached]`"));
    }
}
