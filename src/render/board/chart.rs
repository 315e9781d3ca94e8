//! The bench's load by week as a drawing: where each bar stands and how high it is. Colours and words are the
//! theme's.

use super::terms::hours;
use crate::model::LoadWeek;
use crate::render::dates::DayWords;
use crate::render::desk::Desk;
use serde::Serialize;

/// Width of a week, height of the highest bar, and what stands below it, in units of the drawing.
const WIDE: u32 = 40;
const HIGH: u32 = 150;
const FOOT: u32 = 46;

/// A week of the chart.
#[derive(Clone, Debug, Serialize)]
pub struct Week {
    pub monday: DayWords,
    /// Hours of the calendar and hours taken, as text.
    pub hours: String,
    pub taken: String,
    /// Whole percent of the week's hours; none where there are no hours.
    pub percent: Option<u32>,
    pub x: u32,
    /// Heights and tops of the two bars.
    pub hours_high: u32,
    pub hours_top: u32,
    pub taken_high: u32,
    pub taken_top: u32,
    /// Whether its day is written below it: every other one has room.
    pub named: bool,
}

/// The whole drawing.
#[derive(Clone, Debug, Serialize)]
pub struct Chart {
    pub wide: u32,
    pub high: u32,
    /// Where the bars stand.
    pub floor: u32,
    pub weeks: Vec<Week>,
    /// The first week with at least a fifth of its hours free, if there is one in view.
    pub room: Option<DayWords>,
}

/// The drawing, if the shop has bench hours.
pub(super) fn of(desk: &Desk<'_>, load: &[LoadWeek]) -> Option<Chart> {
    let most = load.iter().map(|week| week.hours.0).max().filter(|most| *most > 0)?;
    let high =
        |minutes: u32| u32::try_from(u64::from(minutes) * u64::from(HIGH) / u64::from(most)).unwrap_or(0);
    let top = |tall: u32| 10 + HIGH - tall.min(HIGH);
    let weeks = (0u32..).zip(load).map(|(n, week)| Week {
        monday: desk.theme.dates.day(week.monday),
        hours: hours(desk, week.hours),
        taken: hours(desk, week.taken),
        percent: percent(week),
        x: n * WIDE,
        hours_high: high(week.hours.0),
        hours_top: top(high(week.hours.0)),
        taken_high: high(week.taken.0),
        taken_top: top(high(week.taken.0)),
        named: n % 2 == 0,
    });
    let room = load.iter().find(|week| percent(week).is_some_and(|share| share <= 80));
    Some(Chart {
        wide: WIDE * u32::try_from(load.len()).unwrap_or(0),
        high: 10 + HIGH + FOOT,
        floor: 10 + HIGH,
        weeks: weeks.collect(),
        room: room.map(|week| desk.theme.dates.day(week.monday)),
    })
}

fn percent(week: &LoadWeek) -> Option<u32> {
    u32::try_from((u64::from(week.taken.0) * 100).checked_div(u64::from(week.hours.0))?).ok()
}
