//! Taking in a piece: by flags, and at a real terminal; what is written, and that nothing is written by halves.

use super::shop;
use crate::builder::{TODAY, TestShop, tools};
use serde_json::{Value, json};
use std::io::Write;
use std::process::Stdio;

const FLAGS: [&str; 24] = [
    "intake",
    "--as-of",
    TODAY,
    "--customer",
    "Una Brill",
    "--phone",
    "555-0190",
    "--address",
    "4 Ash Lane",
    "--piece",
    "Gobbler, \"Old Tom\"",
    "--route",
    "turkey-full",
    "--pose",
    "half-strut",
    "--tag",
    "T-9",
    "--charge",
    "1",
    "--charge",
    "Driftwood base x 12",
    "--paid",
    "400",
    "--rush",
];

#[test]
fn flags_alone_take_a_piece_in_whole() {
    let shop = shop();
    let ran = shop.run(&FLAGS).exits(0).says("26-043 is taken in: content/jobs/26-043 Brill tom");
    let ran = ran.tells("differ by state").says("https://hollow-ash.example/see/");
    assert!(ran.out().contains('█'), "the code for a quick look");
    let folder = "content/jobs/26-043 Brill tom";
    let mut inside: Vec<String> = std::fs::read_dir(shop.at(folder))
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    inside.sort();
    assert_eq!(
        inside,
        ["1 skinned", "2 head-back", "3 washed", "4 mounted", "5 dried", "job.toml", "not shown"]
    );
    let text = std::fs::read_to_string(shop.at(&format!("{folder}/job.toml"))).unwrap();
    assert!(text.contains("# head-sent = 2026-05-20\n") && text.contains("# form = 2026-05-20\n"), "{text}");
    // Each line of the sample can be switched on by taking the # away.
    shop.run(&["proof", "--as-of", TODAY]).exits(0);
    shop.make(0);
    let (_, page) = shop.private_page("26-043").unwrap();
    for what in ["Una B.", "Old Tom", "Half strut", "$400.00", "Turkey, full body, half strut"] {
        assert!(page.contains(what), "no {what} on the page");
    }
    // 695 from the pose, 12 x 4.25 of goods with 6.25 % tax on them: 51.00 and 3.19 (half up), 749.19 in all.
    assert!(page.contains("$749.19") && page.contains("$349.19"), "the ledger");
    assert!(shop.at("print/tag 26-043.html").exists());
    shop.run(&FLAGS).exits(0).says("26-044 is taken in");
}

#[test]
fn every_sample_line_of_a_new_file_is_right_when_it_is_switched_on() {
    let shop = shop();
    shop.run(&[
        "intake",
        "--as-of",
        TODAY,
        "--customer",
        "Una Brill",
        "--piece",
        "Hen",
        "--route",
        "turkey-full",
    ])
    .exits(0);
    let path = "content/jobs/26-043 Brill hen/job.toml";
    let text = std::fs::read_to_string(shop.at(path)).unwrap();
    let on: String = text
        .lines()
        .map(|line| match line.strip_prefix("# ").filter(|rest| rest.contains(" = ")) {
            Some(rest) => format!("{rest}\n"),
            None => format!("{line}\n"),
        })
        .collect();
    assert!(on.lines().filter(|l| l.contains(" = ")).count() > 25, "{on}");
    shop.file(path, on);
    shop.run(&["proof", "--as-of", TODAY]).exits(0);
}

