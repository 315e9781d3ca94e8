//! Small shops built by hand for the tests of this room, and dice that always fall the same way.
//!
//! A job made here carries a `job.toml` text with a span for each dated line, so that tests can look at
//! the place a problem points to.

use crate::base::day::Day;
use crate::base::minutes::Minutes;
use crate::base::money::{Currency, Money};
use crate::base::private::Private;
use crate::model::*;
use crate::problem::{Code, Problem, Problems, Source, Span};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

pub fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

pub fn money(minor: i128) -> Money {
    Money::from_minor(minor)
}

pub fn percent(text: &str) -> Decimal {
    Decimal::from_str_exact(text).unwrap()
}

pub fn rules(currency: &str) -> MoneyRules {
    MoneyRules {
        currency: Currency::from_code(currency).unwrap(),
        deposit: DepositRule::None,
        taxes: vec![],
        tax_rounding: Rounding::HalfUp,
        tax_by: TaxBy::Whole,
        storage: None,
        pay: None,
        policy: None,
    }
}

/// A tax added to the kinds named in `on`, split at blanks.
pub fn tax(name: &str, rate: &str, on: &str) -> Tax {
    let on = on.split(' ').map(String::from).collect();
    Tax { name: name.into(), rate: percent(rate), on, included: false }
}

pub fn included(name: &str, rate: &str, on: &str) -> Tax {
    Tax { included: true, ..tax(name, rate, on) }
}

/// A route in short: steps parted by `|`, each a name, `bench`, `rest` or `away`, then `<a,b` for
/// what it needs (the step before it if left out, `<` alone for nothing) and `!gate,gate`.
pub fn route(key: &str, short: &str) -> Route {
    let mut steps: Vec<Step> = Vec::new();
    for part in short.split('|') {
        let step = step(part, &steps);
        steps.push(step);
    }
    Route {
        key: key.into(),
        name: key.into(),
        animal: None,
        needs: vec![],
        deposit: None,
        price_from: None,
        prices: vec![],
        steps,
    }
}

fn step(short: &str, before: &[Step]) -> Step {
    let mut words = short.split_whitespace();
    let (name, kind) = (words.next().unwrap(), words.next().unwrap());
    let mut after: Vec<usize> = before.len().checked_sub(1).into_iter().collect();
    let mut needs = vec![];
    for word in words {
        let names = word[1..].split(',').filter(|n| !n.is_empty());
        match &word[..1] {
            "<" => after = names.map(|n| before.iter().position(|s| s.name == n).unwrap()).collect(),
            "!" => needs = names.map(String::from).collect(),
            _ => panic!("{word}"),
        }
    }
    let likely = |least, likely, most| Likely { least, likely, most };
    let work = match kind {
        "bench" => StepWork::Bench(Likely { least: Minutes(30), likely: Minutes(60), most: Minutes(120) }),
        "rest" => StepWork::Rest(likely(10, 21, 35)),
        "away" => StepWork::Away { partner: "freeze-dryer".into() },
        _ => panic!("{kind}"),
    };
    let sent = (kind == "away").then(|| format!("{}-sent", name.trim_end_matches("-back")));
    Step { name: name.into(), after, work, needs, tells: None, photos: true, sent }
}

/// The turkey of the trade: two branches that meet at the mount, with gates.
pub fn turkey() -> Route {
    let steps = "skinned bench !deposit,tag | head-back away <skinned !pose | washed bench <skinned \
                 | mounted bench <washed,head-back !form | dried rest | finished bench";
    route("turkey", steps)
}

pub fn shop() -> Shop {
    let days = Likely { least: 60, likely: 90, most: 150 };
    let partner =
        Partner { key: "freeze-dryer".into(), name: "the freeze-dryer".into(), days, parcels: Parcels::Any };
    Shop {
        studio: studio(),
        key: ShopKey::new([7; 32]),
        partners: BTreeMap::from([("freeze-dryer".into(), partner)]),
        routes: BTreeMap::from([("turkey".into(), turkey())]),
        jobs: vec![],
        spoilt: vec![],
        spoilt_links: BTreeMap::new(),
        issued: Default::default(),
        remains: BTreeMap::new(),
        poses: vec![],
        pages: vec![],
    }
}

