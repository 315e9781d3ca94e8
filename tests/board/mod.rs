//! The owner's board: what its page and the terminal tell, that none of it gets into the site, and messages.

mod drafts;
mod owed;
mod page;
mod sheet;

use crate::builder::TestShop;
use benchlight::door::base::day::Day;
use benchlight::door::command::pass::{self, PassMode};
use benchlight::door::{render, work};
use std::path::Path;

/// The board's page of a shop on a day, as the preview shows it.
pub fn page_of(shop: &Path, day: Option<&str>) -> String {
    let day = day.map(|day| Day::parse(day).unwrap());
    let found = pass::reckoned(shop, day, PassMode::LookOnly).unwrap();
    let board = work::board(&found.shop, &found.worked);
    let (theme, _) = render::theme::load(shop).unwrap();
    render::board::page(&found.shop, &found.worked, &board, &theme, &Default::default()).unwrap()
}

/// A healthy shop and a third job with something in every private field, finished and waiting to be told.
pub fn shop() -> TestShop {
    let shop = TestShop::healthy();
    shop.file("content/jobs/26-077 Quillon gobbler/job.toml", JOB);
    shop
}

pub const JOB: &str = r#"
customer   = "Ada Quillon"
phone      = "+1 (555) 555-0117"
email      = "ada+birds@quillon.example"
piece      = "Gobbler, 50 % & more: “Old Tom”"
route      = "turkey-full"
taken-in   = 2026-03-28
pose       = "half-strut"
bench-note = "use the 11B form"

[reached]
dried = 2026-05-02

[[charge]]
what   = "Half strut"
amount = 695

[tag]
number   = "T-4471-ZQ"
"#;
