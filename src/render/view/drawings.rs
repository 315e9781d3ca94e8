//! The drawings of a private page: the route as a string with tags, the window on a line of months.

use super::progress::{StepView, steps};
use crate::model::{Route, Stage, StepState, Window, WorkedJob};
use crate::render::desk::Desk;
use crate::render::drawing::months::MonthsDrawing;
use crate::render::drawing::route::{RouteDrawing, StepLabel};

/// The route of a job with what is done, going on and to come.
pub fn route(desk: &Desk<'_>, route: &Route, job: &WorkedJob) -> RouteDrawing {
    let after: Vec<Vec<usize>> = route.steps.iter().map(|step| step.after.clone()).collect();
    let views = steps(desk, route, job);
    if views.len() != after.len() {
        // A step that nothing is known of: the list below tells what is known.
        return RouteDrawing::of(&[], &[]);
    }
    let labels = views.into_iter().zip(&job.steps).map(|(view, own)| label(desk, view, &own.state, job));
    RouteDrawing::of(&after, &labels.collect::<Vec<_>>())
}

fn label(desk: &Desk<'_>, view: StepView, state: &StepState, job: &WorkedJob) -> StepLabel {
    let (key, day) = match state {
        StepState::Reached { day, exact: true, .. } => ("done", Some(*day)),
        StepState::Reached { day, exact: false, .. } => ("done-by", Some(*day)),
        StepState::Open { .. } if job.stage == Stage::InLine => ("in-line", None),
        StepState::Open { since } if view.kind == "rest" => ("rest", Some(*since)),
        StepState::Open { .. } if view.kind == "away" => ("parcel", None),
        StepState::Open { .. } => ("open", None),
        StepState::Sent { since } => ("away", Some(*since)),
        StepState::Held { .. } => ("held", None),
        StepState::Ahead => ("ahead", None),
    };
    let day = day.map(|day| desk.theme.dates.on_tag(day));
    let value = |name: &str| day.clone().filter(|_| name == "day");
    let says = desk.theme.words.say(&format!("on-tag.{key}"), None, &value).ok();
    StepLabel { state: view.state, name: view.name, says: says.filter(|text| !text.is_empty()) }
}

/// A window on a line of months.
pub fn months(desk: &Desk<'_>, window: Window) -> MonthsDrawing {
    MonthsDrawing::of(desk.worked.today, window, &|month| desk.theme.dates.month_short(month))
}
