//! Random histories over the rules alone: give, delete, type, copy, renumber, correct, restore, lose the list. No two customers ever share an
//! address, but for what nothing is left to tell of, which is counted apart: who was never noted, who was noted in a list that was lost, and
//! who cannot be told from the other by what is on record.
//!
//! 200,000 steps; `BENCHLIGHT_STEPS=1000000` for as many as the issue asks for.

use benchlight::door::base::day::Day;
use benchlight::door::base::drawn::Drawn;
use benchlight::door::base::issued::{HEAD, Issued, Line};
use benchlight::door::model::ShopKey;
use benchlight::door::work::address;
use benchlight::door::work::issued::{PieceOfCustomer, is_anothers};
use std::collections::{BTreeMap, BTreeSet};

static KEY: std::sync::LazyLock<ShopKey> = std::sync::LazyLock::new(|| ShopKey::new([9; 32]));
const STEPS_OF_A_HISTORY: usize = 60;
/// Several customers have one of these as a first name; last names are each customer's own.
const FIRST: [&str; 5] = ["Ada", "Bo", "Cy", "Una", "Zed"];

/// SplitMix64 (Steele, Lea, Flood 2014), with the constants of the paper.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, bound: usize) -> usize {
        (self.next() % bound as u64) as usize
    }
}

/// A job's folder.
#[derive(Clone)]
struct Folder {
    number: usize,
    link: u32,
    word: Option<Drawn>,
    /// Who it really is.
    who: usize,
    /// How often the name was corrected.
    spelling: usize,
    day: u32,
    phone: bool,
    line: Option<(Line, String)>,
}

/// What really stands in the list: the address, who had it, the day and whether a phone was told.
type Truth = Vec<(String, usize, u32, bool)>;

#[derive(Clone, Default)]
struct Content {
    folders: Vec<Folder>,
    issued: Issued,
    truth: Truth,
}

#[derive(Default, Debug)]
struct Tally {
    shown: usize,
    /// Pairs of a customer and an address.
    pages: usize,
    held: usize,
    links_raised: usize,
    /// Pairs of customers at one address of whom the earlier one was never noted.
    never_noted: usize,
    /// The same where the list was lost, or an older one took its place.
    list_lost: usize,
    /// One day, a word of the name in common, and one of them without a phone; or linked by such.
    lookalikes: usize,
}

struct World {
    dice: Dice,
    content: Content,
    copy: Content,
    today: u32,
    customers: usize,
    /// Every customer whose page was ever shown at an address.
    seen: BTreeMap<String, Vec<usize>>,
    /// Every customer who was ever noted at an address.
    noted: BTreeSet<(String, usize)>,
    /// Whether the list was ever lost, or an older one took its place.
    lost: bool,
    tally: Tally,
}

impl Folder {
    fn reckon(&mut self) -> &(Line, String) {
        let (who, number) = (self.who, format!("26-{:03}", self.number));
        let name = format!("{} Last{who}x{}", FIRST[who % FIRST.len()], self.spelling);
        let phone = self.phone.then(|| format!("555-{who:07}"));
        let taken_in = Day::new(2026, 1, 1).unwrap().plus(self.day);
        let (link, word) = (self.link, self.word);
        self.line.get_or_insert_with(|| {
            let (customer, phone) = (name.as_str(), phone.as_deref());
            let piece = PieceOfCustomer { number: &number, link, word, customer, taken_in, phone };
            (piece.line(&KEY), address::of(&KEY, &number, link, word))
        })
    }
}

impl World {
    fn customer(&mut self) -> usize {
        self.customers += 1;
        self.customers
    }

    fn any(&mut self) -> Option<usize> {
        let count = self.content.folders.len();
        (count > 0).then(|| self.dice.below(count))
    }

    fn typed(&mut self, number: usize, word: Option<Drawn>) -> Folder {
        let (who, phone) = (self.customer(), self.dice.below(3) > 0);
        Folder { number, link: 1, word, who, spelling: 0, day: self.today, phone, line: None }
    }

