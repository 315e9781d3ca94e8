//! The kinds of shop: what sets one apart from another.

/// What a shop is like.
#[derive(Clone, Debug)]
pub struct Kind {
    pub name: &'static str,
    /// Bench hours a week at the beginning.
    pub hours: f64,
    /// Work that comes in as a share of what the bench really earns.
    pub load: f64,
    /// How much more comes in each year.
    pub growth: f64,
    /// How strongly arrivals gather in spring and autumn.
    pub season: f64,
    /// Which routes, by place in `routes::all`, and how often.
    pub routes: &'static [(usize, f64)],
    /// True bench times in proportion to the owner's figures (median), and their spread.
    pub hopeful: f64,
    pub spread: f64,
    /// Rest and partner days in proportion to the owner's figures.
    pub slow: f64,
    /// Weekly wander of the pace, and how much of it stays for the next week.
    pub wander: f64,
    pub memory: f64,
    /// Weeks of illness a year.
    pub illness: f64,
    /// Spread shared by a parcel, and by a partner's quarter.
    pub parcel: f64,
    pub quarter: f64,
    /// How often the bench takes what it likes, and how often more of the same.
    pub mood: f64,
    pub batch: f64,
    /// Customers who are late with a pose, and by how many days on average.
    pub dawdle: f64,
    pub dawdle_days: f64,
    /// Dates written days late, wrong, and not at all.
    pub late: f64,
    pub wrong: f64,
    pub missing: f64,
    pub rush: f64,
    /// Days of record before the first estimate, and days over which estimates are made.
    pub record: u32,
    pub asked: u32,
    /// Pieces that lay there when the record began.
    pub begun_with: usize,
    pub hands: u32,
}

const STEADY: Kind = Kind {
    name: "steady",
    hours: 24.0,
    load: 0.97,
    growth: 0.0,
    season: 0.4,
    routes: &[(0, 3.0), (1, 2.0), (2, 4.0), (3, 1.0)],
    hopeful: 1.25,
    spread: 0.35,
    slow: 1.1,
    wander: 0.15,
    memory: 0.85,
    illness: 1.5,
    parcel: 0.15,
    quarter: 0.12,
    mood: 0.1,
    batch: 0.1,
    dawdle: 0.3,
    dawdle_days: 25.0,
    late: 0.2,
    wrong: 0.02,
    missing: 0.03,
    rush: 0.03,
    record: 730,
    asked: 500,
    begun_with: 25,
    hands: 1,
};

/// Kinds that were looked at while building.
pub const TUNED: [Kind; 6] = [
    STEADY,
    Kind { name: "growing", growth: 0.3, load: 0.95, hopeful: 1.4, season: 0.6, record: 600, ..STEADY },
    Kind {
        name: "one kind of work",
        routes: &[(2, 1.0)],
        hours: 30.0,
        load: 1.02,
        wander: 0.1,
        batch: 0.4,
        ..STEADY
    },
    Kind {
        name: "long tannery",
        routes: &[(2, 5.0), (4, 1.0)],
        quarter: 0.3,
        parcel: 0.25,
        slow: 1.4,
        load: 0.9,
        ..STEADY
    },
    Kind {
        name: "chaotic",
        mood: 0.5,
        batch: 0.3,
        wander: 0.3,
        illness: 4.0,
        late: 0.5,
        wrong: 0.05,
        missing: 0.1,
        hopeful: 1.7,
        spread: 0.6,
        dawdle: 0.5,
        dawdle_days: 50.0,
        rush: 0.08,
        ..STEADY
    },
    Kind { name: "brand new", record: 60, asked: 365, begun_with: 12, hopeful: 1.5, load: 1.1, ..STEADY },
];

/// Kinds that were made up before the first measurement and measured once, at the end.
pub const HELD_OUT: [Kind; 6] = [
    Kind { name: "evenings only", hours: 9.0, load: 1.0, hopeful: 1.35, begun_with: 15, ..STEADY },
    Kind {
        name: "seasonal birds",
        routes: &[(0, 5.0), (1, 3.0)],
        season: 0.95,
        quarter: 0.2,
        illness: 3.0,
        ..STEADY
    },
    Kind {
        name: "two at the bench",
        hands: 2,
        hours: 36.0,
        load: 1.0,
        hopeful: 1.15,
        memory: 0.93,
        wander: 0.2,
        ..STEADY
    },
    Kind {
        name: "idle half the time",
        load: 0.6,
        hours: 30.0,
        slow: 1.25,
        dawdle: 0.4,
        begun_with: 5,
        ..STEADY
    },
    Kind {
        name: "untidy records",
        late: 0.6,
        wrong: 0.05,
        missing: 0.15,
        mood: 0.3,
        hopeful: 1.6,
        slow: 1.3,
        spread: 0.5,
        growth: 0.15,
        ..STEADY
    },
    Kind {
        name: "two months old",
        record: 60,
        asked: 300,
        begun_with: 8,
        hopeful: 1.8,
        slow: 1.3,
        load: 1.2,
        wander: 0.25,
        ..STEADY
    },
];
