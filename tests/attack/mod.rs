//! The whole program under mixed attack: the real binary, small shops, everything that strangers, syncs, full lives and slips of the
//! hand can do to them, at random and one upon another; after each step `claims` looks whether anything was lost, leaked, hung or ended badly.
//!
//! `BENCHLIGHT_ATTACK=3600 cargo test --test all attack::mixed -- --nocapture` is an hour of it. Each shop has a seed of its own
//! (from `BENCHLIGHT_FROM` on, so that several can run side by side);
//! `BENCHLIGHT_SEED=…` plays the shop of that seed again, and nothing else; `BENCHLIGHT_KINDS=kill,bent` tries those kinds alone, for
//! whoever mends one. The seeds in `seeds/` are those of `bash tests/fuzz.sh`.

mod bend;
mod claims;
mod ground;
mod hidden;
mod host;
mod odd_files;
mod photos;
mod preview;
mod running;
mod selftest;
mod texts;
mod while_running;

use ground::Ground;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

/// How long the run of every day takes.
const SHORT: u64 = 40;
/// Where it begins.
const FIRST: u64 = 20_260_520;
/// Steps on one shop, unless a finding ends it.
const STEPS: usize = 14;
/// More findings than this are not gathered.
const MOST: usize = 60;

/// A kind of attack: something is done to the shop and the program is run; what is wrong is told.
type Attack = fn(&mut Ground) -> Result<(), String>;

/// All kinds, each with how often it comes.
const KINDS: [(&str, usize, Attack); 20] = [
    ("bent texts", 6, texts::bent),
    ("monsters of texts", 3, texts::monsters),
    ("secrets in sheets", 2, texts::secrets),
    ("odd signs in names and values", 3, texts::signs),
    ("captions that tell", 2, texts::captions),
    ("keys that everybody knows", 1, texts::known_keys),
    ("bent photos", 6, photos::bent),
    ("photos full of canaries", 2, photos::canaries),
    ("photos taken back from a broken job", 3, photos::taken_back),
    ("links", 3, odd_files::links),
    ("pipes, sockets, folders", 3, odd_files::odd),
    ("broken records", 4, hidden::broken),
    ("deletions during a pass", 5, while_running::deleted),
    ("kills of make", 5, while_running::killed_make),
    ("kills of post", 3, while_running::killed_post),
    ("two at a time", 2, while_running::two_at_a_time),
    ("clocks", 3, while_running::clocks),
    ("hostile hosts", 4, host::hostile),
    ("places that are no place", 2, host::places),
    ("hostile requests", 2, preview::requests),
];

/// What one run found.
#[derive(Default)]
struct Account {
    shops: u64,
    steps: BTreeMap<&'static str, u64>,
    runs: u64,
    hits: u64,
    slowest: Duration,
    largest: u64,
    /// By what they are: how often, and the first of each in full.
    findings: BTreeMap<String, (u64, String)>,
}

#[test]
fn mixed() {
    let seconds = |name: &str| std::env::var(name).ok().map(|v| v.parse::<u64>().expect("a number"));
    let end = Instant::now() + Duration::from_secs(seconds("BENCHLIGHT_ATTACK").unwrap_or(SHORT));
    let only = seconds("BENCHLIGHT_SEED");
    let mut account = Account::default();
    let mut seed = only.or_else(|| seconds("BENCHLIGHT_FROM")).unwrap_or(FIRST);
    // A hundredth of an hour's faults say as much as all of them.
    while Instant::now() < end && account.findings.len() < MOST {
        account.shops += 1;
        play(seed, end, &mut account);
        seed += 1;
        if only.is_some() {
            break;
        }
    }
    println!("{}", account.told());
    assert!(account.findings.is_empty(), "{} kinds of finding, see above", account.findings.len());
    let few = if only.is_some() { 1 } else { 25 };
    assert!(account.steps.values().sum::<u64>() >= few, "hardly anything was tried");
}

/// One shop, from healthy to the first finding or the last step.
fn play(seed: u64, end: Instant, account: &mut Account) {
    let wanted = std::env::var("BENCHLIGHT_KINDS").unwrap_or_default();
    let is_wanted = |name: &str| wanted.is_empty() || wanted.split(',').any(|word| name.contains(word));
    let kinds: Vec<_> = KINDS.iter().filter(|(name, _, _)| is_wanted(name)).collect();
    let mut ground = Ground::new(seed);
    for _ in 0..STEPS {
        if Instant::now() > end {
            break;
        }
        let all: usize = kinds.iter().map(|(_, weight, _)| weight).sum();
        let mut left = ground.dice.below(all);
        let picked = kinds.iter().find(|(_, weight, _)| {
            let here = left < *weight;
            left = left.saturating_sub(*weight);
            here
        });
        let (name, _, attack) = *picked.expect("a kind");
        *account.steps.entry(name).or_default() += 1;
        ground.did(format!("# {name}"));
        // Wounds stay for a while, so that one meets another; then the shop is whole again.
        let heals = ground.dice.below(3) == 0;
        let done = catch_unwind(AssertUnwindSafe(|| {
            attack(&mut ground).and_then(|()| ground.claims())?;
            if heals { ground.heal() } else { Ok(()) }
        }));
        let fault = done.unwrap_or_else(|cause| {
            let said = cause.downcast_ref::<String>().cloned();
            Err(format!("the harness itself fell: {}", said.unwrap_or_default()))
        });
        if let Err(fault) = fault {
            // What stands before the first colon says what kind it is.
            let kind = format!("{name}: {}", fault.split(':').next().unwrap_or_default());
            let told =
                format!("BENCHLIGHT_SEED={seed}\n    {}\n  after:\n{}", shortened(&fault), ground.history());
            account.findings.entry(kind).or_insert((0, told)).0 += 1;
            break;
        }
    }
    account.runs += ground.runs;
    account.hits += ground.hits;
    account.slowest = account.slowest.max(ground.slowest);
    account.largest = account.largest.max(ground.largest);
}

fn shortened(text: &str) -> String {
    let all = text.chars().count();
    if all < 1500 {
        text.to_owned()
    } else {
        format!("{}… ({all} signs)", text.chars().take(1500).collect::<String>())
    }
}

impl Account {
    fn told(&self) -> String {
        let mut told = format!(
            "{} shops, {} steps, {} runs of the program, {} of them killed before their end; the longest took {:.1} s, the largest {} MB\n",
            self.shops,
            self.steps.values().sum::<u64>(),
            self.runs,
            self.hits,
            self.slowest.as_secs_f64(),
            self.largest >> 20
        );
        for (name, _, _) in KINDS {
            told += &format!("{:8} {name}\n", self.steps.get(name).copied().unwrap_or_default());
        }
        for (kind, (times, first)) in &self.findings {
            told += &format!("\nFINDING ({times} times) {kind}\n{first}\n");
        }
        told
    }
}