fn studio() -> Studio {
    Studio {
        name: "Alder Hollow Taxidermy".into(),
        says: None,
        keeper: None,
        phone: None,
        email: None,
        address: vec![],
        web: None,
        language: "en-US".into(),
        length: "in".into(),
        visits: vec![],
        menu: vec![],
        line: LineBy::Deposit,
        bench: [Minutes(0); 7],
        hands: 1,
        batches: false,
        closures: vec![],
        estimates: EstimateRules::default(),
        money: rules("USD"),
        gates: BTreeMap::new(),
        register: vec![],
        sealed: false,
        keep_days: 90,
        post: None,
        made_up: None,
    }
}

/// A job in the making. `text` grows into its `job.toml`.
#[derive(Clone, Debug)]
pub struct JobMaker {
    job: Job,
    text: String,
}

pub fn job(number: &str, taken_in: &str) -> JobMaker {
    let source = Source::new("job.toml", "");
    let taken_in_day = day(taken_in);
    let job = Job {
        number: number.into(),
        label: Private::new("Fenn gobbler".into()),
        folder: Private::new(format!("content/jobs/{number} Fenn gobbler")),
        source: Private::new(source),
        shown_name: "Ada F.".into(),
        private: Private::new(PrivateFacts::default()),
        piece: "Wild turkey".into(),
        route: "turkey".into(),
        taken_in: taken_in_day,
        taken_in_at: 0..0,
        pose: None,
        note: None,
        rush: false,
        link: 1,
        draw: None,
        sealed: None,
        reached: BTreeMap::new(),
        collected: None,
        told: None,
        have: BTreeMap::new(),
        tag_since: None,
        signature_since: None,
        charges: vec![],
        discounts: vec![],
        payments: vec![],
        refunds: vec![],
        write_offs: vec![],
        deposit: None,
        measures: None,
        photos: vec![],
    };
    let mut maker = JobMaker { job, text: String::new() };
    maker.job.taken_in_at = maker.write("taken-in", taken_in);
    maker
}

impl JobMaker {
    fn write(&mut self, key: &str, value: &str) -> Span {
        let start = self.text.len() + key.len() + 3;
        self.text.push_str(&format!("{key} = {value}\n"));
        start..start + value.len()
    }

    fn mark(&mut self, key: &str, on: &str) -> Mark {
        Mark { day: day(on), at: Some(self.write(key, on)), photo: None }
    }

    pub fn route(mut self, key: &str) -> Self {
        self.job.route = key.into();
        self
    }

    pub fn reached(mut self, step: &str, on: &str) -> Self {
        let mark = self.mark(step, on);
        self.job.reached.insert(step.into(), mark);
        self
    }

    pub fn photographed(mut self, step: &str, on: &str) -> Self {
        let photo = Some(Private::new(format!("content/jobs/1 {step}/IMG_1.jpg")));
        self.job.reached.insert(step.into(), Mark { day: day(on), at: None, photo });
        self
    }

    pub fn collected(mut self, on: &str) -> Self {
        self.job.collected = Some(self.mark("collected", on));
        self
    }

    pub fn told(mut self, on: &str) -> Self {
        self.job.told = Some(self.mark("told", on));
        self
    }

    pub fn have(mut self, gate: &str, on: &str) -> Self {
        let mark = self.mark(gate, on);
        self.job.have.insert(gate.into(), mark);
        self
    }

    pub fn pose(mut self, on: &str) -> Self {
        self.write("pose-on", on);
        self.job.pose = Some(Choice { words: "half-strut".into(), pose: None, on: day(on) });
        self
    }

    pub fn tag(mut self, on: &str) -> Self {
        self.job.tag_since = Some(day(on));
        self
    }

