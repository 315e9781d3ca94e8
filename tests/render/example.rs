//! An invented shop in memory: jobs in every state, poses, pages, a ledger that adds up.
//!
//! Every text that an owner writes passes through one function, so that a test can put something
//! else in its place; every private field holds the word CANARY.

use super::pictures::Prints;
use crate::builder::bare;
use benchlight::door::base::day::Day;
use benchlight::door::base::minutes::Minutes;
use benchlight::door::base::money::{Currency, Money};
use benchlight::door::base::private::Private;
use benchlight::door::model::*;
use benchlight::door::problem::{Problems, Source};
use benchlight::door::render;
use benchlight::door::render::theme::Theme;
use std::collections::BTreeMap;

/// A shop, what follows from it, and its photos.
pub struct Example {
    pub shop: Shop,
    pub worked: Worked,
    pub prints: Prints,
}

impl Example {
    /// The whole site by a theme.
    pub fn site(&self, theme: &Theme) -> Result<(DraftSite, Problems), Problems> {
        render::site_with(&self.shop, &self.worked, &self.prints.album, theme, &render::Memo::default())
    }
}

/// What stands in the place of each text of the owner's.
pub type Write<'a> = &'a dyn Fn(&str) -> String;

pub const TODAY: &str = "2026-09-14";

pub fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

pub fn usd(cents: i128) -> Money {
    Money::from_minor(cents)
}

/// A shop that has just been opened: no jobs, no poses, no pages.
pub fn empty() -> Example {
    let mut shop = bare_shop(&|text| text.to_owned());
    shop.studio =
        Studio { says: None, keeper: None, phone: None, email: None, address: vec![], ..shop.studio };
    shop.studio.web = None;
    shop.studio.visits.clear();
    shop.studio.closures.clear();
    shop.studio.menu.clear();
    let worked = Worked {
        today: day(TODAY),
        jobs: vec![],
        facts: Facts::default(),
        spoilt: vec![],
        bench: vec![],
        windows: vec![],
        past: None,
    };
    Example { shop, worked, prints: Prints::new() }
}

/// The shop as it is.
pub fn plain() -> Example {
    written_by(&|text| text.to_owned())
}

/// The shop with other texts.
pub fn written_by(write: Write<'_>) -> Example {
    let mut prints = Prints::new();
    let mut shop = bare_shop(write);
    shop.partners = BTreeMap::from([("freeze-dryer".to_owned(), partner(write))]);
    shop.routes = routes(write);
    shop.poses = poses(write, &mut prints);
    shop.pages = pages(write, &mut prints);
    let mut worked = Worked {
        today: day(TODAY),
        jobs: vec![],
        facts: Facts::default(),
        spoilt: vec![],
        bench: bench(),
        windows: windows(),
        past: None,
    };
    for job in jobs(write, &mut prints) {
        let (job, mut state) = job;
        state.job = InShop::new(shop.jobs.len());
        shop.jobs.push(job);
        worked.jobs.push(state);
    }
    Example { shop, worked, prints }
}

