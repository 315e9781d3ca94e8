//! A whole shop with one file of it exchanged, read, reckoned and made into pages in memory.

use super::claims::told;
use super::stored::{FOLDER, put};
use crate::base::day::Day;
use crate::model::photo::Album;
use crate::model::site::Body;
use crate::model::{PhotoFault, Today};
use crate::render::theme::{self, Theme};
use crate::{read, render, work};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// The files that may be exchanged; the first byte says which.
const FILES: [&str; 6] = [
    "content/shop.toml",
    "content/partners.toml",
    "content/routes/turkey-full.toml",
    "content/showroom/turkey/half-strut/pose.toml",
    "content/pages/prices.md",
    "content/jobs/26-041 Fenn gobbler/job.toml",
];

/// Private values of a piece that no file says anything else of.
const OTHER: &str = "customer = \"Bo Ruell\"\nphone = \"CANARYPHONE\"\npiece = \"Hen\"\nroute = \"turkey-full\"\n\
    taken-in = 2026-05-06\nbench-note = \"CANARYNOTE\"\n[tag]\nnumber = \"CANARYTAG\"\nplace = \"CANARYPLACE\"\n";

static THEME: LazyLock<Theme> =
    LazyLock::new(|| theme::load(Path::new("no/such/folder")).expect("the theme").0);

static SHOP: LazyLock<PathBuf> = LazyLock::new(|| {
    let shop = FOLDER.join("shop");
    for file in FILES {
        put(&shop.join(file), whole_file(file).as_bytes());
    }
    put(&shop.join("content/jobs/26-042 Ruell hen/job.toml"), OTHER.as_bytes());
    put(&shop.join("content/shop.key"), crate::command::open::key_text(&[7; 32]).as_bytes());
    shop
});

fn whole_file(file: &str) -> String {
    match file {
        // Without bench hours nothing is estimated, which would take most of the time.
        "content/shop.toml" => {
            include_str!("../../tests/builder/healthy/shop.toml").replace("mon = 6\ntue = 6", "")
        }
        "content/partners.toml" => include_str!("../../tests/builder/healthy/partners.toml").to_owned(),
        "content/routes/turkey-full.toml" => {
            include_str!("../../tests/builder/healthy/turkey-full.toml").to_owned()
        }
        "content/showroom/turkey/half-strut/pose.toml" => {
            include_str!("../../tests/builder/healthy/pose.toml").to_owned()
        }
        "content/pages/prices.md" => "# Prices\n\nA gobbler from 695.\n".to_owned(),
        _ => include_str!("../../tests/builder/healthy/fenn.toml").to_owned(),
    }
}

/// Every page is whole and knows nothing of what is private in another piece.
pub fn whole(input: &[u8]) {
    let Some((which, bytes)) = input.split_first() else { return };
    let at = SHOP.join(FILES[usize::from(*which) % FILES.len()]);
    put(&at, bytes);
    pass(input);
    put(&at, whole_file(FILES[usize::from(*which) % FILES.len()]).as_bytes());
}

fn pass(input: &[u8]) {
    let look = |_: &Path| Err(PhotoFault::Empty);
    let (shop, problems) = match read::shop(&SHOP, &look) {
        Ok(read) => read,
        Err(problems) => return told(problems.into_iter().collect(), input),
    };
    told(problems.into_iter().collect(), input);
    let today = Today { day: Day::new(2026, 5, 20).expect("a day"), asked: true };
    let (worked, problems) = work::reckon(&shop, today);
    told(problems.into_iter().collect(), input);
    let (site, notes) = render::site_with(&shop, &worked, &Album::new(), &THEME, &render::Memo::default())
        .expect("the theme works");
    told(notes.into_iter().collect(), input);
    // What the input says itself is the owner's to publish.
    let own = input.windows(6).any(|part| part == b"CANARY");
    for (path, piece) in site.files {
        let Body::Bytes(bytes) = piece.body else { continue };
        let text = String::from_utf8_lossy(&bytes);
        assert!(own || !text.contains("CANARY"), "{path} gives away what is private");
        assert!(!path.ends_with(".html") || text.trim_end().ends_with("</html>"), "{path} is cut");
    }
}
