//! 400 open jobs of ten steps, 1,000 trials, and the same model in simpy.

use crate::queue;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::{Facts, Likely, Parcels, PartnerPlan, StepPlan, StepWork};
use benchlight::door::work::estimate::learn::Figures;
use benchlight::door::work::estimate::windows::{finished, simulate};
use benchlight::door::work::view::DayView;
use chrono::Weekday;
use std::time::Instant;

const TRIALS: usize = 1000;
/// simpy is given as many, and its time is scaled up.
const THEIR_TRIALS: usize = 3;

fn shop() -> Facts {
    let three = |least, likely, most| Likely { least, likely, most };
    let bench = |after: &[usize], likely: u32| StepPlan {
        after: after.to_vec(),
        work: StepWork::Bench(three(likely / 2, likely, 2 * likely).map(Minutes)),
        gated: false,
    };
    let rest = |after: &[usize], likely: u32| StepPlan {
        after: after.to_vec(),
        work: StepWork::Rest(three(likely / 2, likely, 2 * likely)),
        gated: false,
    };
    let steps = vec![
        bench(&[], 60),
        StepPlan { after: vec![0], work: StepWork::Away { partner: 0 }, gated: false },
        bench(&[0], 90),
        rest(&[2], 5),
        bench(&[1, 3], 240),
        bench(&[4], 60),
        rest(&[5], 21),
        bench(&[6], 90),
        bench(&[4], 45),
        bench(&[7, 8], 30),
    ];
    let parcels = Parcels::OfMonth { nth: 1, weekday: Weekday::Mon };
    let partner = PartnerPlan { key: 3, days: three(60, 90, 150), parcels };
    let mut facts = queue::facts(vec![steps], vec![partner]);
    facts.hours = [480, 480, 480, 480, 480, 240, 0].map(Minutes);
    for n in 0..400 {
        let piece = queue::open_piece(&facts, 1000 + n, 0, "2026-01-05");
        facts.pieces.push(piece);
    }
    facts
}

pub fn report() {
    let facts = shop();
    let today = crate::oracle::day("2026-01-05");
    let median = |mut times: Vec<f64>| {
        times.sort_by(f64::total_cmp);
        times[times.len() / 2]
    };
    let figures = Figures::new(&facts);
    let view = DayView::on(&facts, today);
    let whole: Vec<f64> = (0..9)
        .map(|_| {
            let begun = Instant::now();
            assert_eq!(simulate(&facts, &figures, &view, TRIALS).len(), 400);
            begun.elapsed().as_secs_f64()
        })
        .collect();
    let (ours, shop) = queue::plain(&facts, today, &[], |plan| {
        let times: Vec<f64> = (0..9)
            .map(|_| {
                let begun = Instant::now();
                assert_eq!(finished(plan, TRIALS).len(), 400);
                begun.elapsed().as_secs_f64()
            })
            .collect();
        (median(times), queue::for_simpy(&facts, plan))
    });
    let (_, seconds) = queue::simpy(&shop, THEIR_TRIALS);
    let theirs = seconds / THEIR_TRIALS as f64 * TRIALS as f64;
    println!("400 jobs x 10 steps x {TRIALS} trials on {} threads", rayon::current_num_threads());
    println!("  trials alone               {:>8.1} ms (median of 9)", 1000.0 * ours);
    println!("  with learning and planning {:>8.1} ms (median of 9)", 1000.0 * median(whole));
    println!("  simpy                      {:>8.1} s  ({THEIR_TRIALS} trials took {seconds:.1} s)", theirs);
    println!("  {:.0} times as fast as simpy", theirs / ours);
}