fn bare_shop(write: Write<'_>) -> Shop {
    let money = MoneyRules {
        currency: Currency::from_code("USD").unwrap(),
        deposit: DepositRule::None,
        taxes: vec![],
        tax_rounding: Rounding::HalfUp,
        tax_by: TaxBy::Whole,
        storage: Some(Storage { grace: 30, fee: usd(500), per: StoragePer::Week, cap: Some(usd(10_000)) }),
        pay: Some(write("Cash or check at the desk, or by card for 3 % more.")),
        policy: Some(write(
            "Half is due **before work begins**. A deposit cannot be given back once work has begun.\n\nSee [our prices](prices.md).",
        )),
    };
    let studio = Studio {
        name: write("Tamarack Lamp Taxidermy"),
        says: Some(write("Turkeys first, deer most, and time for each of them.")),
        keeper: Some(write("Odell Marsh, by himself, since the autumn of 2011")),
        phone: Some(write("555-0142")),
        email: Some(write("desk@tamarack-lamp.example")),
        address: vec![write("14 Millrace Road"), write("Fennbrook")],
        web: Some("https://tamarack-lamp.example/".to_owned()),
        language: "en-US".to_owned(),
        length: write("in"),
        visits: vec![
            Visit { days: write("Tuesday to Friday"), hours: write("3 to 7 pm") },
            Visit { days: write("Saturday"), hours: write("9 am to noon") },
        ],
        menu: ["how-it-is-made", "prices", "care", "field-care", "find-us"].map(str::to_owned).to_vec(),
        line: LineBy::Deposit,
        bench: [Minutes(360); 7],
        hands: 1,
        batches: false,
        closures: vec![Closure {
            from: day("2026-10-31"),
            to: day("2026-11-08"),
            announced: Some(day("2026-08-01")),
            why: Some(write("Deer season begins and the freezer fills")),
        }],
        estimates: EstimateRules {
            says: Some(write("We tell you what we think, and we may be wrong.")),
            show_past: true,
        },
        money,
        gates: BTreeMap::from([(
            write("base"),
            GateRule {
                who: WaitsOn::Customer,
                tells: Some(write("Tell us whether you want driftwood or a plain oak base.")),
            },
        )]),
        register: vec![],
        sealed: false,
        keep_days: 90,
        post: None,
        made_up: Some(day(TODAY)),
    };
    Shop { studio, ..bare::shop(bare::rules(Currency::from_code("USD").unwrap())) }
}

fn partner(write: Write<'_>) -> Partner {
    Partner {
        key: "freeze-dryer".to_owned(),
        name: write("the freeze-dryer"),
        days: Likely { least: 60, likely: 90, most: 150 },
        parcels: Parcels::Any,
    }
}

fn step(name: &str, after: &[usize], work: StepWork, tells: Option<String>) -> Step {
    Step { tells, ..bare::step(name, after.to_vec(), work) }
}

fn routes(write: Write<'_>) -> BTreeMap<String, Route> {
    let hours = || StepWork::Bench(Likely { least: Minutes(60), likely: Minutes(120), most: Minutes(180) });
    let rest = |least, likely, most| StepWork::Rest(Likely { least, likely, most });
    let away = || StepWork::Away { partner: "freeze-dryer".to_owned() };
    let tells = |text: &str| Some(write(text));
    let turkey = vec![
        step("skinned", &[], hours(), tells("Your bird is being skinned and washed.")),
        step(
            "head-back",
            &[0],
            away(),
            tells("The head is away at the freeze-dryer. Months of nothing to see are normal here."),
        ),
        step("washed", &[0], hours(), None),
        step("mounted", &[1, 2], hours(), tells("Your bird is being mounted.")),
        step("dried", &[3], rest(10, 21, 35), None),
        step("painted", &[4], hours(), tells("Head and legs get their color back.")),
        step("finished", &[5], hours(), None),
    ];
    let skull = vec![
        step("cleaned", &[], hours(), None),
        step(
            "degreased",
            &[0],
            rest(3, 14, 45),
            tells("The skull sits in warm water so that the grease comes out."),
        ),
        step("whitened", &[1], hours(), None),
    ];
    let route = |key: &str, name: &str, animal: Option<&str>, price: i128, steps: Vec<Step>| {
        let route = Route {
            key: key.to_owned(),
            name: write(name),
            animal: animal.map(str::to_owned),
            needs: vec!["deposit".to_owned(), "tag".to_owned()],
            deposit: None,
            price_from: Some(usd(price)),
            prices: vec![],
            steps,
        };
        (key.to_owned(), route)
    };
    BTreeMap::from([
        route("turkey-full", "Turkey, full body", Some("turkey"), 69_500, turkey.clone()),
        route("turkey-fan", "Turkey fan", None, 14_500, skull.clone()),
        route("deer-shoulder", "Deer, shoulder mount", Some("deer"), 72_500, turkey),
        route("skull", "European skull", None, 16_500, skull),
    ])
}

