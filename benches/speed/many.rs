//! Invented shops of any size, the same ones on every computer: the demo's own routes, showroom, pages and rules
//! with as many jobs as asked for, the latest 400 of them open.

use std::fs;
use std::io::Write;
use std::path::Path;

/// How many jobs are open, where there are as many.
pub const OPEN: usize = 400;
/// The day that the demo's pages are of.
const TODAY: i64 = day_number(2026, 6, 15);
/// Bench work of so many jobs a year.
const A_YEAR: i64 = 520;

/// Routes of the demo: key, what the piece is called, steps in an order that respects `after`, and a gate's line.
const ROUTES: [(&str, &str, &[&str], &str); 5] = [
    ("turkey-fan", "Turkey fan", &["cleaned", "pinned", "dried", "finished"], "plaque"),
    (
        "skull",
        "White-tailed deer",
        &["skinned", "picked", "degreased", "whitened", "dried", "finished"],
        "plaque",
    ),
    (
        "duck",
        "Wood duck",
        &["skinned", "fleshed", "washed", "mounted", "dried", "base-built", "finished"],
        "bill",
    ),
    (
        "deer-shoulder",
        "White-tailed buck",
        &[
            "caped",
            "fleshed",
            "salted",
            "hide-back",
            "antlers-set",
            "mounted",
            "dried",
            "panel-made",
            "finished",
        ],
        "form",
    ),
    (
        "turkey-full",
        "Eastern wild turkey",
        &[
            "skinned",
            "head-back",
            "fleshed",
            "washed",
            "mounted",
            "groomed",
            "dried",
            "base-built",
            "painted",
            "finished",
        ],
        "form",
    ),
];

const FIRST: [&str; 12] =
    ["Ada", "Bram", "Cleo", "Dorrit", "Edda", "Fitch", "Greta", "Hale", "Isolde", "Joss", "Kit", "Lorne"];
const LAST: [&str; 12] = [
    "Fenwold",
    "Garrow",
    "Hexby",
    "Ivelode",
    "Jarrowby",
    "Kettlen",
    "Lanthorpe",
    "Merrowin",
    "Nettleby",
    "Orrin",
    "Pellow",
    "Quarrender",
];

/// Days since 1970 (the civil calendar's rule, from memory).
const fn day_number(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let (era, of_era) = (year.div_euclid(400), year.rem_euclid(400));
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

/// `2026-06-15`, and back from days since 1970.
fn iso(day: i64) -> String {
    benchlight::door::base::day::Day::epoch().plus(u32::try_from(day).unwrap_or(0)).iso()
}

/// A number below `below` that hangs on the job and on what it is for.
fn luck(job: usize, what: u64, below: u64) -> u64 {
    let mut z =
        (job as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ what.wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    (z ^ (z >> 31)) % below
}

/// The day that the pages are of.
pub fn today() -> String {
    iso(TODAY)
}

/// The first step of the route that a job's text names.
pub fn first_step(job: &str) -> &'static str {
    let named = |(route, ..): &&(&str, _, _, _)| job.contains(&format!("route      = \"{route}\""));
    ROUTES.iter().find(named).and_then(|(_, _, steps, _)| steps.first()).copied().unwrap()
}

/// Lays out a shop of `jobs` jobs in `root`; `photo` is a small picture whose every copy is made its own.
pub fn lay_out(root: &Path, jobs: usize, photo: &[u8]) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    copy(&demo, &root.join("content"), "jobs");
    for job in 0..jobs {
        lay_out_job(root, job, jobs, photo);
    }
}

fn copy(from: &Path, to: &Path, but: &str) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let target = to.join(entry.file_name());
        match entry.file_type().unwrap().is_dir() {
            true if entry.file_name() == but => {}
            true => copy(&entry.path(), &target, but),
            false => drop(fs::copy(entry.path(), target).unwrap()),
        }
    }
}

/// The folder of a job: `25-0041 Fenwold piece 41`.
pub fn folder_name(job: usize, jobs: usize) -> String {
    let (number, last) = (job + 1, LAST[luck(job, 2, 12) as usize]);
    let year = iso(taken_in(job, jobs))[2..4].to_owned();
    format!("{year}-{number:05} {last} piece")
}

/// The last 400 came in over about fifteen months, the others before at the same pace.
fn taken_in(job: usize, jobs: usize) -> i64 {
    let before_last = (jobs - 1 - job) as i64;
    (TODAY - 1 - before_last * 365 / A_YEAR).max(day_number(1995, 1, 1) + job as i64 / 20)
}

fn lay_out_job(root: &Path, job: usize, jobs: usize, photo: &[u8]) {
    let folder = root.join("content/jobs").join(folder_name(job, jobs));
    let came = taken_in(job, jobs);
    let (route, piece, steps, gate) = ROUTES[luck(job, 1, 5) as usize];
    let (first, last) = (FIRST[luck(job, 3, 12) as usize], LAST[luck(job, 2, 12) as usize]);
    let open = job + OPEN >= jobs;
    // How far it got: all of it, or as much as its age allows.
    let done = if open { (luck(job, 4, steps.len() as u64)) as usize } else { steps.len() };
    let mut days = Vec::new();
    let mut day = came + 2;
    for (at, step) in steps.iter().take(done).enumerate() {
        day += 1 + luck(job, 10 + at as u64, 24) as i64;
        if day >= TODAY {
            break;
        }
        days.push((step, day));
    }
    let mut text = format!(
        "customer   = \"{first} {last}\"\nphone      = \"555-{:04}\"\npiece      = \"{piece}\"\nroute      = \"{route}\"\n\
         taken-in   = {}\nnote       = \"A scar on the left side; it can be turned to the wall.\"\n\
         bench-note = \"Shelf {}, tray {}.\"\n",
        luck(job, 5, 10_000),
        iso(came),
        1 + luck(job, 6, 9),
        1 + luck(job, 7, 30),
    );
    text.push_str("\n[reached]\n");
    for (step, on) in &days {
        text.push_str(&format!("{step} = {}\n", iso(*on)));
    }
    if !open {
        text.push_str(&format!("collected = {}\n", iso((day + 6).min(TODAY - 1))));
    }
    text.push_str(&format!("\n[have]\n{gate} = {}\n", iso(came)));
    let price = 150 + 25 * luck(job, 8, 40);
    text.push_str(&format!(
        "\n[[charge]]\nwhat   = \"{piece}\"\namount = {price}\n\n[[charge]]\nwhat  = \"Base, per inch\"\neach  = 4.25\n\
         count = 12\nkind  = \"goods\"\n\n[[paid]]\non     = {}\namount = {}\nhow    = \"check\"\n\n\
         [tag]\nnumber   = \"T-{:06}\"\ntaken-on = {}\nplace    = \"Larrow County\"\n",
        iso(came),
        price / 2 + 40,
        luck(job, 9, 1_000_000),
        iso(came - 1),
    ));
    put(&folder.join("job.toml"), text.as_bytes());
    for (at, (step, on)) in days.iter().rev().take(2).enumerate() {
        let named = format!("{} {step}/IMG_{}_1{at}1500.jpg", 9 - at, iso(*on).replace('-', ""));
        // Behind the picture's end, where decoders stop reading.
        put(&folder.join(named), &[photo, format!("{job} {at}").as_bytes()].concat());
    }
}

fn put(path: &Path, bytes: &[u8]) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::File::create(path).and_then(|mut file| file.write_all(bytes)).unwrap();
}
