//! What is read of a shop without a fault: each value of the owner's stands where it belongs.

use crate::bad::{healthy, look, put};
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::base::money::Money;
use benchlight::door::model::{
    Amount, DepositRule, Job, Less, LineBy, Parcels, Rounding, Shop, StepWork, Storage, StoragePer, TakenBy,
    TaxBy, WaitsOn,
};
use benchlight::door::read;
use chrono::Weekday;
use rust_decimal::Decimal;

fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

fn read_whole(root: &std::path::Path) -> Shop {
    let (shop, problems) = read::shop(root, &look).unwrap();
    assert!(problems.is_empty(), "{}", benchlight::door::problem::print::text(&problems));
    shop
}

fn job<'a>(shop: &'a Shop, number: &str) -> &'a Job {
    shop.jobs.iter().find(|job| job.number == number).unwrap()
}

#[test]
fn the_studio_stands_as_written() {
    let folder = healthy();
    let studio = read_whole(folder.path()).studio;
    assert_eq!((studio.name.as_str(), studio.keeper.as_deref()), ("Tamarack Bench", Some("Ada Fenn")));
    assert_eq!(studio.address, ["12 Mill Lane", "Tamarack"]);
    assert_eq!(studio.web.as_deref(), Some("https://tamarack.example/"));
    assert_eq!((studio.language.as_str(), studio.length.as_str()), ("en-US", "in"));
    assert_eq!(studio.menu, ["prices", "find-us"]);
    assert_eq!(studio.line, LineBy::Deposit);
    let hours = [360, 0, 0, 0, 0, 210, 0].map(Minutes);
    assert_eq!(studio.bench, hours);
    let closure = &studio.closures[0];
    assert_eq!((closure.from, closure.to), (day("2026-04-10"), day("2026-04-24")));
    assert_eq!(closure.announced, Some(day("2026-02-01")));
    assert_eq!(studio.gates["form"].who, WaitsOn::Shop);
    assert_eq!((studio.keep_days, studio.made_up), (90, Some(day("2026-05-20"))));
}

#[test]
fn money_rules_are_exact() {
    let money = read_whole(healthy().path()).studio.money;
    assert_eq!(money.currency.code(), "USD");
    assert_eq!(money.deposit, DepositRule::Percent(Decimal::from(50)));
    assert_eq!(money.taxes[0].rate, Decimal::new(625, 2));
    assert_eq!((money.tax_rounding, money.tax_by), (Rounding::HalfUp, TaxBy::Whole));
    let (fee, cap) = (Money::from_minor(500), Some(Money::from_minor(10_000)));
    assert_eq!(money.storage, Some(Storage { grace: 30, fee, per: StoragePer::Week, cap }));
}

#[test]
fn routes_and_partners_stand_as_written() {
    let shop = read_whole(healthy().path());
    let parcels = Parcels::OfMonth { nth: 1, weekday: Weekday::Mon };
    assert_eq!(shop.partners["freeze-dryer"].parcels, parcels);
    let route = &shop.routes["turkey-full"];
    let names: Vec<&str> = route.steps.iter().map(|step| step.name.as_str()).collect();
    assert_eq!(names, ["skinned", "washed", "head-back", "mounted", "dried"]);
    assert_eq!(route.steps[0].needs, ["deposit", "tag"]);
    assert!(!route.steps[0].photos && route.steps[1].photos);
    assert_eq!(route.steps[2].after, [0]);
    assert_eq!(route.steps[2].work, StepWork::Away { partner: "freeze-dryer".to_owned() });
    assert_eq!(route.steps[2].sent.as_deref(), Some("head-sent"));
    assert_eq!(route.steps[3].after, [1, 2]);
    let StepWork::Bench(hours) = &route.steps[0].work else { panic!("a bench step") };
    assert_eq!((hours.least, hours.likely, hours.most), (Minutes(45), Minutes(60), Minutes(120)));
    let StepWork::Rest(days) = &shop.routes["turkey-fan"].steps[1].work else { panic!("a rest step") };
    assert_eq!((days.least, days.most), (14, 14));
}

