//! Parcels: what goes, what stays and why, and the line that says that it left.

use super::{faults, shop};
use crate::builder::{TODAY, TestShop};

/// A shop with a head that can go, one without a pose, and one that is not skinned yet.
fn ready() -> TestShop {
    let shop = shop();
    let ruell = "content/jobs/26-042 Ruell hen/job.toml";
    shop.edit(ruell, "taken-in = 2026-05-06\n", "taken-in = 2026-05-06\n\n[reached]\nskinned = 2026-05-08\n");
    shop.file("content/jobs/26-043 Ott hen/job.toml", OTT);
    shop.edit(
        "content/jobs/26-041 Fenn gobbler/job.toml",
        "skinned = 2026-05-02",
        "skinned = 2026-05-02 # wet",
    );
    let fenn = "content/jobs/26-041 Fenn gobbler/job.toml";
    let measured = std::fs::read_to_string(shop.at(fenn)).unwrap()
        + "\n[measures]\nweight = \"20 lb 7 oz\"\nbeard = \"11 3/16\"\n";
    shop.file(fenn, measured);
    // The photo of the healthy shop says that it is mounted already.
    std::fs::remove_dir_all(shop.at("content/jobs/26-041 Fenn gobbler/4 mounted")).unwrap();
    shop
}

const OTT: &str = "# mine\r\ncustomer = \"Cy Ott\"  # the tall one\r\npiece = 'Hen'\r\nroute = \"turkey-full\"\r
taken-in = 2026-05-03\r\npose = \"my own way\"\r\nreached = { skinned = 2026-05-04 } # so far\r\n[tag]\r\nnumber = \"T-3\"\r
species = \"=cmd()\"\r\n# the end";

#[test]
fn the_list_says_what_goes_what_stays_and_why() {
    let shop = ready();
    let ran = shop.run(&["parcel", "freeze-dryer", "--as-of", TODAY]).exits(0).tells_nothing();
    // The first Monday of June 2026 is the 1st (days of the week after ISO 8601).
    let ran = ran
        .says("The parcel to the freeze-dryer leaves on 2026-06-01")
        .says("26-041  Eastern wild turkey, half-strut");
    ran.says("26-043  Hen, my own way").says("1 piece cannot go yet");
    let page = shop.at("print/parcel freeze-dryer 2026-06-01.html");
    let html = std::fs::read_to_string(&page).unwrap();
    assert_eq!(faults(&page), [""; 0]);
    for what in
        ["Half strut", "my own way", "waiting for the pose", "26-042", "June 1, 2026", "differ by state"]
    {
        assert!(html.contains(what), "no {what}");
    }
    assert!(
        !html.contains("Fenn") && !html.contains("555-0117") && !html.contains("TAG-7781"),
        "only initials go along"
    );
    let csv = std::fs::read_to_string(page.with_extension("csv")).unwrap();
    assert!(
        csv.starts_with("Job,Piece,Species,For,Pose,Measures,For which step,Could go since,Leaves\r\n"),
        "{csv}"
    );
    assert!(
        csv.contains(
            "26-041,Eastern wild turkey,,F.,Half strut,Weight 20 lb 7 oz; Beard 11 3/16 in,Head back,2026-05-02,2026-06-01\r\n"
        ),
        "{csv}"
    );
    assert!(csv.contains(",'=cmd(),"), "nothing acts in a spreadsheet: {csv}");
    shop.run(&["parcel", "freeze-drier"]).exits(2).tells("did you mean `freeze-dryer`?");
}

#[test]
fn sent_writes_one_line_into_each_job_and_nothing_else() {
    let shop = ready();
    let jobs = shop.tree("content/jobs");
    shop.run(&["parcel", "freeze-dryer", "--sent", "2026-05-18", "--as-of", TODAY])
        .exits(0)
        .says("Written down for 2 pieces: sent on 2026-05-18.");
    let line = "head-sent = 2026-05-18";
    let after = shop.tree("content/jobs");
    let changed: Vec<&String> =
        after.iter().filter(|(path, bytes)| jobs.get(*path) != Some(*bytes)).map(|(p, _)| p).collect();
    assert_eq!(changed, ["26-041 Fenn gobbler/job.toml", "26-043 Ott hen/job.toml"]);
    assert_eq!(jobs.len(), after.len());
    let text = |path: &str| String::from_utf8(after[path].clone()).unwrap();
    let fenn = text("26-041 Fenn gobbler/job.toml");
    assert_eq!(fenn.replace(&format!("{line}\n"), "").as_bytes(), jobs["26-041 Fenn gobbler/job.toml"]);
    assert!(fenn.contains(&format!("skinned = 2026-05-02 # wet\n{line}\n")), "{fenn}");
    let ott = text("26-043 Ott hen/job.toml");
    assert_eq!(ott, OTT.replace("2026-05-04 }", &format!("2026-05-04, {line} }}")));
    shop.make(0);
    let (_, page) = shop.private_page("26-041").unwrap();
    assert!(page.contains("The head is away at the freeze-dryer."), "the page says where it is");
    shop.run(&["parcel", "freeze-dryer", "--sent", "2026-05-18", "--as-of", TODAY])
        .exits(2)
        .tells("nothing could go");
}

#[test]
fn left_out_pieces_stay_out() {
    let shop = ready();
    let fenn = std::fs::read(shop.at("content/jobs/26-041 Fenn gobbler/job.toml")).unwrap();
    shop.run(&["parcel", "freeze-dryer", "--sent", "2026-05-18", "--without", "26-041", "--as-of", TODAY])
        .exits(0)
        .says("Written down for 1 piece");
    assert_eq!(std::fs::read(shop.at("content/jobs/26-041 Fenn gobbler/job.toml")).unwrap(), fenn);
}

#[test]
fn all_or_none_where_one_cannot_be_written() {
    let shop = ready();
    // Something lies where the draft of the last job would be written.
    shop.file("content/jobs/26-043 Ott hen/.job.toml.benchlight-draft/in the way", "x");
    let jobs = shop.tree("content/jobs");
    let sent = ["parcel", "freeze-dryer", "--sent", "2026-05-18", "--as-of", TODAY];
    shop.run(&sent).exits(2).tells("output-failed").tells("no job was changed");
    assert!(jobs == shop.tree("content/jobs"));
    // A day that cannot be true is refused before anything is touched.
    let shop = ready();
    let jobs = shop.tree("content/jobs");
    shop.edit("content/shop.toml", "[[visit]]", "[made-up]\nday = 2026-05-20\n\n[[visit]]");
    shop.run(&["parcel", "freeze-dryer", "--sent", "2026-05-28"]).exits(2).tells("in-the-future");
    assert!(jobs == shop.tree("content/jobs"));
}
