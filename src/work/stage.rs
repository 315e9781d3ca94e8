//! One plain word for how a job stands, decided from how its steps stand.

use crate::model::{Route, Stage, StepState, WorkedStep};

/// The first of these that is true:
///
/// 1. Collected: it went home.
/// 2. Ready: every step is reached.
/// 3. InLine: nothing was reached or sent, and a step that could come first is open.
/// 4. Held: nothing is open or away, so all that could go on waits for a gate.
/// 5. AtBench: something was begun, and a bench step is open.
/// 6. Away: something is at a partner.
/// 7. Resting: nobody touches it. A rest step is going on, or an away step waits for its parcel.
pub(super) fn stage(route: &Route, steps: &[WorkedStep], collected: bool) -> Stage {
    let is_open = |step: &WorkedStep| matches!(step.state, StepState::Open { .. });
    let some_open = steps.iter().any(is_open);
    let some_sent = steps.iter().any(|step| matches!(step.state, StepState::Sent { .. }));
    let mut each = route.steps.iter().zip(steps);
    let bench_open = each.any(|(step, own)| step.work.kind().is_bench() && is_open(own));
    if collected {
        Stage::Collected
    } else if steps.iter().all(|step| step.state.is_reached()) {
        Stage::Ready
    } else if some_open && !steps.iter().any(|step| step.state.is_begun()) {
        Stage::InLine
    } else if !some_open && !some_sent {
        Stage::Held
    } else if bench_open {
        Stage::AtBench
    } else if some_sent {
        Stage::Away
    } else {
        Stage::Resting
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;
    use Stage::*;

    /// The stage on 1 June of a job of this route.
    fn of(steps: &str, change: impl FnOnce(JobMaker) -> JobMaker) -> Stage {
        let mut shop = shop();
        shop.routes.insert("r".into(), route("r", steps));
        let made = change(job("26-001", "2026-01-05").route("r"));
        single(shop, made, on("2026-06-01")).stage
    }

    const FORK: &str = "skinned bench !tag | head-back away <skinned !pose | salted rest <skinned | mounted bench <head-back,salted";

    #[test]
    fn nothing_begun() {
        assert_eq!(of(FORK, |j| j), Held, "the first step waits for the tag");
        assert_eq!(of(FORK, |j| j.tag("2026-01-06")), InLine);
        assert_eq!(of("salted rest | mounted bench", |j| j), InLine, "nothing was begun");
        assert_eq!(of("skull-back away | mounted bench", |j| j), InLine);
        assert_eq!(of("skinned bench !tag | cast bench <", |j| j), InLine, "another first step is open");
    }

    #[test]
    fn begun() {
        let begun = |j: JobMaker| j.tag("2026-01-06").reached("skinned", "2026-01-07");
        assert_eq!(of(FORK, begun), Resting, "salting, and the head held for the pose");
        assert_eq!(of(FORK, |j| begun(j).pose("2026-01-08")), Resting, "the head waits for its parcel");
        let sent = |j| begun(j).pose("2026-01-08").reached("head-sent", "2026-02-01");
        assert_eq!(of(FORK, sent), Away);
        assert_eq!(of(FORK, |j| sent(j).reached("salted", "2026-02-02")), Away);
        assert_eq!(of(FORK, |j| begun(j).reached("salted", "2026-02-02")), Held);
        let back = |j| sent(j).reached("head-back", "2026-04-01");
        assert_eq!(of(FORK, back), Resting);
        assert_eq!(of(FORK, |j| back(j).reached("salted", "2026-02-02")), AtBench);
        assert_eq!(of(FORK, |j| back(j).reached("mounted", "2026-05-02")), Ready);
        assert_eq!(of(FORK, |j| back(j).collected("2026-05-02")), Collected);
    }

    #[test]
    fn the_bench_goes_before_what_is_away() {
        let steps = "skinned bench | head-back away <skinned | washed bench <skinned | mounted bench <head-back,washed";
        assert_eq!(of(steps, |j| j.reached("head-sent", "2026-02-01")), AtBench);
        // Sent before anything was reached is begun too.
        assert_eq!(of("head-back away | washed bench <", |j| j.reached("head-sent", "2026-02-01")), AtBench);
    }

    #[test]
    fn words_are_stable() {
        let all = [InLine, Held, AtBench, Away, Resting, Ready, Collected].map(Stage::word);
        assert_eq!(all, ["in-line", "held", "at-bench", "away", "resting", "ready", "collected"]);
    }
}
