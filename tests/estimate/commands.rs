//! `board --json` and `replay` on the demo shop: all fields of the stable machine view, any past day, and the table.

use serde_json::Value;
use std::process::Command;

fn run(args: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command.args(["--shop", env!("CARGO_MANIFEST_DIR")]).args(args).env_remove("SOURCE_DATE_EPOCH");
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn json(args: &[&str]) -> Value {
    serde_json::from_str(&run(args)).unwrap()
}

#[test]
fn the_machine_view_has_all_its_fields_as_of_any_day() {
    for (args, day) in [
        (&["board", "--json"][..], "2026-06-15"),
        (&["board", "--json", "--as-of", "2025-11-17"], "2025-11-17"),
        (&["board", "--json", "--as-of", "2024-09-02"], "2024-09-02"),
    ] {
        let board = json(args);
        assert_eq!(board["as_of"], day);
        let jobs = board["jobs"].as_array().unwrap();
        assert!(!jobs.is_empty(), "{day}");
        for job in jobs {
            for text in ["job", "route", "customer", "taken_in", "state", "total", "paid", "due", "page"] {
                assert!(job[text].is_string(), "{text} in {job}");
            }
            for list in ["reached", "waiting_on", "next"] {
                assert!(job[list].as_array().unwrap().iter().all(Value::is_string), "{list} in {job}");
            }
            assert!(job["taken_in"].as_str().unwrap() <= day, "{job}");
            assert!(job["choose_by"].is_null() || job["choose_by"].as_str().unwrap() >= day, "{job}");
            let window = &job["window"];
            if job["state"] == "ready" || job["state"] == "collected" {
                assert!(window.is_null(), "{job}");
            } else {
                let [soonest, likely, latest] =
                    ["soonest", "likely", "latest"].map(|w| window[w].as_str().unwrap());
                assert!(day <= soonest && soonest <= likely && likely <= latest, "{job}");
            }
        }
    }
}

#[test]
fn the_replay_prints_its_table_and_the_same_as_json() {
    let table = run(&["replay"]);
    let report = json(&["replay", "--json"]);
    let ways = report["ways"].as_array().unwrap();
    assert_eq!(ways.len(), 4);
    for way in ways {
        let all = &way["all"];
        let held = format!("{:>10}{:>9.0}%", all["estimates"], 100.0 * all["held"].as_f64().unwrap());
        let name = way["way"].as_str().unwrap();
        assert!(table.lines().any(|line| line.starts_with(name) && line.contains(&held)), "{name}: {table}");
        assert_eq!(way["horizons"].as_array().unwrap().len(), 3);
    }
    let (sentence, count) = (&report["sentence"], |key: &str| report["sentence"][key].as_u64().unwrap());
    assert!(count("held") <= count("pieces") && count("pieces") >= 10, "{sentence}");
    let told = format!("Of our last {} pieces, {} were ready inside", sentence["pieces"], sentence["held"]);
    assert!(table.contains(&told), "{told} in {table}");
    assert_eq!(run(&["replay"]), table, "the same again");
}