    /// As `intake` and `tag` note.
    fn note(&mut self) {
        let Content { folders, issued, truth } = &mut self.content;
        for at in sound(folders) {
            let (line, address) = folders[at].reckon().clone();
            if !is_anothers(issued, &line) {
                issued.add(line);
                let Folder { who, day, phone, .. } = folders[at];
                self.noted.insert((address.clone(), who));
                truth.push((address, who, day, phone));
            }
        }
        truth.sort();
        truth.dedup();
    }

    fn intake(&mut self) {
        let of = |number: &String| number.rsplit('-').next().and_then(|tail| tail.parse::<usize>().ok());
        let given = self.content.issued.numbers().filter_map(of);
        let next = given.chain(self.content.folders.iter().map(|f| f.number)).max().unwrap_or(0) + 1;
        let mut bytes = [0; 10];
        bytes.iter_mut().for_each(|byte| *byte = self.dice.next() as u8);
        let folder = self.typed(next, Some(Drawn::new(bytes)));
        self.content.folders.push(folder);
        self.note();
    }

    /// What the owner, a phone or a sync does to a folder.
    fn on_a_folder(&mut self, what: usize) {
        let Some(at) = self.any() else { return };
        let (who, number, phone) = (self.customer(), 1 + self.dice.below(12), self.dice.below(3) > 0);
        let today = self.today;
        let folders = &mut self.content.folders;
        match what {
            0 => drop(folders.swap_remove(at)),
            1 => {
                // Copied with its word, for another customer; perhaps under the number of the first, which goes.
                let mut copy =
                    Folder { who, phone, day: today, spelling: 0, line: None, ..folders[at].clone() };
                if number % 2 == 0 {
                    copy.number = number;
                } else {
                    folders.swap_remove(at);
                }
                folders.push(copy);
            }
            2 => folders[at] = Folder { number, line: None, ..folders[at].clone() },
            // Half of the customers are corrected in their name, half in their day: never both between two notes.
            3 if folders[at].who.is_multiple_of(2) => {
                let spelling = folders[at].spelling + 1;
                folders[at] = Folder { spelling, line: None, ..folders[at].clone() };
            }
            3 => folders[at] = Folder { day: folders[at].day + 1, line: None, ..folders[at].clone() },
            _ => folders[at] = Folder { phone: true, line: None, ..folders[at].clone() },
        }
    }

    fn step(&mut self) {
        match self.dice.below(24) {
            0..=3 => self.intake(),
            4..=6 => self.on_a_folder(0),
            7..=9 => {
                let number = 1 + self.dice.below(12);
                let folder = self.typed(number, None);
                self.content.folders.push(folder);
            }
            10..=11 => self.on_a_folder(1),
            12..=13 => self.on_a_folder(2),
            14..=15 => self.on_a_folder(3),
            16 => self.on_a_folder(4),
            17..=18 => self.note(),
            19 => self.copy = self.content.clone(),
            20 => self.come_back(),
            _ => self.today += 1,
        }
        self.make();
    }

    /// A copy comes back: whole, without the list, beside the list there is; or the list is lost.
    fn come_back(&mut self) {
        let (now, copy) = (&mut self.content, self.copy.clone());
        let what = self.dice.below(8);
        self.lost |= [0, 7].contains(&what);
        match what {
            0 => *now = copy,
            1..=3 => now.folders = copy.folders,
            4..=6 => {
                // Two versions of the list: both are read, as text.
                let text: String = copy
                    .issued
                    .numbers()
                    .flat_map(|number| copy.issued.lines_of(number))
                    .map(Line::text)
                    .collect();
                assert_eq!(now.issued.take_in(&format!("{HEAD}{text}")), Vec::<usize>::new());
                now.truth.extend(copy.truth);
            }
            _ => *now = Content { folders: std::mem::take(&mut now.folders), ..Content::default() },
        }
    }

