//! What happens while the program is at work: files go and come, the power fails, two run at once, the clock jumps.

use super::ground::Ground;
use super::running::Running;
use crate::builder::TODAY;
use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::thread;
use std::time::Duration;

/// Something for the next pass to do.
fn stirred(ground: &mut Ground) {
    let margin = ground.dice.below(100);
    ground.put("themes/hangtag/look.css", format!("body {{ margin: {margin}px }}"));
    let (n, extra) = (ground.dice.below(3), ground.dice.below(250) as u8);
    match ground.dice.below(3) {
        0 => ground.put(&format!("content/pages/extra-{n}.md"), "# Extra\n\n[prices](prices.md)\n"),
        1 => drop(fs::remove_file(ground.at(&format!("content/pages/extra-{n}.md")))),
        _ => {
            let photo = [crate::builder::PHONE_PHOTO, &[extra]].concat();
            ground.put(&format!("content/jobs/26-042 Ruell hen/2026051{n} x.jpg"), photo);
        }
    }
}

/// Files of the content, the site and the records go or move, at random, while a pass runs.
pub fn deleted(ground: &mut Ground) -> Result<(), String> {
    stirred(ground);
    let mut running = Running::begin(&ground.shop(), &["make", "--as-of", TODAY], &[]);
    let mut gone = 0;
    while !running.is_over() && gone < 400 {
        let folder = *ground.dice.one(&["content", "content", "public", ".benchlight", "themes"]);
        let all: Vec<PathBuf> = below(&ground.at(folder));
        if all.is_empty() {
            continue;
        }
        let path = ground.dice.one(&all).clone();
        if ground.strangers.contains_key(&path) || path.ends_with(".benchlight/lock") {
            continue;
        }
        match ground.dice.below(3) {
            0 => drop(fs::rename(&path, path.with_extension("moved"))),
            _ => drop(fs::remove_file(&path)),
        }
        gone += 1;
        thread::sleep(Duration::from_micros(ground.dice.below(3000) as u64));
    }
    ground.did(format!("{gone} files went while it ran"));
    let ended = running.end();
    ground.over(ended)?;
    // What was moved in the site is nobody's: somebody else would have to take it away.
    for path in
        below(&ground.at("public")).into_iter().filter(|path| path.extension().is_some_and(|e| e == "moved"))
    {
        let _ = fs::remove_file(path);
    }
    for path in below(&ground.at(".benchlight"))
        .into_iter()
        .filter(|path| path.extension().is_some_and(|e| e == "moved"))
    {
        let _ = fs::remove_file(path);
    }
    ground.heal()
}

fn below(folder: &std::path::Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> =
        super::claims::plain_files(folder).into_keys().map(|path| folder.join(path)).collect();
    files.sort();
    files
}

/// A pass is killed at any moment, perhaps the next one too.
pub fn killed_make(ground: &mut Ground) -> Result<(), String> {
    for _ in 0..=ground.dice.below(2) {
        stirred(ground);
        killed(ground, &["make", "--as-of", TODAY])?;
        ground.claims()?;
    }
    ground.heal()
}

/// A posting is killed at any moment; the next one brings the host to what is here.
pub fn killed_post(ground: &mut Ground) -> Result<(), String> {
    stirred(ground);
    ground.make()?;
    killed(ground, &["post"])?;
    ground.claims()?;
    ground.heal()?;
    posted(ground)
}

/// A posting of a whole site: then the host holds it.
pub fn posted(ground: &mut Ground) -> Result<(), String> {
    let said = ground.run(&["post"])?;
    if said.code() != Some(0) {
        // Somebody else's file may be in the way, which is told.
        return Ok(());
    }
    let (here, there) = (
        super::claims::plain_files(&ground.at("public")),
        super::claims::plain_files(&ground.base().join("host")),
    );
    match here.iter().find(|(path, bytes)| there.get(*path) != Some(*bytes)) {
        Some((path, _)) => Err(format!("posted and not there: {path}: {}", said.told())),
        None => Ok(()),
    }
}

fn killed(ground: &mut Ground, args: &[&str]) -> Result<(), String> {
    let wait = ground.usual.mul_f64(ground.dice.below(900) as f64 / 1000.0);
    let ended = Running::begin(&ground.shop(), args, &[]).kill_after(wait);
    ground.over(ended).map(drop)
}

/// Two at once, each of any kind: they take turns.
pub fn two_at_a_time(ground: &mut Ground) -> Result<(), String> {
    const ALL: [&[&str]; 5] = [
        &["make", "--as-of", TODAY],
        &["post"],
        &["proof"],
        &["make", "--as-of", "2026-06-20"],
        &["tag", "26-077"],
    ];
    stirred(ground);
    let (one, other) = (*ground.dice.one(&ALL), *ground.dice.one(&ALL));
    let (first, second) =
        (Running::begin(&ground.shop(), one, &[]), Running::begin(&ground.shop(), other, &[]));
    let (first, second) = (first.end(), second.end());
    ground.over(first)?;
    ground.over(second)?;
    ground.claims()?;
    ground.heal()
}

/// The computer's clock stands anywhere; passes and postings go on by it, and back.
pub fn clocks(ground: &mut Ground) -> Result<(), String> {
    for _ in 0..2 {
        let day = *ground.dice.one(&[
            "1970-01-02",
            "1999-12-31 23:59:58",
            "2026-02-28",
            "2026-05-20",
            "2026-07-14",
            "2027-08-01",
            "2038-01-19 03:14:06",
            "2099-01-01",
        ]);
        let args = *ground.dice.one(&[&["make"][..], &["board"], &["proof"], &["post"], &["register"]]);
        let mut command = Command::new("faketime");
        command.arg(day).arg(env!("CARGO_BIN_EXE_benchlight")).args(args);
        let running = Running::of(&mut command, &ground.shop(), &[], format!("{} on {day}", args.join(" ")));
        let ended = running.end();
        ground.over(ended)?;
        ground.claims()?;
    }
    ground.heal()
}
