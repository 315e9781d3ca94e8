//! The bench as a queue: the mean wait of Pollaczek and Khinchine, Little's law, and the same shop in simpy.

use crate::oracle::day;
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::{
    Facts, Likely, Parcels, PartnerPlan, PieceFacts, RoutePlan, StepFacts, StepPlan, StepWork,
};
use benchlight::door::work::estimate::learn::{Figures, Learned};
use benchlight::door::work::estimate::pert;
use benchlight::door::work::estimate::plan::{Newcomer, Plan};
use benchlight::door::work::estimate::windows::finished;
use benchlight::door::work::view::DayView;
use chrono::Weekday;
use serde_json::json;
use std::io::Write;
use std::process::Stdio;

/// A shop with these routes, open around the clock.
pub fn facts(routes: Vec<Vec<StepPlan>>, partners: Vec<PartnerPlan>) -> Facts {
    Facts {
        hours: [Minutes(24 * 60); 7],
        closures: vec![],
        hands: 1,
        batches: false,
        routes: routes.into_iter().map(|steps| RoutePlan { steps }).collect(),
        partners,
        pieces: vec![],
    }
}

/// A piece of which nothing is done, all gates met.
pub fn open_piece(facts: &Facts, key: u64, route: usize, taken_in: &str) -> PieceFacts {
    let taken_in = day(taken_in);
    let step = StepFacts { reached: None, sent: None, gates_met: Some(taken_in) };
    let steps = vec![step; facts.routes[route].steps.len()];
    PieceFacts { key, route, taken_in, in_line: Some(taken_in), rush: false, collected: None, steps }
}

/// The plan with nothing learned.
pub fn plain<T>(facts: &Facts, today: Day, extra: &[Newcomer], look: impl FnOnce(&mut Plan<'_>) -> T) -> T {
    let figures = Figures::new(facts);
    let learned = Learned::at_their_word(facts, &figures);
    let view = DayView::on(facts, today);
    look(&mut Plan::new(facts, &view, &learned, extra))
}

fn three(least: u32, likely: u32, most: u32) -> Likely<u32> {
    Likely { least, likely, most }
}

/// A generator for arrivals, apart from the engine's own.
struct Arrivals(u64);

impl Arrivals {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }
}

/// Pollaczek 1930 and Khinchine 1932, in any textbook (Kleinrock, "Queueing Systems I", 5.63): with Poisson
/// arrivals the mean wait is rho / (1 - rho) * s/2 * (1 + cv^2). Little, Operations Research 9(3), 1961: L = lambda W.
#[test]
fn the_mean_wait_and_littles_law_hold() {
    // One step of about ten days and nights at the bench.
    let service = three(2_880, 14_400, 25_920);
    let facts = facts(
        vec![vec![StepPlan { after: vec![], work: StepWork::Bench(service.map(Minutes)), gated: false }]],
        vec![],
    );
    let (mean, load) = (pert::mean(service) / 1440.0, 0.7);
    let rate = load / mean;
    let (from, to) = (1200.0, 3000.0);
    let mut luck = Arrivals(42);
    let (mut sojourn, mut count, mut inside, mut runs) = (0.0, 0.0, 0.0, 0.0);
    for run in 0..4000u64 {
        let (mut arrivals, mut times) = (Vec::new(), Vec::new());
        let mut at = 0.0;
        while at < 3300.0 {
            at -= luck.share().ln() / rate;
            let key = run << 20 | arrivals.len() as u64;
            // The engine's mornings: half of them a little early, half a little late.
            arrivals.push(Newcomer { key, route: 0, rush: false, arrives: at.round() as u32, brief: false });
            times.push(at);
        }
        let days = plain(&facts, day("2026-01-05"), &arrivals, |plan| {
            plan.real = arrivals.len();
            finished(plan, 1)
        });
        for (came, trials) in times.into_iter().zip(days) {
            // Finished some time during that day: at noon, on average.
            let end = f64::from(trials[0]) + 0.5;
            if (from..to).contains(&came) {
                sojourn += end - came;
                count += 1.0;
            }
            // Days within the window that it was there.
            inside += end.clamp(from, to) - came.clamp(from, to);
        }
        runs += 1.0;
    }
    let wait = sojourn / count - mean;
    let cv2 = (f64::from(service.most - service.least) / 6.0 / pert::mean(service)).powi(2);
    let theory = load / (1.0 - load) * mean / 2.0 * (1.0 + cv2);
    assert!((wait / theory - 1.0).abs() < 0.04, "waited {wait:.2} days, theory says {theory:.2}");
    let days = runs * (to - from);
    let (there, little) = (inside / days, count / days * sojourn / count);
    assert!((there / little - 1.0).abs() < 0.02, "{there:.3} there on average, Little says {little:.3}");
}

