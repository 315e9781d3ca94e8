//! The goals of the estimates in one report: speed, how windows hold, how steady they are.
//!
//! `cargo bench --bench estimate -- speed | held-out | tuned | stability | stability-tuned [SEEDS [FIRST SEED]]`; everything about the
//! held-out shops and the speed when nothing is said. `BENCHLIGHT_PYTHON` names a Python that has simpy.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a report"
)]

#[path = "estimate/calibration.rs"]
mod calibration;
#[path = "../tests/estimate/queue.rs"]
#[allow(dead_code, unused_imports, reason = "its tests are not run here")]
mod queue;
#[path = "estimate/speed.rs"]
mod speed;
#[path = "estimate/stability.rs"]
mod stability;
#[path = "../tests/truth/mod.rs"]
mod truth;

/// What `tests/estimate/queue.rs` takes from its neighbours.
mod oracle {
    pub fn day(text: &str) -> benchlight::door::base::day::Day {
        benchlight::door::base::day::Day::parse(text).unwrap()
    }
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let number = |at: usize, usual: u64| args.get(at).and_then(|a| a.parse().ok()).unwrap_or(usual);
    let first = number(2, 101);
    let seeds = first..first + number(1, 4);
    match args.first().map(String::as_str) {
        Some("speed") => speed::report(),
        Some("tuned") => calibration::report(&truth::TUNED, seeds),
        Some("held-out") => calibration::report(&truth::HELD_OUT, seeds),
        Some("stability") => stability::report(&truth::HELD_OUT, seeds),
        Some("stability-tuned") => stability::report(&truth::TUNED, seeds),
        _ => {
            speed::report();
            println!("\nShops of kinds that were not looked at while building:");
            calibration::report(&truth::HELD_OUT, seeds.clone());
            println!(
                "\nWeeks in which a shown likely day jumped by more than ten days while its piece stood still:"
            );
            stability::report(&truth::HELD_OUT, seeds);
        }
    }
}
