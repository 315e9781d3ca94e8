//! How long rests and absences really take: the shop's own finished ones, mixed with the owner's figures while
//! there are few. What is still going on counts as "longer than so far".

use crate::base::day::Day;
use crate::model::{Facts, Likely, PartnerPlan, StepState};
use crate::work::calendar::parcels;
use crate::work::estimate::chance::normal;
use crate::work::estimate::pert::{self, SHARES};
use crate::work::estimate::survive::{Value, curve};
use crate::work::view::DayView;
use std::collections::BTreeMap;

/// The owner's figures weigh as much as so many own values.
const FIGURES: f64 = 5.0;
/// How far true times stray from owners' figures: middle and spread of the logarithm.
const STRETCH: f64 = 1.10;
const STRETCH_SPREAD: f64 = 0.28;
/// Days after which a value's weight has halved.
const HALF_LIFE: f64 = 400.0;

/// Parcels before their own likeness is believed; how alike neighbours are taken to be, and the usual variance
/// of the logarithm of days.
const FEW: f64 = 5.0;
const ALIKE: f64 = 0.5;
const USUAL: f64 = 0.03;
/// Variance of a partner's own speed that no record takes away.
const ALWAYS: f64 = 0.005;

/// Days of a rest step.
pub fn rest(facts: &Facts, view: &DayView, step: (usize, usize), figures: Likely<u32>) -> Vec<u32> {
    let mut values = from_figures(figures, FIGURES);
    let same = view.pieces.iter().filter(|p| facts.pieces.get(p.piece).is_some_and(|f| f.route == step.0));
    for stand in same.filter_map(|p| p.steps.get(step.1)) {
        values.extend(match stand {
            StepState::Reached { day, exact: true, began } => {
                own(view.day, *day, day.since(*began), true, figures)
            }
            StepState::Open { since } => own(view.day, view.day, view.day.since(*since), false, figures),
            _ => None,
        });
    }
    table(values)
}

/// Days at a partner, one value for each parcel, and how far the partner as a whole may be off.
pub fn away(facts: &Facts, view: &DayView, partner: usize, plan: &PartnerPlan) -> (Vec<u32>, f64) {
    let mut parcels: BTreeMap<Day, Vec<(i64, bool)>> = BTreeMap::new();
    for (sent, stand, _) in away_steps(facts, view, partner) {
        let Some(sent) = sent else { continue };
        match stand {
            StepState::Reached { day, exact: true, .. } => {
                parcels.entry(sent).or_default().push((day.since(sent), true));
            }
            StepState::Sent { since } => {
                parcels.entry(*since).or_default().push((view.day.since(*since), false))
            }
            _ => {}
        }
    }
    let mut values = from_figures(plan.days, FIGURES / 2.0);
    let mut own_values = Vec::new();
    for (sent, mut pieces) in parcels {
        pieces.sort();
        let Some((days, ended)) = pieces.get(pieces.len() / 2) else { continue };
        let when = if *ended { sent.plus(u32::try_from(*days).unwrap_or(0)) } else { view.day };
        if let Some(value) = own(view.day, when, *days, *ended, plan.days) {
            own_values.push(value);
        }
    }
    let spread = spread(&own_values);
    values.extend(own_values);
    (table(values), spread)
}

/// Days by which a parcel leaves later than on its day.
pub fn lag(facts: &Facts, view: &DayView, partner: usize, plan: &PartnerPlan) -> Vec<u32> {
    let mut values = vec![Value { value: 0.0, weight: 3.0, ended: true }];
    for (sent, _, ready) in away_steps(facts, view, partner) {
        let (Some(sent), Some(ready)) = (sent, ready) else { continue };
        let Some(planned) = parcels::next_leaving(&plan.parcels, ready) else { continue };
        let days = sent.since(planned).clamp(0, 90);
        values.push(Value { value: days as f64, weight: weight(view.day, sent), ended: true });
    }
    table(values)
}

