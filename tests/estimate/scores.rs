//! The score of a window, by its published formula.

use benchlight::door::work::replay::{Case, summary};

fn case(soonest: f64, likely: f64, latest: f64, came: f64) -> Case {
    let made = crate::oracle::day("2026-01-05");
    Case { made, piece: 0, soonest, likely, latest, came }
}

#[test]
fn the_interval_score_is_that_of_gneiting_and_raftery() {
    // JASA 102, 2007, equation 43: (u - l) + 2/alpha (l - x)+ + 2/alpha (x - u)+, here with alpha = 0.2.
    for (window, score) in [
        (case(10.0, 20.0, 40.0, 25.0), 30.0),
        (case(10.0, 20.0, 40.0, 40.0), 30.0),
        (case(10.0, 20.0, 40.0, 43.0), 60.0),
        (case(10.0, 20.0, 40.0, 4.0), 90.0),
    ] {
        assert_eq!(window.score(), score);
    }
    let all = [case(10.0, 20.0, 40.0, 25.0), case(10.0, 20.0, 40.0, 43.0), case(0.0, 5.0, 9.0, 4.0)];
    let sum = summary(all.iter()).unwrap();
    assert_eq!((sum.estimates, sum.off), (3, 5.0));
    assert!((sum.held - 2.0 / 3.0).abs() < 1e-12 && (sum.score - 33.0).abs() < 1e-12);
    assert!(summary([].iter()).is_none());
}
