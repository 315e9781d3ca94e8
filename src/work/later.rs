//! What is dated later than today, where today is the clock's: it cannot have happened yet.
//!
//! When the owner asks for an earlier day, such facts are not known and nobody is told of them (`known`).

use super::truth::place;
use crate::base::day::Day;
use crate::base::words::ticked;
use crate::model::{Job, TakenBy};
use crate::problem::{Code, Location, Problem};

/// All of it in one job: in its file, then among its photos.
pub(super) fn problems(job: &Job, today: Day) -> Vec<Problem> {
    let mut problems = written(job, today);
    problems.extend(photos(job, today));
    problems
}

/// Everything in the job's file that is dated later than today.
fn written(job: &Job, today: Day) -> Vec<Problem> {
    let later = |day: Day| day > today;
    let problem = |what: &str, day: Day, place: Location| {
        Problem::new(Code::InTheFuture, format!("{what} is dated {day}, later than today ({today})"))
            .at(place)
            .hint("write down what has happened, on the day it happened; mend the date if it is wrong")
            .of_job(&job.number)
    };
    if later(job.taken_in) {
        return vec![problem("`taken-in`", job.taken_in, job.place(&job.taken_in_at))];
    }
    let mut problems = Vec::new();
    let marks = job.reached.iter().chain(&job.have).map(|(name, mark)| (name.as_str(), mark));
    let ends = [("told", job.told.as_ref()), ("collected", job.collected.as_ref())];
    let ends = ends.into_iter().filter_map(|(name, mark)| mark.map(|mark| (name, mark)));
    // A photo's date has its own code and does not spoil the job.
    for (name, mark) in marks.chain(ends).filter(|(_, m)| later(m.day) && m.photo.is_none()) {
        problems.push(problem(&ticked(name), mark.day, place(job, mark)));
    }
    let paid = job.payments.iter().map(|p| ("a payment", p));
    for (what, payment) in paid.chain(job.refunds.iter().map(|p| ("a refund", p))) {
        if later(payment.on) {
            problems.push(problem(what, payment.on, job.place(&payment.on_at)));
        }
    }
    for one in job.write_offs.iter().filter(|one| later(one.on)) {
        problems.push(problem("a write-off", one.on, job.place(&one.on_at)));
    }
    let charges = job.charges.iter().map(|c| (format!("the charge {}", ticked(&c.what)), c.on));
    let discounts = job.discounts.iter().map(|d| (format!("the discount {}", ticked(&d.what)), d.on));
    let pose = job.pose.iter().map(|p| ("`pose-on`".to_owned(), p.on));
    for (what, day) in charges.chain(discounts).chain(pose).filter(|(_, day)| later(*day)) {
        problems.push(problem(&what, day, written_date(job, day)));
    }
    problems
}

/// Shown photos dated later than today, and photos that would reach a step then: they reach none, but the job
/// is made.
fn photos(job: &Job, today: Day) -> Vec<Problem> {
    let camera = "mend the date that its camera wrote into it, or put `hide ` before its name";
    let shown = job.photos.iter().filter(|p| p.shown && p.taken.day > today);
    let mut later: Vec<(&str, Day, &str)> = Vec::new();
    for photo in shown {
        let hint = match photo.taken.by {
            TakenBy::Exif => camera,
            TakenBy::Name => "mend the date in its name",
            TakenBy::File => "put the day that it was taken into its name, such as `2026-05-02 washed.jpg`",
        };
        later.push((photo.file.reveal(), photo.taken.day, hint));
    }
    for mark in job.reached.values().chain(&job.collected).filter(|m| m.day > today) {
        // The mark may name the photo by its whole path or by less of it.
        if let Some(photo) = mark.photo.as_ref().map(|photo| photo.reveal().as_str())
            && !later.iter().any(|(file, ..)| file.ends_with(photo))
        {
            later.push((photo, mark.day, camera));
        }
    }
    let problem = |(file, day, hint): (&str, Day, &str)| {
        Problem::new(Code::PhotoDate, format!("the photo is dated {day}, later than today ({today})"))
            .at(Location::file(file))
            .hint(hint)
            .of_job(&job.number)
    };
    later.into_iter().map(problem).collect()
}