fn poses(write: Write<'_>, prints: &mut Prints) -> Vec<Pose> {
    let mut pose = |animal: &str, key: &str, name: &str, off: &[&str], room: [i64; 3]| {
        let mut first = prints.photo(&format!("{animal}-{key}-1"), "2025-05-01", false);
        first.caption = Some(write("From the left"));
        let second = prints.photo(&format!("{animal}-{key}-2"), "2025-05-01", true);
        let [wide, high, deep] = room.map(rust_decimal::Decimal::from);
        Pose {
            animal: animal.to_owned(),
            key: key.to_owned(),
            name: write(name),
            shows_off: off.iter().map(|text| write(text)).collect(),
            room: Some(Room { wide, high, deep }),
            stands: Some(write("On a base, on the floor or a broad shelf")),
            on: StandsOn::Floor,
            looks: Some(write("Turned to its right, good left of a door")),
            price_from: Some(usd(69_500)),
            decide_by: Some(write("before the head leaves for the freeze-dryer")),
            about: Some(Source::new(
                "content/showroom/about.md",
                write(
                    "A bird that has seen you and has not made up its mind.\n\n## Good to know\n\n- Hides a shot wing\n- Needs a whole tail\n",
                ),
            )),
            photos: vec![first, second],
        }
    };
    vec![
        pose("deer", "semi-sneak", "Semi-sneak", &["lifelike forward look", "neck"], [24, 40, 26]),
        pose("turkey", "full-strut", "Full strut", &["whole fan", "breast sheen"], [32, 32, 34]),
        pose("turkey", "half-strut", "Half strut", &["fan partly open", "a livelier line"], [28, 32, 32]),
        pose("turkey", "standing", "Standing", &["beard and spurs", "a small footprint"], [16, 36, 30]),
    ]
}

fn pages(write: Write<'_>, prints: &mut Prints) -> Vec<Page> {
    let mut page = |key: &str, title: &str, text: &str| {
        let photo = prints.photo(&format!("page-{key}"), "2025-05-01", false);
        Page {
            key: key.to_owned(),
            title: write(title),
            text: Source::new(format!("content/pages/{key}.md"), write(text)),
            pictures: vec![("bench.jpg".to_owned(), photo)],
        }
    };
    vec![
        page(
            "care",
            "Care of a mount",
            "Keep it out of the sun.\n\n## Dust\n\nFrom head to tail, with a soft brush.\n\n![The bench](bench.jpg)\n",
        ),
        page(
            "field-care",
            "Field care",
            "Keep it cool. Call us before you cut.\n\n> Rules differ by state: ask your wildlife agency.\n",
        ),
        page(
            "find-us",
            "Find us",
            "Behind the mill. [Our prices](prices.md), [the showroom](../showroom/).\n",
        ),
        page(
            "how-it-is-made",
            "How a piece is made",
            "1. Skinned\n2. Away\n3. Mounted\n\nIt is **mostly waiting**.\n",
        ),
        page("prices", "Prices", "| Piece | from |\n|---|--:|\n| Turkey | $695 |\n| Fan | $145 |\n"),
    ]
}

fn bench() -> Vec<BenchMonth> {
    let month = |text: &str, pieces: &[(&str, usize)]| BenchMonth {
        month: day(text),
        pieces: pieces.iter().map(|(key, n)| ((*key).to_owned(), *n)).collect(),
    };
    vec![
        month("2025-11-01", &[("deer-shoulder", 4), ("skull", 1)]),
        month("2026-04-01", &[("turkey-full", 7), ("turkey-fan", 3)]),
        month("2026-09-01", &[("turkey-full", 1)]),
    ]
}