/// How far a partner as a whole may be off: the more its parcels of one time resemble each other, the less each
/// of them tells (effective sample size under autocorrelation, Bartlett 1946).
fn spread(parcels: &[Value]) -> f64 {
    let ended: Vec<&Value> = parcels.iter().filter(|v| v.ended).collect();
    let known: f64 = ended.iter().map(|v| v.weight).sum();
    let logs: Vec<f64> = ended.iter().map(|v| (v.value + 3.0).ln()).collect();
    let count = logs.len().max(1) as f64;
    let mean = logs.iter().sum::<f64>() / count;
    let variance = logs.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / count;
    let alike: f64 = logs.windows(2).map(|w| (w[0] - mean) * (w[1] - mean)).sum::<f64>() / count;
    let rho = (alike * count + ALIKE * FEW * USUAL) / (variance * count + FEW * USUAL);
    let rho = rho.clamp(0.0, 0.9);
    let own = known * (1.0 - rho) / (1.0 + rho);
    let all = (variance * count + 2.0 * FEW * USUAL) / (count + FEW);
    (all * 1.5 / (own + 1.0) + ALWAYS).sqrt()
}
/// For how many days a parcel that is not full is kept back at most: as long as nineteen of twenty pieces waited,
/// and three months as long as nothing is known.
pub fn patience(facts: &Facts, view: &DayView, partner: usize) -> u32 {
    let mut waited: Vec<i64> = away_steps(facts, view, partner)
        .filter_map(|(sent, _, ready)| Some(sent?.since(ready?).max(0)))
        .collect();
    waited.sort_unstable();
    let known = waited.get(waited.len() * 19 / 20).filter(|_| waited.len() >= 10);
    known.map_or(90, |days| u32::try_from(*days).unwrap_or(90).clamp(7, 365))
}

/// Steps at a partner: when they left, how they stood, and when they could have left.
fn away_steps<'a>(
    facts: &'a Facts,
    view: &'a DayView,
    partner: usize,
) -> impl Iterator<Item = (Option<Day>, &'a StepState, Option<Day>)> + 'a {
    view.pieces.iter().flat_map(move |own| {
        let piece = facts.pieces.get(own.piece);
        let route = piece.and_then(|p| facts.routes.get(p.route));
        let plans = route.map(|r| r.steps.as_slice()).unwrap_or_default();
        let dated = piece.map(|p| p.steps.as_slice()).unwrap_or_default();
        plans.iter().zip(dated).zip(&own.steps).filter_map(move |((plan, dated), stand)| {
            let to = *plan.work.partner()?;
            let over = |at: &usize| match own.steps.get(*at) {
                Some(StepState::Reached { day, .. }) => Some(*day),
                _ => None,
            };
            let behind = plan.after.iter().map(over).fold(piece.map(|p| p.taken_in), |a, b| Some(a?.max(b?)));
            let ready = dated.gates_met.and_then(|gates| behind.map(|b| b.max(gates)));
            let sent = dated.sent.filter(|day| *day <= view.day);
            (to == partner).then_some((sent, stand, ready))
        })
    })
}

/// A value of the shop's own, unless it cannot be true.
fn own(today: Day, when: Day, days: i64, ended: bool, figures: Likely<u32>) -> Option<Value> {
    let most = figures.least.max(figures.likely).max(figures.most);
    // Dates are typed wrong now and then: a month early, a year late.
    let believable = 0..=i64::from(most) * 4 + 30;
    let fits = believable.contains(&days);
    fits.then(|| Value { value: days as f64, weight: weight(today, when), ended })
}

fn weight(today: Day, when: Day) -> f64 {
    0.5f64.powf(today.since(when).max(0) as f64 / HALF_LIFE)
}

/// The owner's figures as values, strayed as such figures do.
fn from_figures(figures: Likely<u32>, weight: f64) -> Vec<Value> {
    const COUNT: usize = 32;
    let quantiles = pert::quantiles(figures);
    let each = (0..COUNT).map(|i| {
        let days = quantiles[(i * SHARES + SHARES / 2) / COUNT];
        // 13 is coprime to 32: every stretch meets another part of the figures.
        let share = ((i * 13 % COUNT) as f64 + 0.5) / COUNT as f64;
        let stretch = STRETCH * (STRETCH_SPREAD * normal(share)).exp();
        Value { value: days * stretch, weight: weight / COUNT as f64, ended: true }
    });
    each.collect()
}

/// The quantiles of some values, in whole days.
fn table(values: Vec<Value>) -> Vec<u32> {
    let curve = curve(values);
    (0..SHARES).map(|i| curve.quantile((i as f64 + 0.5) / SHARES as f64).round().max(0.0) as u32).collect()
}