#[test]
fn a_job_stands_as_written() {
    let shop = read_whole(healthy().path());
    let numbers: Vec<&str> = shop.jobs.iter().map(|job| job.number.as_str()).collect();
    assert_eq!(numbers, ["26-041", "26-042", "26-043"]);
    let job = job(&shop, "26-041");
    assert_eq!((job.shown_name.as_str(), job.label.reveal().as_str()), ("Ada F.", "Fenn gobbler"));
    assert_eq!(job.folder.reveal(), "content/jobs/26-041 Fenn gobbler");
    assert_eq!(job.private.reveal().phone.as_deref(), Some("555-0117"));
    let choice = job.pose.as_ref().unwrap();
    assert_eq!(choice.pose, Some(("turkey".to_owned(), "half-strut".to_owned())));
    assert_eq!(choice.on, day("2026-05-02"));
    assert_eq!(job.place(&job.taken_in_at).short(), format!("{}/job.toml:5:12", job.folder.reveal()));
    assert_eq!(job.tag_since, Some(day("2026-04-28")));
    assert_eq!(job.have["form"].day, day("2026-05-10"));
    assert_eq!(job.charges[0].amount, Amount::Flat(Money::from_minor(69_500)));
    let each = Amount::Each { each: Money::from_minor(425), count: Decimal::from(12) };
    assert_eq!((job.charges[1].amount, job.charges[1].kind.as_str()), (each, "goods"));
    assert_eq!(job.charges[1].on, day("2026-04-28"));
    assert_eq!(job.discounts[0].less, Less::Percent(Decimal::from(5)));
    assert_eq!(job.payments[0].amount, Money::from_minor(40_000));
    assert_eq!((job.rush, job.link), (false, 1));
}

#[test]
fn photos_are_dated_and_named() {
    let shop = read_whole(healthy().path());
    let job = job(&shop, "26-041");
    let [loose, washed] = job.photos.as_slice() else { panic!("two photos") };
    assert_eq!((loose.taken.day, loose.taken.by), (day("2026-04-28"), TakenBy::Name));
    assert_eq!((loose.taken.second, loose.caption.as_deref()), (Some(62_102), None));
    assert_eq!((washed.taken.day, washed.taken.by), (day("2026-05-06"), TakenBy::Exif));
    assert_eq!((washed.step.as_deref(), washed.caption.as_deref()), (Some("washed"), Some("wet bird")));
    // The folder says that the step is reached; what is written is marked in the file.
    let reached = &job.reached["washed"];
    assert_eq!((reached.day, reached.at.is_none()), (day("2026-05-06"), true));
    assert_eq!(reached.photo.as_ref(), Some(&washed.file));
    let written = job.reached["skinned"].at.clone().unwrap();
    assert_eq!(&job.source.reveal().text[written], "2026-05-02");
}

/// The whole program in another time zone: a photo of the evening there, which is the next day by UTC.
#[test]
fn a_photo_is_of_the_day_where_the_computer_stands() {
    let folder = healthy();
    let photo = folder.path().join("content/jobs/26-042 Quill fan/1 pinned/IMG_1.jpg");
    put(&photo, include_bytes!("fixtures/plain.jpg"));
    // 2026-05-21 01:00 by UTC; the shop's day is 2026-05-20. POSIX.1-2017, 8.3: CST6 is six hours west.
    let time = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_779_325_200);
    std::fs::File::options().write(true).open(&photo).unwrap().set_modified(time).unwrap();
    let proof = |zone: &str| {
        let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_benchlight"));
        let output = program.arg("proof").current_dir(folder.path()).env("TZ", zone).output().unwrap();
        String::from_utf8([output.stdout, output.stderr].concat()).unwrap()
    };
    let (west, utc) = (proof("CST6"), proof("UTC0"));
    assert!(west.contains("so 2026-05-20 is taken from its file"), "{west}");
    assert!(utc.contains("so 2026-05-21 is taken from its file"), "{utc}");
}

#[test]
fn poses_and_pages_stand_as_written() {
    let shop = read_whole(healthy().path());
    let pose = shop.poses.iter().find(|pose| pose.key == "half-strut").unwrap();
    assert_eq!((pose.animal.as_str(), pose.name.as_str()), ("turkey", "Half strut"));
    assert_eq!(pose.room.unwrap().deep, Decimal::from(24));
    assert_eq!(pose.photos[0].caption.as_deref(), Some("front"));
    assert_eq!(&*pose.about.as_ref().unwrap().text, "Calm and upright.\n");
    let page = &shop.pages[0];
    assert_eq!((page.key.as_str(), page.title.as_str()), ("find-us", "Find us"));
    assert_eq!(page.pictures[0].0, "door.jpg");
    assert!(!page.text.text.contains("Find us"));
}

#[test]
fn reading_twice_gives_the_same() {
    let folder = healthy();
    for number in 0..60 {
        let job = format!("content/jobs/27-{number} Moss fan");
        let text = "customer = \"Di Moss\"\npiece = \"Fan\"\nroute = \"turkey-fan\"\ntaken-in = 2026-05-01\n";
        let wrong = if number % 7 == 0 { "rush = 1\n" } else { "" };
        put(&folder.path().join(&job).join("job.toml"), format!("{text}{wrong}").as_bytes());
        put(&folder.path().join(&job).join("1 pinned/2026-05-02.jpg"), b"photo");
    }
    let read = || {
        let (shop, problems) = read::shop(folder.path(), &look).unwrap();
        assert_eq!((shop.jobs.len(), shop.spoilt.len()), (3 + 60 - 9, 9));
        format!("{shop:?} {problems:?}")
    };
    assert_eq!(read(), read());
}