fn windows() -> Vec<RouteWindow> {
    let of = |route: &str| RouteWindow { route: route.to_owned(), window: None, bench: Minutes(600) };
    ["deer-shoulder", "skull", "turkey-fan", "turkey-full"].map(of).to_vec()
}

fn job(write: Write<'_>, number: &str, name: &str, piece: &str, route: &str, taken_in: &str) -> Job {
    let tag = Tag {
        permit: Some("CANARY-PERMIT".into()),
        hunter: Some("CANARY-HUNTER".into()),
        signed: None,
        number: Some("CANARY-tag".into()),
        taken_on: None,
        place: Some("CANARY-place".into()),
        species: Some("CANARY-species".into()),
        sex: Some("CANARY-sex".into()),
        license: Some("CANARY-licence".into()),
    };
    let facts = PrivateFacts {
        collected_by: None,
        customer: "CANARY-customer".into(),
        phone: Some("CANARY-phone".into()),
        email: Some("CANARY-email".into()),
        address: Some("CANARY-address".into()),
        bench_note: Some("CANARY-bench-note".into()),
        tag: Some(tag),
    };
    Job {
        label: Private::new("CANARY-label".into()),
        folder: Private::new("content/jobs/CANARY-folder".into()),
        source: Private::new(Source::new(
            "content/jobs/CANARY-folder/job.toml",
            "customer = \"CANARY-source\"\n",
        )),
        shown_name: write(name),
        private: Private::new(facts),
        piece: write(piece),
        ..bare::job(number, route, day(taken_in))
    }
}

/// Why a window is as it is: some pieces stand before it.
pub fn reason() -> Reason {
    Reason {
        reckoned_on: day("2026-09-14"),
        hours_own: Minutes(300),
        hours_before: Minutes(38 * 60 + 20),
        months_before: vec![(day("2026-02-01"), 3), (day("2026-04-01"), 1)],
        week: Minutes(9 * 60),
        back: vec![],
        moved: None,
    }
}

/// A window of which no gate's last day is known.
pub fn expected(window: Window, reason: Reason) -> Outlook {
    Outlook::Expected { window, reason, last_days: vec![] }
}

fn state(route_steps: &[(&str, StepState)], stage: Stage, address: &str) -> WorkedJob {
    WorkedJob {
        job: InShop::new(0),
        address: address.repeat(26),
        seal: None,
        stage,
        steps: route_steps
            .iter()
            .map(|(name, state)| WorkedStep { name: (*name).into(), state: *state, missing: vec![] })
            .collect(),
        gates: vec![],
        away: vec![],
        ready: None,
        collected: None,
        grace_ends: None,
        scores: vec![],
        ledger: Ledger::default(),
        outlook: Outlook::Unknown(NoWindow::BenchHours),
        in_line_since: None,
        page: PageLife::Open,
    }
}

const TURKEY: [&str; 7] = ["skinned", "head-back", "washed", "mounted", "dried", "painted", "finished"];
const SKULL: [&str; 3] = ["cleaned", "degreased", "whitened"];

