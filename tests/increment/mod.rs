//! Passes that remember: what they leave is what a pass from nothing leaves, whatever happened in between; and what a
//! pass that is cut short, or meets a full disk, leaves behind.

mod crash;
mod edits;
mod full;
pub mod reader;
mod same;

use crate::builder::{TestShop, tree};
use benchlight::door::base::day::Day;
use benchlight::door::command::pass::{Memory, PassMode};
use benchlight::door::command::publish::{self, Callbacks};
use benchlight::door::write::{Changes, Unpublished};
use std::collections::BTreeMap;
use std::path::Path;

/// How many of something: the quick number, or what the environment asks for.
fn how_many(name: &str, quick: usize) -> usize {
    std::env::var(name).ok().and_then(|n| n.parse().ok()).unwrap_or(quick)
}

/// A row of numbers that is the same each time (xorshift64, Marsaglia 2003).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % sides.max(1) as u64) as usize
    }
}

/// One pass in this program.
fn pass(shop: &Path, day: Day, memory: &mut Memory) -> Result<Changes, Unpublished> {
    let callbacks = Callbacks { waiting: &|| (), progress: &|_, _| () };
    publish::run(shop, Some(day), &shop.join("public"), PassMode::Make, &callbacks, memory)
        .map(|(_, changes)| changes)
}

fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

/// Another shop of the same content and theme, made from nothing: the site, or none where the pass stops.
struct Clean(TestShop);

impl Clean {
    fn of(shop: &TestShop) -> Clean {
        let clean = TestShop::empty();
        for name in ["content", "themes"] {
            std::os::unix::fs::symlink(shop.at(name), clean.at(name)).unwrap();
        }
        Clean(clean)
    }

    fn site(&self, day: Day) -> Option<BTreeMap<String, Vec<u8>>> {
        let _ = std::fs::remove_dir_all(self.0.at("public"));
        // All that is remembered but finished renditions of photos.
        for name in ["written", "photos/looks.json", "estimates.json", "sealed"] {
            let at = self.0.at(".benchlight").join(name);
            let _ = std::fs::remove_file(&at);
            let _ = std::fs::remove_dir_all(&at);
        }
        pass(self.0.path(), day, &mut Memory::default()).ok()?;
        Some(tree(&self.0.at("public")))
    }
}