/// A small shop with two routes, a rest, a partner and a real week, for both simulations.
fn small_shop(pieces: usize) -> Facts {
    let bench = |after: &[usize], least, likely, most| StepPlan {
        after: after.to_vec(),
        work: StepWork::Bench(three(least, likely, most).map(Minutes)),
        gated: false,
    };
    let rest = |after: &[usize], least, likely, most| StepPlan {
        after: after.to_vec(),
        work: StepWork::Rest(three(least, likely, most)),
        gated: false,
    };
    let bird = vec![
        bench(&[], 45, 60, 120),
        StepPlan { after: vec![0], work: StepWork::Away { partner: 0 }, gated: false },
        bench(&[0], 90, 150, 240),
        bench(&[1, 2], 150, 240, 420),
        rest(&[3], 10, 21, 35),
        bench(&[4], 60, 120, 240),
    ];
    let fan = vec![bench(&[], 30, 45, 90), rest(&[0], 10, 14, 28), bench(&[1], 30, 60, 120)];
    let parcels = Parcels::OfMonth { nth: 1, weekday: Weekday::Mon };
    let partner = PartnerPlan { key: 3, days: three(60, 90, 150), parcels };
    let mut facts = facts(vec![bird, fan], vec![partner]);
    facts.hours = [360, 0, 0, 240, 0, 180, 0].map(Minutes);
    for n in 0..pieces {
        let piece = open_piece(&facts, 100 + n as u64, usize::from(n % 3 == 2), "2026-01-05");
        facts.pieces.push(piece);
    }
    facts
}

/// The shop in the words of `tests/oracle/bench_queue.py`.
pub fn for_simpy(facts: &Facts, plan: &Plan<'_>) -> serde_json::Value {
    let figures = |f: &Likely<u32>| json!([f.least, f.likely, f.most]);
    let step = |s: &StepPlan| match &s.work {
        StepWork::Bench(f) => json!({ "after": s.after, "bench": figures(&f.map(u32::from)) }),
        StepWork::Rest(f) => json!({ "after": s.after, "rest": figures(f) }),
        StepWork::Away { partner } => json!({ "after": s.after, "away": partner }),
    };
    let route = |r: &RoutePlan| -> Vec<_> { r.steps.iter().map(step).collect() };
    let partner = |(p, leaving): (&PartnerPlan, &benchlight::door::work::estimate::plan::Leaving)| json!({ "days": figures(&p.days), "leaves": leaving.next });
    json!({
        "minutes": plan.minutes,
        "routes": facts.routes.iter().map(route).collect::<Vec<_>>(),
        "partners": facts.partners.iter().zip(&plan.partners).map(partner).collect::<Vec<_>>(),
        "pieces": facts.pieces.iter().map(|p| json!({ "route": p.route, "arrives": 0 })).collect::<Vec<_>>(),
    })
}

/// Runs the simpy model; one line for each piece, and the seconds it took.
pub fn simpy(shop: &serde_json::Value, trials: usize) -> (Vec<[f64; 3]>, f64) {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracle/bench_queue.py");
    let python = std::env::var("BENCHLIGHT_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let remedy = "run `bash tests/all.sh`, which sets up the Python that these tests compare with";
    let mut child = std::process::Command::new(&python)
        .args([script, &trials.to_string()])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| panic!("`{python}` could not be run ({e}); {remedy}"));
    child.stdin.take().unwrap().write_all(shop.to_string().as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "bench_queue.py failed under `{python}`; {remedy}");
    let text = String::from_utf8(output.stdout).unwrap();
    let mut lines: Vec<serde_json::Value> = text.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    let seconds = lines.pop().unwrap()["seconds"].as_f64().unwrap();
    let days = lines.iter().map(|l| [0, 1, 2].map(|i| l[i].as_f64().unwrap()));
    (days.collect(), seconds)
}

/// Quantiles of 1,500 trials on either side agree within 3 % and two days.
#[test]
fn simpy_comes_to_the_same_windows() {
    let facts = small_shop(24);
    let (ours, theirs) = plain(&facts, day("2026-01-05"), &[], |plan| {
        let quantiles = |mut days: Vec<u16>| {
            days.sort_unstable();
            [10, 50, 90].map(|p| f64::from(days[days.len() * p / 100]))
        };
        let ours: Vec<[f64; 3]> = finished(plan, 1500).into_iter().map(quantiles).collect();
        (ours, simpy(&for_simpy(&facts, plan), 1500).0)
    });
    assert_eq!(ours.len(), theirs.len());
    for (piece, (ours, theirs)) in ours.iter().zip(&theirs).enumerate() {
        for (a, b) in ours.iter().zip(theirs) {
            assert!((a - b).abs() <= 2.0 + 0.03 * b, "piece {piece}: {ours:?} and in simpy {theirs:?}");
        }
    }
}
