//! When a piece will be ready, as its page tells it: words no more exact than what is known, why, what moved
//! it, until when what is open can stay so, and what is missing where no date can be given.

use super::check::{made, text};
use super::example::{self, Example, day, expected, reason};
use super::standing::section;
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::model::*;

/// The piece in line (`c`), with a window as far off as that, and its reason.
fn dated(likely: &str, reason: Reason) -> Example {
    let mut example = example::plain();
    example.shop.studio.estimates.says = None;
    let job = &mut example.worked.jobs[2];
    let likely = day(likely);
    let window = Window { soonest: likely.minus(4), likely, latest: likely.plus(30) };
    job.outlook = expected(window, reason);
    example
}

fn when(example: &Example) -> String {
    section(example, "c", "when")
}

#[test]
fn words_are_no_more_exact_than_what_is_known() {
    // Today is Monday, 14 September 2026.
    for (likely, told) in [
        (
            "2026-09-27",
            "Soonest Wednesday, September 23 Most likely Sunday, September 27 Latest Tuesday, October 27",
        ),
        ("2026-09-28", "Soonest the week of September 21, 2026 Most likely the week of September 28, 2026"),
        ("2027-01-13", "Most likely the week of January 11, 2027 Latest the week of February 8, 2027"),
        ("2027-01-14", "Soonest early January 2027 Most likely mid-January 2027 Latest mid-February 2027"),
    ] {
        let said = when(&dated(likely, reason()));
        assert!(said.contains(told), "{likely}: {said}");
        assert!(said.contains("This is an estimate, not a promise. Updated September 14, 2026"), "{said}");
    }
    let mut example = dated("2027-01-14", reason());
    let window = Window { soonest: day("2027-03-21"), likely: day("2027-03-25"), latest: day("2027-03-31") };
    example.worked.jobs[2].outlook = expected(window, reason());
    let said = when(&example);
    assert!(
        said.contains("Most likely late March 2027 We expect it then") && !said.contains("Soonest"),
        "{said}"
    );
    example.shop.studio.estimates.says = Some("Nobody here can see the future.".to_owned());
    let said = when(&example);
    assert!(said.contains("Nobody here can see the future.") && !said.contains("promise"), "{said}");
}

#[test]
fn the_reason_is_a_sentence() {
    let mut own = reason();
    own.back =
        vec![Back { step: "head-back".into(), partner: "freeze-dryer".into(), day: day("2026-10-05") }];
    let partner = example::plain().shop.partners["freeze-dryer"].name.clone();
    let said = when(&dated("2027-01-14", own));
    for part in [
        "There are about 38 hours of bench work ahead of yours. In a usual week we get about 9 hours of it done.",
        &format!("Expected back from {partner}: the week of October 5, 2026."),
        "4 pieces are ahead of yours in line, by the month they came in: 3 from February 2026 and 1 from April 2026.",
    ] {
        assert!(said.contains(part), "no `{part}` in {said}");
    }
    let clear = Reason { hours_before: Minutes(20), months_before: vec![], ..reason() };
    assert!(when(&dated("2027-01-14", clear)).contains("Nothing is ahead of it at the bench."));
    let over = Reason { hours_own: Minutes(0), ..reason() };
    let said = when(&dated("2027-01-14", over));
    assert!(said.contains("The bench work is done.") && !said.contains("ahead of yours"), "{said}");
    let one = Reason { hours_before: Minutes(60), months_before: vec![(day("2026-02-01"), 1)], ..reason() };
    let said = when(&dated("2027-01-14", one));
    assert!(
        said.contains("There’s about 1 hour of bench work ahead of yours.")
            && said.contains(": 1 from February 2026.")
    );
    let long =
        Reason { months_before: (1..=9).map(|m| (Day::new(2026, m, 1).unwrap(), 2)).collect(), ..reason() };
    let said = when(&dated("2027-01-14", long));
    assert!(
        said.contains("18 pieces") && said.contains("6 from March 2026 or earlier, 2 from April 2026"),
        "{said}"
    );
}

#[test]
fn what_moved_it_is_told_with_its_cause() {
    let all = [MovedBy::Piece, MovedBy::Partner, MovedBy::Bench, MovedBy::Line, MovedBy::Several];
    for by in all {
        for days in [Some(5), Some(40), Some(-7), Some(-14), None] {
            let moved = Some(Moved { days, since: day("2026-08-17"), by });
            let said = when(&dated("2027-01-14", Reason { moved, ..reason() }));
            let told = match days {
                Some(5) => "has moved 5 days later: ",
                Some(40) => "has moved about 6 weeks later: ",
                Some(-7) => "has moved 7 days earlier: ",
                Some(_) => "has moved about 2 weeks earlier: ",
                None => "this has stayed about the same.",
            };
            assert!(said.contains("Since August 17, 2026") && said.contains(told), "{by:?} {days:?}: {said}");
        }
    }
}

#[test]
fn open_gates_tell_how_long_they_can_stay_open() {
    let mut example = dated("2027-01-14", reason());
    let job = &mut example.worked.jobs[1];
    // Of the three gates the first and the last have such a day.
    let of = |at: usize, on: &str| (job.gates[at].name.clone(), day(on));
    let last_days = vec![of(0, "2026-09-14"), of(2, "2026-10-02")];
    let likely = day("2027-01-14");
    let window = Window { soonest: likely.minus(4), likely, latest: likely.plus(30) };
    job.outlook = Outlook::Expected { window, reason: reason(), last_days };
    let said = section(&example, "b", "need");
    let later =
        "Your choice of a pose: See the poses in the showroom (by October 2, 2026, to keep your date)";
    assert!(said.contains("From today on, each day without it can push your date back."), "{said}");
    assert!(said.contains(later), "{said}");
    let said = section(&example, "b", "chose");
    assert!(said.contains("If you choose by October 2, 2026, your date won’t change."), "{said}");
    let route = example.shop.routes.get_mut("turkey-full").unwrap();
    route.steps[1].needs.push("pose".to_owned());
    example.worked.jobs[1].gates.retain(|gate| gate.name != "pose");
    assert!(section(&example, "b", "chose").contains("We’ve already started the step that depends on it."));
}

#[test]
fn what_cannot_be_estimated_says_what_is_missing() {
    for (why, told) in [
        (NoWindow::BenchHours, "What’s missing: we haven’t planned our bench hours yet."),
        (NoWindow::TooFar, "What’s missing: enough hours at our bench."),
    ] {
        let mut example = example::plain();
        example.worked.jobs[2].outlook = Outlook::Unknown(why);
        let said = when(&example);
        assert!(said.contains("We can’t give you a date yet") && said.contains(told), "{said}");
    }
}

#[test]
fn the_front_page_tells_how_past_windows_held_where_the_owner_asks_for_it() {
    let mut example = example::plain();
    let front = |example: &Example| text(&made(example).0, "index.html");
    assert!(!front(&example).contains("Of our last"));
    example.worked.past = Some(PastHeld { pieces: 80, held: 66, days_before: 91 });
    let wanted = "Of our last 80 pieces, 66 were ready within the dates we gave three months before.";
    assert!(front(&example).contains(wanted));
}