#[test]
fn what_is_missing_is_named_by_its_flag_where_nobody_can_be_asked() {
    let shop = shop();
    let before = shop.tree(".");
    let ran = shop.run(&["intake", "--as-of", TODAY, "--piece", "Hen"]).exits(2);
    ran.tells("`--customer` and `--route` can’t be left out").tells("Nothing was written.");
    for (flags, told) in [
        (&["--route", "turkey-ful"][..], "did you mean `turkey-full`?"),
        (&["--pose", "half-strutt"], "did you mean `half-strut`?"),
        (&["--charge", "Drift base x 2"], "--charge"),
        (&["--paid", "lots"], "--paid"),
        (&["--number", "26-041"], "there is a job `26-041` already"),
        (&["--number", "26_043"], "26_043"),
        (&["--taken-in", "2026-06-20"], "look at `--taken-in`"),
    ] {
        let mut all = FLAGS.to_vec();
        all.truncate(13);
        // A flag given twice is refused: the last words stand for the first.
        if flags[0] == "--route" {
            all.truncate(11);
        }
        all.extend(flags);
        let ran = shop.run(&all);
        let note = flags[0] == "--pose";
        // A pose that the showroom does not have is words of the owner's own: told, and taken.
        assert_eq!(ran.output.status.code(), Some(if note { 0 } else { 2 }), "{flags:?} {}", ran.err());
        assert!(ran.err().contains(told), "{flags:?}: {}", ran.err());
        if note {
            std::fs::remove_dir_all(shop.at("content/jobs/26-043 Brill tom")).unwrap();
            std::fs::remove_dir_all(shop.at("print")).unwrap();
            std::fs::remove_file(shop.at("content/numbers.txt")).unwrap();
        }
    }
    let mut after = shop.tree(".");
    after.retain(|path, _| !path.starts_with(".benchlight/"));
    assert_eq!(before.keys().collect::<Vec<_>>(), after.keys().collect::<Vec<_>>());
}

#[test]
fn a_migratory_bird_without_a_signature_is_told() {
    let shop = shop();
    let duck =
        ["intake", "--as-of", TODAY, "--customer", "Una Brill", "--piece", "Mallard", "--route", "duck"];
    shop.run(&duck).exits(0).tells("no signed tag yet").tells("no tag number yet");
    shop.make(0);
    let (_, page) = shop.private_page("26-043").unwrap();
    assert!(page.contains("Your signature on the tag"), "the customer is asked as well");
    let signed = [&duck[..], &["--signed", "2026-05-19", "--tag", "F-1"]].concat();
    let ran = shop.run(&signed).exits(0);
    assert!(!ran.err().contains("no signed tag") && !ran.err().contains("no tag number"), "{}", ran.err());
}

#[test]
fn nothing_is_ever_overwritten() {
    let shop = shop();
    shop.file("content/jobs/26-043 something else/notes.txt", "mine");
    shop.run(&FLAGS).exits(0).says("26-044 is taken in");
    assert_eq!(shop.tree("content/jobs/26-043 something else").len(), 1);
    // The same number in other letters is the same number.
    let other = [&FLAGS[..], &["--number", "26-044"]].concat();
    shop.run(&other).exits(2).tells("same-number");
}

#[test]
fn without_a_web_address_the_piece_is_in_and_its_tag_waits() {
    let shop = shop();
    shop.edit("content/shop.toml", "web   = ", "# web = ");
    shop.run(&FLAGS).exits(1).says("is taken in").tells("no-web-address").tells("benchlight tag 26-043");
    assert!(shop.at("content/jobs/26-043 Brill tom/job.toml").exists());
}

/// The answers to every question, with a few slips on the way.
fn talk() -> Value {
    json!([
        ["Customer", ""],
        ["This can’t be blank", ""],
        ["Customer", "Una Brill"],
        ["Phone", "555-0190"],
        ["Address", "4 Ash Lane"],
        ["Piece", "Eastern wild turkey"],
        ["2  turkey-full", ""],
        ["Route", "turkey-ful"],
        ["did you mean `turkey-full`?", ""],
        ["Route", "2"],
        ["1  half-strut", ""],
        ["`later` [later]:", "half-strutt"],
        ["did you mean `half-strut`?", ""],
        ["`later` [later]:", "1"],
        ["Number of the tag", "T-9"],
        ["Day of kill", "19 May"],
        ["2026-05-02", ""],
        ["Day of kill", "yesterday"],
        ["Place of kill", "Larrow County"],
        ["Species", "Eastern wild turkey"],
        ["Sex", "male"],
        ["1  Turkey, full body, half strut: 695.00", ""],
        ["[1]:", ""],
        ["Number, or", "3"],
        ["How many", "twelve"],
        ["no number", ""],
        ["Number, or", "3"],
        ["How many", "12"],
        ["Number, or", "Crate = 60"],
        ["Number, or", ""],
        ["Job number [26-043]:", ""],
        ["[Brill turkey]:", "Brill gobbler"],
        // Half of 695 + 51 + 60 and 3.19 of tax: 404.595, half up.
        ["Deposit paid, or 0 [404.60]:", ""],
        ["How (cash", "cash"],
        ["Write content/jobs/26-043 Brill gobbler? [yes]:", "yes"],
        ["26-043 is taken in", ""]
    ])
}

