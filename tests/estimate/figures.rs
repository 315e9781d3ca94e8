//! PERT figures against scipy, business days against numpy.

use crate::oracle::{day, rows};
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::{Closure, Likely};
use benchlight::door::work::calendar::BenchCalendar;
use benchlight::door::work::estimate::pert;

#[test]
fn beta_quantiles_and_moments_are_those_of_scipy() {
    let all = [
        (150, 240, 420),
        (60, 90, 150),
        (0, 10, 100),
        (10, 10, 90),
        (5, 60, 60),
        (1, 2, 1000),
        (45, 60, 120),
    ];
    let words: Vec<String> = all.iter().flat_map(|(a, m, b)| [a, m, b].map(u32::to_string)).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let theirs = rows("figures.py", &words);
    assert_eq!(theirs.len(), all.len());
    for ((least, likely, most), row) in all.into_iter().zip(theirs) {
        let figures = Likely { least, likely, most };
        let wide = f64::from(most - least);
        for (ours, theirs) in pert::quantiles(figures).iter().zip(row["quantiles"].as_array().unwrap()) {
            let theirs = theirs.as_f64().unwrap();
            assert!((ours - theirs).abs() < 1e-6 * wide, "{figures:?}: {ours} and {theirs}");
        }
        // Malcolm et al. 1959.
        assert!((pert::mean(figures) - row["mean"].as_f64().unwrap()).abs() < 1e-9 * wide);
        assert!((wide / 6.0 - row["deviation"].as_f64().unwrap()).abs() < 1e-9 * wide);
    }
}

#[test]
fn days_with_bench_hours_are_the_business_days_of_numpy() {
    let theirs = rows("busdays.py", &[]);
    assert_eq!(theirs.len(), 300);
    for row in theirs {
        let mut hours = [Minutes(0); 7];
        for (own, open) in hours.iter_mut().zip(row["week"].as_array().unwrap()) {
            *own = Minutes(60 * open.as_u64().unwrap() as u32);
        }
        let date = |value: &serde_json::Value| day(value.as_str().unwrap());
        let closed = row["closed"].as_array().unwrap().iter().map(|span| Closure {
            from: date(&span[0]),
            to: date(&span[1]),
            announced: None,
            why: None,
        });
        let calendar = BenchCalendar::known_on(&hours, &closed.collect::<Vec<_>>(), day("2024-01-01"));
        let (from, until) = (date(&row["day"]), date(&row["until"]));
        assert_eq!(calendar.minutes_between(from, until), 60 * row["between"].as_u64().unwrap(), "{row}");
    }
}