/// The line of `job.toml` that a date later than today is written on. Such a date is wrong wherever it stands,
/// so the first line with it is as good as any; TOML has one way to write a date.
fn written_date(job: &Job, day: Day) -> Location {
    let (date, mut start) = (day.iso(), 0);
    for line in job.source.reveal().text.split_inclusive('\n') {
        let code = line.split('#').next().unwrap_or_default();
        if let Some(at) = code.find(&date) {
            return job.place(&(start + at..start + at + date.len()));
        }
        start += line.len();
    }
    job.file()
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;
    use crate::base::digest::Digest;
    use crate::base::private::Private;
    use crate::model::{Amount, Format, Less, Look, Photo, Taken};
    use crate::problem::Source;

    #[test]
    fn nothing_is_dated_later_than_today() {
        let far = "2027-01-01";
        let base = || job("26-001", "2026-01-05");
        let cases = [
            (base().reached("skinned", far), "`skinned`"),
            (base().reached("head-sent", far), "`head-sent`"),
            (base().have("form", far), "`form`"),
            (base().pose(far), "`pose-on`"),
            (base().collected(far), "`collected`"),
            (base().reached("finished", "2026-12-01").told(far), "`told`"),
            (base().charge(100, far), "the charge `Mount`"),
            (base().less(Less::Flat(money(1)), far), "the discount `Second piece`"),
            (base().paid(100, far), "a payment"),
            (base().refunded(100, far), "a refund"),
            (base().charge(100, "2026-01-05").written_off(100, far), "a write-off"),
        ];
        for (made, what) in cases {
            let want = format!("in-the-future: {what} is dated {far}, later than today (2026-12-31) [{far}]");
            assert_eq!(told(made.clone(), on("2026-12-31")), [want]);
            assert_eq!(told(made.clone(), on(far)), [""; 0]);
            assert_eq!(told(made, as_of("2026-12-31")), [""; 0]);
        }
    }

    #[test]
    fn a_job_of_tomorrow_is_told_once_or_not_known_yet() {
        let tomorrow =
            || job("26-001", "2026-01-05").reached("skinned", "2026-01-06").charge(5, "2026-01-05");
        assert_eq!(
            told(tomorrow(), on("2026-01-04")),
            ["in-the-future: `taken-in` is dated 2026-01-05, later than today (2026-01-04) [2026-01-05]"]
        );
        let (worked, problems) = worked(shop(), vec![tomorrow().made()], as_of("2026-01-04"));
        assert!(worked.jobs.is_empty() && worked.spoilt.is_empty() && problems.is_empty());
    }

    #[test]
    fn a_photo_of_tomorrow_reaches_nothing_and_spoils_nothing() {
        let made = job("26-001", "2026-01-05").photographed("skinned", "2026-01-09");
        let want = "photo-date: the photo is dated 2026-01-09, later than today (2026-01-08) \
                    [content/jobs/1 skinned/IMG_1.jpg]";
        assert_eq!(told(made.clone(), on("2026-01-08")), [want]);
        assert_eq!(told(made.clone(), as_of("2026-01-08")), [""; 0]);
        let (first, _) = worked(shop(), vec![made.clone().made()], on("2026-01-08"));
        assert!(!first.jobs[0].steps[0].state.is_reached());
        // Told once where the photo itself is known too, and not at all where it is hidden.
        let photo = |shown| Photo {
            path: Private::new("IMG_1.jpg".into()),
            file: Private::new("content/jobs/1 skinned/IMG_1.jpg".into()),
            caption: None,
            step: Some("skinned".into()),
            shown,
            taken: Taken { day: day("2026-01-09"), second: None, by: TakenBy::Name },
            look: Look {
                digest: Digest::of(b""),
                format: Format::Jpeg,
                width: 1,
                height: 1,
                exif_taken: None,
            },
        };
        assert_eq!(told(made.change(|j| j.photos.push(photo(true))), on("2026-01-08")), [want]);
        let hidden = job("26-001", "2026-01-05").change(|j| j.photos.push(photo(false)));
        assert_eq!(told(hidden, on("2026-01-08")), [""; 0]);
    }

    #[test]
    fn a_date_in_a_remark_is_not_mistaken_for_the_line() {
        let made = job("26-001", "2026-01-05").line("work", Amount::Flat(money(1)), "2027-01-01").made();
        let text = format!("# until 2027-01-01\n{}", made.source.reveal().text);
        let made = Job { source: Private::new(Source::new("job.toml", text)), ..made };
        assert_eq!(written_date(&made, day("2027-01-01")).short(), "job.toml:3:6");
        assert_eq!(written_date(&made, day("2027-01-02")).short(), "job.toml");
    }
}
