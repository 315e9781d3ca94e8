//! What a private page says of where its piece stands: that it does not contradict itself, and
//! promises nothing that is past.

use super::check::{made, text};
use super::example::{self, Example, day};
use benchlight::door::model::{Gate, Stage, StepState};
use scraper::{Html, Selector};

/// The words of a section of a private page, by the name that the page jumps to it by.
pub fn section(example: &Example, letter: &str, name: &str) -> String {
    let html = text(&made(example).0, &format!("see/{}/index.html", letter.repeat(26)));
    let page = Html::parse_document(&html);
    let heading = Selector::parse(&format!("section:has(h2[id={name}])")).unwrap();
    let found = page.select(&heading).next().unwrap_or_else(|| panic!("no {name}"));
    found.text().collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The tag, whose words stand on top of the page.
fn tag(example: &Example, letter: &str) -> String {
    let html = text(&made(example).0, &format!("see/{}/index.html", letter.repeat(26)));
    let page = Html::parse_document(&html);
    let tag = page.select(&Selector::parse("header.tag").unwrap()).next().unwrap();
    tag.text().collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn work_stands_still_only_where_all_of_it_does() {
    let mut example = example::plain();
    let said = section(&example, "b", "need");
    assert!(said.contains("Work has stopped until we have this:"), "{said}");
    // The bird is washed and can be worked on, and only its head waits for the pose.
    let job = &mut example.worked.jobs[1];
    job.stage = Stage::AtBench;
    job.gates = vec![Gate {
        name: "pose".into(),
        step: "head-back".into(),
        met: None,
        customer: true,
        blocking: true,
    }];
    let since = day("2026-05-12");
    job.steps[0].state = StepState::Reached { day: since, exact: true, began: since };
    job.steps[1].state = StepState::Held { since };
    job.steps[1].missing = vec!["pose".into()];
    job.steps[2].state = StepState::Open { since };
    let said = section(&example, "b", "need");
    assert!(said.contains("One step is waiting for this. The rest can go on:"), "{said}");
    assert!(said.contains("We need it for this step: Head back."), "{said}");
    assert!(!said.contains("has stopped") && !said.contains("before we can go on"), "{said}");
    assert!(section(&example, "b", "done").contains("We’re working on it."));
}

#[test]
fn what_comes_first_is_not_what_waits_for_the_customer() {
    let mut example = example::plain();
    let job = &mut example.worked.jobs[2];
    job.steps[1].state = StepState::Held { since: day("2026-09-01") };
    job.steps[1].missing = vec!["form".into()];
    let said = section(&example, "c", "now");
    assert!(said.contains("Up first: Cleaned.") && !said.contains("first: Degreased"), "{said}");
}

#[test]
fn a_day_of_return_is_named_until_it_is_past() {
    let mut example = example::plain();
    let mut on = |today: &str| {
        example.worked.today = day(today);
        section(&example, "a", "now")
    };
    let likely = "Expected back: Sunday, August 2, or around October 1, 2026 at the latest.";
    let late = "It may still take until around October 1, 2026, and that’s normal.";
    let over = "It’s been away longer than usual.";
    for (today, want) in
        [("2026-08-02", likely), ("2026-08-03", late), ("2026-10-01", late), ("2026-10-02", over)]
    {
        let said = on(today);
        for one in [likely, late, over] {
            assert_eq!(said.contains(one), one == want, "{today}: {said}");
        }
    }
}

#[test]
fn what_is_away_for_too_long_is_not_called_normal() {
    let mut example = example::plain();
    let route = &example.shop.jobs[0].route;
    example.shop.routes.get_mut(route).unwrap().steps[1].tells = None;
    let normal = "Weeks or months without news are normal";
    assert!(section(&example, "a", "now").contains(normal));
    example.worked.today = day("2026-10-02");
    let said = section(&example, "a", "now");
    assert!(!said.contains(normal) && !said.contains("2026-08-02"), "{said}");
}

#[test]
fn the_free_time_is_over_on_the_day_after_its_last() {
    let mut example = example::plain();
    let mut on = |today: &str| {
        example.worked.today = day(today);
        section(&example, "e", "collect")
    };
    assert!(on("2026-09-19").contains("It can stay here until September 19, 2026 for free."));
    // No line of storage is needed to tell it.
    let said = on("2026-09-20");
    assert!(said.contains("Free storage ended September 19, 2026."), "{said}");
    assert!(!said.contains("It can stay here"), "{said}");
}

#[test]
fn a_page_can_do_without_a_name() {
    let mut example = example::plain();
    for letter in ["a", "f"] {
        assert!(tag(&example, letter).contains(" For "));
    }
    for job in &mut example.shop.jobs {
        job.shown_name = String::new();
    }
    for (letter, want) in
        [("a", "Job 26-041 Work Turkey, full body"), ("f", "Job 25-090 Work Turkey, full body")]
    {
        let said = tag(&example, letter);
        assert!(said.contains(want) && !said.contains("For"), "{said}");
    }
}
