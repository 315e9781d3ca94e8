//! The counter: taking in a piece, hang tags, parcels, the register, and a whole day from the binary.

mod day;
mod intake;
mod parcel;
mod register;
mod tags;

use crate::builder::{TODAY, TestShop, tools};
use std::path::{Path, PathBuf};

/// A healthy shop with a price list, and a route for birds that need a signed tag.
pub fn shop() -> TestShop {
    let shop = TestShop::healthy();
    let route = "content/routes/turkey-full.toml";
    shop.edit(route, "needs  = [\"deposit\"]\n", &format!("needs  = [\"deposit\", \"tag\"]\n{PRICES}"));
    shop.file("content/routes/duck.toml", DUCK);
    shop.edit(
        "content/jobs/26-042 Ruell hen/job.toml",
        "[[charge]]",
        "[tag]\nnumber = \"T-2\"\n\n[[charge]]",
    );
    shop
}

const PRICES: &str = "price-from = 650

[[price]]
what   = \"Low base\"
amount = 85
kind   = \"goods\"

[[price]]
what = \"Driftwood base\"
each = 4.25
kind = \"goods\"
";

const DUCK: &str = "name  = \"Duck\"
needs = [\"deposit\", \"tag\", \"signature\"]
[[step]]
name  = \"skinned\"
bench = 1
";

/// Runs a script of `tests/oracle/` and gives what it prints.
pub fn script(name: &str, args: &[&str]) -> serde_json::Value {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/oracle").join(name);
    let printed = tools::printed(tools::python().arg(path).args(args));
    serde_json::from_str(&printed).unwrap_or_else(|e| panic!("{name}: {e}\n{printed}"))
}

/// A page as a printer gets it: printed by Chromium, then drawn by poppler at `dpi`. The files of its sheets, and the
/// size of the first in points.
pub fn sheets(page: &Path, into: &Path, dpi: u32) -> (Vec<PathBuf>, (f64, f64)) {
    let pdf = into.join("page.pdf");
    let mut browser = std::process::Command::new("chromium");
    browser
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
        ])
        .args(["--disable-component-update", "--disable-sync", "--no-pdf-header-footer"])
        .arg(format!("--user-data-dir={}", into.join("profile").display()))
        .arg(format!("--print-to-pdf={}", pdf.display()))
        .arg(format!("file://{}", page.display()));
    tools::run(&mut browser);
    let told = tools::printed(std::process::Command::new("pdfinfo").arg(&pdf));
    let size = told.lines().find_map(|line| line.strip_prefix("Page size:")).expect("a page size");
    let mut numbers = size.split_whitespace().filter_map(|word| word.parse::<f64>().ok());
    let size = (numbers.next().unwrap(), numbers.next().unwrap());
    let mut draw = std::process::Command::new("pdftoppm");
    tools::printed(draw.args(["-png", "-r", &dpi.to_string()]).arg(&pdf).arg(into.join("sheet")));
    let mut sheets: Vec<PathBuf> = std::fs::read_dir(into)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "png"))
        .collect();
    sheets.sort();
    (sheets, size)
}

/// The whole address of a job's page, as its file in `public/` has it.
pub fn web_address(shop: &TestShop, number: &str) -> String {
    shop.run(&["make", "--as-of", TODAY]);
    let (path, _) = shop.private_page(number).unwrap_or_else(|| panic!("no page of {number}"));
    format!("https://hollow-ash.example/{}", path.trim_end_matches("index.html"))
}

/// What the Nu HTML Checker says of a page.
pub fn faults(page: &Path) -> Vec<String> {
    let mut command = std::process::Command::new("java");
    command.arg("-jar").arg(tools::npm("vnu-jar/build/dist/vnu.jar")).args(["--format", "json", "--stdout"]);
    let output = tools::run(command.arg(page));
    let told: serde_json::Value =
        serde_json::from_slice(&output.stdout).expect("the checker answers in JSON");
    let messages = told["messages"].as_array().expect("a list of messages");
    messages.iter().map(|m| format!("{} {}", m["message"], m["extract"])).collect()
}