fn states<const N: usize>(
    names: [&'static str; N],
    states_of: [StepState; N],
) -> Vec<(&'static str, StepState)> {
    names.into_iter().zip(states_of).collect()
}

fn done(text: &str) -> StepState {
    StepState::Reached { day: day(text), exact: true, began: day(text) }
}

fn line(kind: LedgerLineKind, what: String, on: &str, cents: i128) -> LedgerLine {
    LedgerLine { kind, what, on: Some(day(on)), each: None, amount: usd(cents) }
}

fn ledger(write: Write<'_>, paid: i128) -> Ledger {
    let driftwood = LedgerLine {
        each: Some((usd(425), "12".into())),
        ..line(LedgerLineKind::Charge, write("Driftwood base"), "2026-05-02", 5_100)
    };
    let tax = TaxLine {
        name: write("Sales tax"),
        rate: "6.25".into(),
        base: usd(73_100),
        amount: usd(4_569),
        included: false,
    };
    Ledger {
        lines: vec![
            line(LedgerLineKind::Charge, write("Half strut, full body"), "2026-04-28", 69_500),
            driftwood,
            line(LedgerLineKind::Discount, write("Second bird"), "2026-04-28", -1_500),
        ],
        taxes: vec![tax],
        total: usd(77_669),
        payments: if paid > 0 {
            vec![line(LedgerLineKind::Payment, write("check"), "2026-04-28", paid)]
        } else {
            vec![]
        },
        paid: usd(paid),
        write_offs: vec![],
        written_off: usd(0),
        due: usd(77_669 - paid),
        deposit_asked: usd(38_835),
        deposit_met: (paid >= 38_835).then(|| day("2026-04-28")),
    }
}

fn gate(name: &str, step: &str, blocking: bool) -> Gate {
    Gate { name: name.into(), step: step.into(), met: None, customer: true, blocking }
}

fn jobs(write: Write<'_>, prints: &mut Prints) -> Vec<(Job, WorkedJob)> {
    vec![
        away(write, prints),
        held(write),
        in_line(write),
        resting(write, prints),
        ready(write, prints),
        collected(write, prints),
        gone(write, prints),
    ]
}

fn photos_of(
    prints: &mut Prints,
    write: Write<'_>,
    number: &str,
    plan: &[(&str, Option<&str>, Option<&str>, bool)],
) -> Vec<Photo> {
    let each = plan.iter().enumerate().map(|(at, (on, step, caption, upright))| {
        let mut photo = prints.photo(&format!("{number}-{at}"), on, *upright);
        photo.step = step.map(str::to_owned);
        photo.caption = caption.map(write);
        photo
    });
    each.collect()
}

fn away(write: Write<'_>, prints: &mut Prints) -> (Job, WorkedJob) {
    let mut away = job(write, "26-041", "Ada F.", "Eastern wild turkey", "turkey-full", "2026-04-28");
    away.note = Some(write("Shot damage on the left wing; we will **preen over it**."));
    away.pose = Some(Choice {
        words: write("half-strut"),
        pose: Some(("turkey".into(), "half-strut".into())),
        on: day("2026-05-02"),
    });
    away.photos = photos_of(
        prints,
        write,
        "26-041",
        &[
            ("2026-04-28", None, Some("As it came in"), false),
            ("2026-05-02", Some("washed"), None, false),
            ("2026-05-02", Some("washed"), Some("The tail, opened"), true),
        ],
    );
    let mut unseen = prints.photo("26-041-unseen", "2026-05-03", false);
    unseen.shown = false;
    away.photos.push(unseen);
    away.photos.push(prints.photo("26-041-later", "2026-12-24", false));
    let mut s = state(
        &states(
            TURKEY,
            [
                StepState::Reached { day: day("2026-05-02"), exact: false, began: day("2026-05-02") },
                StepState::Sent { since: day("2026-05-04") },
                done("2026-05-02"),
                StepState::Ahead,
                StepState::Ahead,
                StepState::Ahead,
                StepState::Ahead,
            ],
        ),
        Stage::Away,
        "a",
    );
    s.away = vec![Away {
        step: "head-back".into(),
        partner: "freeze-dryer".into(),
        since: day("2026-05-04"),
        likely_back: day("2026-08-02"),
        latest_back: day("2026-10-01"),
    }];
    s.gates = vec![gate(&write("base"), "finished", false)];
    s.ledger = ledger(write, 40_000);
    s.in_line_since = Some(day("2026-04-28"));
    (away, s)
}

fn held(write: Write<'_>) -> (Job, WorkedJob) {
    let held = job(write, "26-052", "Bert Q.", "Rio Grande turkey", "turkey-full", "2026-05-11");
    let mut s = state(
        &states(
            TURKEY,
            [
                StepState::Held { since: day("2026-05-11") },
                StepState::Ahead,
                StepState::Ahead,
                StepState::Ahead,
                StepState::Ahead,
                StepState::Ahead,
                StepState::Ahead,
            ],
        ),
        Stage::Held,
        "b",
    );
    s.steps[0].missing = vec!["deposit".into(), "tag".into()];
    s.gates = vec![
        gate("deposit", "skinned", true),
        gate("tag", "skinned", true),
        gate("pose", "head-back", false),
    ];
    s.ledger = ledger(write, 10_000);
    (held, s)
}

fn in_line(write: Write<'_>) -> (Job, WorkedJob) {
    let waiting = job(write, "26-060", "Cleo", "European skull", "skull", "2026-09-01");
    let mut s = state(
        &states(SKULL, [StepState::Open { since: day("2026-09-01") }, StepState::Ahead, StepState::Ahead]),
        Stage::InLine,
        "c",
    );
    s.in_line_since = Some(day("2026-09-01"));
    (waiting, s)
}

fn resting(write: Write<'_>, prints: &mut Prints) -> (Job, WorkedJob) {
    let mut resting = job(write, "26-033", "Dot M.", "White-tailed deer skull", "skull", "2026-03-02");
    resting.photos = photos_of(prints, write, "26-033", &[("2026-09-01", Some("cleaned"), None, false)]);
    resting.rush = true;
    let mut s = state(
        &states(SKULL, [done("2026-09-01"), StepState::Open { since: day("2026-09-01") }, StepState::Ahead]),
        Stage::Resting,
        "d",
    );
    let window = Window { soonest: day("2026-09-20"), likely: day("2026-10-02"), latest: day("2026-11-05") };
    s.outlook = expected(window, reason());
    (resting, s)
}

fn ready(write: Write<'_>, prints: &mut Prints) -> (Job, WorkedJob) {
    let mut ready = job(write, "25-107", "Emil S.", "White-tailed deer", "deer-shoulder", "2025-11-20");
    ready.pose = Some(Choice { words: write("semi-sneak, turned left"), pose: None, on: day("2025-11-20") });
    ready.photos =
        photos_of(prints, write, "25-107", &[("2026-08-20", Some("finished"), Some("On the wall"), true)]);
    let mut s = state(
        &states(
            TURKEY,
            [
                "2025-12-01",
                "2026-04-02",
                "2026-03-01",
                "2026-06-20",
                "2026-07-15",
                "2026-08-10",
                "2026-08-20",
            ]
            .map(done),
        ),
        Stage::Ready,
        "e",
    );
    s.ready = Some(day("2026-08-20"));
    s.grace_ends = Some(day("2026-09-19"));
    s.ledger = ledger(write, 40_000);
    (ready, s)
}

fn collected(write: Write<'_>, prints: &mut Prints) -> (Job, WorkedJob) {
    let mut home = job(write, "25-090", "Flora T.", "Merriam’s turkey", "turkey-full", "2025-05-01");
    home.photos = photos_of(prints, write, "25-090", &[("2026-07-30", Some("finished"), None, false)]);
    let mut s = state(&states(TURKEY, ["2026-07-30"; 7].map(done)), Stage::Collected, "f");
    s.ready = Some(day("2026-07-30"));
    s.collected = Some(day("2026-08-08"));
    s.ledger = ledger(write, 77_669);
    s.page = PageLife::Closing { until: day("2026-11-06") };
    (home, s)
}

fn gone(write: Write<'_>, prints: &mut Prints) -> (Job, WorkedJob) {
    let mut gone = job(write, "24-001", "Gus W.", "Bobwhite", "turkey-full", "2024-05-01");
    gone.photos = photos_of(prints, write, "24-001", &[("2024-07-30", None, None, false)]);
    let mut s = state(&states(TURKEY, ["2024-07-30"; 7].map(done)), Stage::Collected, "g");
    s.collected = Some(day("2024-08-08"));
    s.page = PageLife::Gone;
    (gone, s)
}
