//! What counts as a sign of life, and what each pass leaves for the next.

use super::*;

fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

fn seen(today: &str, stirred: Option<&str>, asked: Option<&str>, newest: Option<&str>) -> Signs {
    let note = Note { stirred: stirred.map(day), asked: asked.map(day) };
    Signs::of(day(today), note, &|| newest.map(day))
}

#[test]
fn a_day_far_past_every_sign_is_doubted() {
    for (today, stirred, newest, doubted) in [
        // Within 45 days of a pass or of a file.
        ("2026-07-04", Some("2026-05-20"), None, None),
        ("2026-07-05", Some("2026-05-20"), Some("2026-07-01"), None),
        // And past both: the newer of them is told.
        ("2026-07-05", Some("2026-05-20"), None, Some("2026-05-20")),
        ("2026-07-05", Some("2026-05-20"), Some("2026-05-21"), None),
        ("2027-07-05", Some("2026-05-20"), Some("2026-05-21"), Some("2026-05-21")),
        ("2027-07-05", None, Some("2026-05-21"), Some("2026-05-21")),
        // A clock that was set back, and a shop of which nothing is known.
        ("2026-05-01", Some("2026-05-20"), None, None),
        ("2026-05-01", None, None, None),
    ] {
        let signs = seen(today, stirred, None, newest);
        assert_eq!(signs.before, doubted.map(day), "{today} {stirred:?} {newest:?}");
    }
}

#[test]
fn the_owners_word_holds_here_and_not_yet_at_the_host() {
    let shop = tempfile::tempdir().unwrap();
    let shop = shop.path();
    // A pass that runs by itself on a doubted day is no sign of life.
    let doubted = seen("2026-12-01", Some("2026-05-20"), None, None);
    doubted.note_pass(shop, false);
    assert_eq!(noted(shop), Note::default());
    doubted.note_pass(shop, true);
    let word = Note { stirred: Some(day("2026-05-20")), asked: Some(day("2026-12-01")) };
    assert_eq!(noted(shop), word);
    let next = Signs::of(day("2026-12-02"), word, &|| None);
    assert_eq!((next.before, next.doubted_here()), (Some(day("2026-05-20")), None));
    next.note_pass(shop, false);
    assert_eq!(noted(shop), Note { asked: Some(day("2026-12-02")), ..word });
    // A word of long ago, or of another day, says nothing of this one.
    let later = Signs::of(day("2027-03-01"), word, &|| None);
    assert!(later.doubted_here().is_some());
    // A new file settles all.
    let settled = Signs::of(day("2026-12-02"), word, &|| Some(day("2026-12-02")));
    settled.note_pass(shop, false);
    assert_eq!(noted(shop), Note { stirred: Some(day("2026-12-02")), asked: None });
}

#[test]
fn files_of_later_days_and_hidden_ones_are_no_sign() {
    let shop = tempfile::tempdir().unwrap();
    let put = |path: &str, of: &str| {
        let at = shop.path().join(path);
        files::create_new(&at, b"x").unwrap();
        let days = u64::try_from(day(of).since(Day::epoch())).unwrap();
        let time = UNIX_EPOCH + std::time::Duration::from_secs(days * 86_400);
        fs::File::options().write(true).open(at).unwrap().set_modified(time).unwrap();
    };
    let today = day("2026-05-20");
    assert_eq!(newest(shop.path(), today), None);
    put("content/jobs/a/job.toml", "2026-05-02");
    put("content/shop.toml", "2026-04-02");
    put("content/jobs/a/later.jpg", "2026-06-02");
    put("content/jobs/a/.hidden", "2026-05-10");
    put("content/jobs/a/photo.jpg.part", "2026-05-11");
    put(".benchlight/lock", "2026-05-12");
    assert_eq!(newest(shop.path(), today), Some(day("2026-05-02")));
}