    /// Shows what is not held back, as a pass does.
    fn make(&mut self) {
        let Content { folders, issued, truth } = &mut self.content;
        for at in sound(folders) {
            let (line, address) = folders[at].reckon().clone();
            let Folder { who, day, phone, .. } = folders[at];
            if is_anothers(issued, &line) {
                let others = truth.iter().any(|t| t.0 == address && t.1 != who);
                assert!(others, "customer {who} is held back for nobody");
                self.tally.held += 1;
                if self.dice.below(2) == 0 {
                    folders[at] = Folder { link: folders[at].link + 1, line: None, ..folders[at].clone() };
                    self.tally.links_raised += 1;
                }
                continue;
            }
            self.tally.shown += 1;
            let seen = self.seen.entry(address.clone()).or_default();
            let new = !seen.contains(&who);
            for earlier in seen.iter().filter(|earlier| **earlier != who) {
                let noted: Truth = truth.iter().filter(|t| t.0 == address).cloned().collect();
                match noted.iter().all(|t| t.1 != *earlier) {
                    true if new && self.noted.contains(&(address.clone(), *earlier)) => {
                        assert!(self.lost, "{address}: {earlier} was noted, and {who} came");
                        self.tally.list_lost += 1;
                    }
                    true => self.tally.never_noted += usize::from(new),
                    false => {
                        let now = (address.clone(), who, day, phone);
                        assert!(taken_for_one(now, *earlier, noted), "{address}: {earlier} and {who}");
                        self.tally.lookalikes += usize::from(new);
                    }
                }
            }
            if new {
                self.tally.pages += 1;
                seen.push(who);
            }
        }
    }
}

/// Whether nothing could tell two customers apart: through some who are noted, each is followed by one of the same day with a name word in
/// common of whom one left no phone, or by another record of the same customer.
fn taken_for_one(now: (String, usize, u32, bool), earlier: usize, mut noted: Truth) -> bool {
    let mut known = vec![now];
    while let Some((_, who, day, phone)) = known.pop() {
        if who == earlier {
            return true;
        }
        let alike = |t: &(String, usize, u32, bool)| {
            t.1 == who || (t.2 == day && who % FIRST.len() == t.1 % FIRST.len() && !(t.3 && phone))
        };
        let (same, rest): (Truth, Truth) = noted.into_iter().partition(alike);
        known.extend(same);
        noted = rest;
    }
    false
}

/// The folders whose number is theirs alone.
fn sound(folders: &[Folder]) -> Vec<usize> {
    let mut count = BTreeMap::<usize, usize>::new();
    folders.iter().for_each(|folder| *count.entry(folder.number).or_default() += 1);
    (0..folders.len()).filter(|at| count[&folders[*at].number] == 1).collect()
}

#[test]
fn no_two_customers_share_an_address_whatever_happens_to_the_folders() {
    let steps = std::env::var("BENCHLIGHT_STEPS").ok().and_then(|n| n.parse().ok()).unwrap_or(200_000);
    let mut sum = Tally::default();
    for history in 0..steps / STEPS_OF_A_HISTORY + 1 {
        let mut world = World {
            dice: Dice(history as u64),
            content: Content::default(),
            copy: Content::default(),
            today: 0,
            customers: 0,
            seen: BTreeMap::new(),
            noted: BTreeSet::new(),
            lost: false,
            tally: Tally::default(),
        };
        (0..STEPS_OF_A_HISTORY).for_each(|_| world.step());
        sum.shown += world.tally.shown;
        sum.held += world.tally.held;
        sum.links_raised += world.tally.links_raised;
        sum.pages += world.tally.pages;
        sum.never_noted += world.tally.never_noted;
        sum.list_lost += world.tally.list_lost;
        sum.lookalikes += world.tally.lookalikes;
    }
    println!("{steps} steps: {sum:?}");
    assert!(sum.held > steps / 100 && sum.links_raised > 0 && sum.shown > steps, "{sum:?}");
}