/// Those of them that are asked and answered once each; what is only shown is typed nothing.
fn typed(talk: &Value) -> Value {
    let shown_only =
        ["This can", "did you", "2  turkey", "1  half", "2026-05-02", "1  Turkey", "no number", "26-043 is"];
    let steps = talk.as_array().unwrap().iter();
    let real = steps.filter(|s| !shown_only.iter().any(|only| s[0].as_str().unwrap().starts_with(only)));
    real.cloned().collect()
}

fn at_terminal(shop: &TestShop, mode: &str, talk: &Value) -> Value {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle/counter_pty.py");
    let mut command = tools::python();
    command.arg(path).arg(env!("CARGO_BIN_EXE_benchlight")).arg(shop.path()).args([TODAY, mode]);
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().expect("Python runs");
    child.stdin.take().unwrap().write_all(talk.to_string().as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(
        output.status.success(),
        "the talk went another way (pexpect from tests/requirements.txt is needed)"
    );
    serde_json::from_slice(&output.stdout).expect("JSON")
}

#[test]
fn a_real_terminal_asks_in_the_order_of_the_counter() {
    let shop = shop();
    let ended = at_terminal(&shop, "talk", &typed(&talk()));
    assert_eq!(ended["exit"], 0, "{}", ended["shown"]);
    let shown = ended["shown"].as_str().unwrap();
    // What answers a slip stands in between.
    for what in
        ["This can’t be blank", "did you mean `turkey-full`?", "did you mean `half-strut`?", "no number"]
    {
        assert!(shown.contains(what), "no {what} in {shown}");
    }
    assert!(
        shown.contains("1  Turkey, full body, half strut: 695.00") && shown.contains("is taken in"),
        "{shown}"
    );
    let text = std::fs::read_to_string(shop.at("content/jobs/26-043 Brill gobbler/job.toml")).unwrap();
    for line in [
        "customer   = \"Una Brill\"",
        "taken-on   = 2026-05-19",
        "place      = \"Larrow County\"",
        "pose       = \"half-strut\"",
        "count      = 12",
        "what       = \"Crate\"",
        "amount     = 404.60",
        "how        = \"cash\"",
    ] {
        assert!(text.contains(line), "no {line} in\n{text}");
    }
    shop.run(&["proof", "--as-of", TODAY]).exits(0);
}

#[test]
fn an_interrupt_at_any_question_writes_nothing() {
    let shop = shop();
    let content = shop.tree("content");
    // Without the slips: what is asked twice is interrupted once.
    let mut talk = typed(&talk());
    let slips = ["turkey-ful", "half-strutt", "19 May", "twelve"];
    let steps = talk.as_array_mut().unwrap();
    steps.retain(|s| !slips.contains(&s[1].as_str().unwrap()) && *s != json!(["Customer", ""]));
    steps.dedup();
    // The count that could not be read asked for the line once more.
    let again = steps.iter().position(|s| s[0] == "Number, or" && s[1] == "3").unwrap();
    assert_eq!(steps[again + 1][0], "How many");
    let ends = at_terminal(&shop, "interrupt", &talk);
    let ends = ends.as_array().unwrap();
    assert!(ends.len() > 12);
    // 2 is SIGINT (POSIX, signal.h).
    assert!(ends.iter().all(|end| end["signal"] == 2), "{ends:?}");
    assert!(content == shop.tree("content") && !shop.at("print").exists());
    // The end of the input, and a no, write nothing either.
    for (last, exit) in [(Value::Null, 2), ("no".into(), 2)] {
        let mut talk = typed(&self::talk());
        talk.as_array_mut().unwrap().last_mut().unwrap()[1] = last;
        assert_eq!(at_terminal(&shop, "talk", &talk)["exit"], exit);
        assert!(content == shop.tree("content"));
    }
}