    pub fn charge(self, minor: i128, on: &str) -> Self {
        self.line("work", Amount::Flat(money(minor)), on)
    }

    pub fn line(mut self, kind: &str, amount: Amount, on: &str) -> Self {
        self.write("on", on);
        self.job.charges.push(Charge { what: "Mount".into(), amount, kind: kind.into(), on: day(on) });
        self
    }

    pub fn less(mut self, less: Less, on: &str) -> Self {
        self.write("on", on);
        self.job.discounts.push(Discount { what: "Second piece".into(), less, on: day(on) });
        self
    }

    pub fn paid(mut self, minor: i128, on: &str) -> Self {
        let on_at = self.write("on", on);
        self.job.payments.push(Payment {
            on: day(on),
            on_at,
            amount: money(minor),
            how: Some("check".into()),
        });
        self
    }

    pub fn refunded(mut self, minor: i128, on: &str) -> Self {
        let on_at = self.write("on", on);
        self.job.refunds.push(Payment { on: day(on), on_at, amount: money(minor), how: None });
        self
    }

    pub fn written_off(mut self, minor: i128, on: &str) -> Self {
        let on_at = self.write("on", on);
        let amount_at = self.write("amount", &minor.to_string());
        let why = Private::new("moved away".into());
        self.job.write_offs.push(WriteOff { on: day(on), on_at, amount: money(minor), amount_at, why });
        self
    }

    pub fn change(mut self, change: impl FnOnce(&mut Job)) -> Self {
        change(&mut self.job);
        self
    }

    pub fn made(mut self) -> Job {
        let file = format!("{}/job.toml", self.job.folder.reveal());
        self.job.source = Private::new(Source::new(file, self.text));
        self.job
    }
}

/// Today as the clock says it.
pub fn on(text: &str) -> Today {
    Today { day: day(text), asked: false }
}

/// Today as the owner asked for it.
pub fn as_of(text: &str) -> Today {
    Today { day: day(text), asked: true }
}

/// The shop with these jobs, reckoned.
pub fn worked(shop: Shop, jobs: Vec<Job>, today: Today) -> (Worked, Problems) {
    super::reckon(&Shop { jobs, ..shop }, today)
}

/// What follows for a single job that nothing is wrong with, but that it may have gone home unpaid.
pub fn single(shop: Shop, job: JobMaker, today: Today) -> WorkedJob {
    let (mut worked, problems) = worked(shop, vec![job.made()], today);
    assert!(problems.iter().all(|problem| problem.code == Code::CollectedOwes), "{problems:?}");
    worked.jobs.remove(0)
}

/// Code, severity, message and place of every problem, as one line each.
pub fn told(job: JobMaker, today: Today) -> Vec<String> {
    let (worked, problems) = worked(shop(), vec![job.made()], today);
    let spoils = problems.iter().any(super::truth::spoils);
    assert_eq!(worked.spoilt.len(), usize::from(spoils));
    assert_eq!(worked.jobs.len(), usize::from(!spoils));
    lines(&problems)
}

pub fn lines(problems: &Problems) -> Vec<String> {
    let line = |p: &Problem| {
        assert!(p.hint.is_some() && p.job.is_some());
        let place = p.place.as_ref().unwrap();
        let at = place.at.as_ref();
        let marked = at.map(|at| at.text.chars().skip(at.mark.0).take(at.mark.1).collect::<String>());
        format!("{}: {} [{}]", p.code.name(), p.message, marked.unwrap_or(place.file.to_string()))
    };
    problems.iter().map(line).collect()
}

/// Numbers that look random and are the same on every machine: splitmix64 (Steele, Lea, Flood, "Fast
/// splittable pseudorandom number generators", OOPSLA 2014).
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed)
    }

    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, limit: u64) -> u64 {
        self.next() % limit.max(1)
    }

    /// Both ends included.
    pub fn between(&mut self, least: i128, most: i128) -> i128 {
        least + i128::from(self.below((most - least + 1) as u64))
    }

    pub fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
}
