//! What is said of each way in which a job can move.

use super::*;
use crate::base::digest::Digest;

fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

fn picture(bytes: &[u8], step: Option<&str>) -> PhotoSnapshot {
    PhotoSnapshot { digest: Digest::of(bytes), caption: None, step: step.map(str::to_owned), shown: true }
}

fn job() -> JobSnapshot {
    JobSnapshot {
        name: "26-041 Fenn gobbler".to_owned(),
        taken_in: day("2026-04-28"),
        reached: BTreeMap::from([("skinned".to_owned(), day("2026-05-02"))]),
        ready: false,
        due: "346.00".to_owned(),
        photos: BTreeMap::from([(path("1 skinned/a.jpg"), picture(b"a", Some("skinned")))]),
        folder: "abc".to_owned(),
        page_address: "see/abc/".to_owned(),
    }
}

fn path(inside: &str) -> String {
    format!("content/jobs/26-041 Fenn gobbler/{inside}")
}

/// What is said after a change to the job.
fn said(change: impl FnOnce(&mut JobSnapshot)) -> String {
    let (before, mut after) = (job(), job());
    change(&mut after);
    news_of(&before, &after, day("2026-05-20"), false).join("; ")
}

#[test]
fn steps_are_told_with_their_day() {
    assert_eq!(said(|_| {}), "");
    let mounted = |job: &mut JobSnapshot| {
        job.reached.insert("mounted".to_owned(), day("2026-05-04"));
    };
    assert_eq!(said(mounted), "mounted, 4 May");
    assert_eq!(said(|job| _ = job.reached.insert("x".to_owned(), day("2025-12-31"))), "x, 31 Dec 2025");
    let other_day = |job: &mut JobSnapshot| {
        job.reached.insert("skinned".to_owned(), day("2026-05-03"));
    };
    assert_eq!(said(other_day), "skinned, 3 May instead of 2 May");
    assert_eq!(said(|job| job.reached.clear()), "no longer skinned");
    assert_eq!(said(|job| job.ready = true), "ready");
    assert_eq!(said(|job| job.due = "0.00".to_owned()), "0.00 due, it was 346.00");
    assert_eq!(said(|job| job.folder = "x".to_owned()), "a new address, the old one is retired");
}

#[test]
fn photos_are_told_by_what_became_of_them() {
    let add = |name: &'static str, picture: PhotoSnapshot| {
        move |job: &mut JobSnapshot| drop(job.photos.insert(path(name), picture))
    };
    assert_eq!(said(add("b.jpg", picture(b"b", None))), "1 photo added");
    assert_eq!(
        said(add("b.jpg", PhotoSnapshot { shown: false, ..picture(b"b", None) })),
        "1 photo added, not shown"
    );
    assert_eq!(said(|job| job.photos.clear()), "1 photo taken away");
    assert_eq!(said(add("1 skinned/a.jpg", picture(b"c", Some("skinned")))), "a photo replaced");
    let moved =
        |name: &'static str, now: PhotoSnapshot| said(|job| job.photos = BTreeMap::from([(path(name), now)]));
    assert_eq!(moved("5 mounted/a.jpg", picture(b"a", Some("mounted"))), "a photo moved to mounted");
    assert_eq!(moved("a.jpg", picture(b"a", None)), "a photo moved to the others");
    let named = PhotoSnapshot { caption: Some("eyes set".to_owned()), ..picture(b"a", Some("skinned")) };
    assert_eq!(moved("1 skinned/eyes set.jpg", named), "a photo now says \"eyes set\"");
    let hidden = PhotoSnapshot { shown: false, ..picture(b"a", Some("skinned")) };
    assert_eq!(moved("1 skinned/hide a.jpg", hidden), "a photo is not shown any more");
}

#[test]
fn a_renamed_folder_is_no_other_job_and_its_photos_are_the_same() {
    let renamed = |job: &mut JobSnapshot| {
        job.name = "26-041 Fenn tom".to_owned();
        let photos = std::mem::take(&mut job.photos);
        let moved = photos.into_iter().map(|(path, p)| (path.replace("gobbler", "tom"), p));
        job.photos = moved.collect();
    };
    assert_eq!(said(renamed), "renamed, it was 26-041 Fenn gobbler");
}

#[test]
fn jobs_that_come_and_go_and_pages_that_move_along_are_told() {
    let snapshot = |numbers: &[&str]| Snapshot {
        jobs: numbers
            .iter()
            .map(|n| {
                (
                    (*n).to_owned(),
                    JobSnapshot { folder: (*n).to_owned(), page_address: format!("see/{n}/"), ..job() },
                )
            })
            .collect(),
        spoilt: BTreeSet::new(),
        waiting: BTreeSet::new(),
    };
    let changes = |changed: &[&str]| Changes {
        changed: changed.iter().map(|path| (*path).to_owned()).collect(),
        ..Changes::default()
    };
    let today = day("2026-05-20");
    let told = |before: &Snapshot, now: &Snapshot, changed: &[&str]| {
        lines(before, now, &changes(changed), today, &|way| format!("http://here/{way}"))
    };
    assert_eq!(told(&snapshot(&["1"]), &snapshot(&["1"]), &[]), [""; 0]);
    assert_eq!(
        told(&snapshot(&["1"]), &snapshot(&["1", "2"]), &["see/2/index.html", "index.html"]),
        [
            "26-041 Fenn gobbler: new, taken in 28 Apr",
            "    http://here/see/2/",
            "changed along with it: the front page",
        ]
    );
    assert_eq!(
        told(&snapshot(&["1", "2"]), &snapshot(&["1"]), &[]),
        ["26-041 Fenn gobbler: gone, and its page with it"]
    );
    let spoilt = Snapshot { spoilt: BTreeSet::from(["2".to_owned()]), ..snapshot(&["1"]) };
    assert_eq!(told(&snapshot(&["1", "2"]), &spoilt, &[]), [""; 0]);
    let all = ["see/1/index.html", "see/2/index.html", "prices/index.html"];
    assert_eq!(
        told(&snapshot(&["1", "2"]), &snapshot(&["1", "2"]), &all),
        ["changed along with it: 2 private pages, prices"]
    );
    let many: Vec<String> = (0..30).map(|n| format!("n{n}")).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    let told = told(&snapshot(&[]), &snapshot(&many), &[]);
    assert_eq!((told.len(), told.last().map(String::as_str)), (LINES + 1, Some("and 18 jobs more")));
}
