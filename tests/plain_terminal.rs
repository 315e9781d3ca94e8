//! What a terminal is sent: whatever stands in files, names, arguments or at the host, no sign that it would obey, that turns
//! letters around or that nobody sees gets there, in a pipe or in a (pseudo) terminal, and JSON keeps its meaning.

use crate::builder::{PHONE_PHOTO, TestShop, tools};
use benchlight::door::base::shown::is_veiled;
use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};
use std::time::Duration;

/// Writes to the clipboard, sets the title, clears, paints, goes up a line (ECMA-48, 5th edition; OSC 52 and OSC 0 as common
/// terminals read them, no source); C1 signs, bidi overrides and isolates, signs without any width.
const NASTY: &str = "\u{1b}]52;c;cm0=\u{7}\u{1b}]0;mine\u{7}\u{1b}[2J\u{1b}[5;31mred\u{1b}[1A\u{9b}2J\u{9d}0;x\u{9c}\u{7f}\
                     \u{202e}gpj\u{2066}x\u{2069}\u{200e}\u{200b}\u{feff}\u{ad}\u{e0041}\r";

/// The same as a TOML text.
fn nasty(word: &str) -> String {
    let escaped: String = NASTY
        .chars()
        .map(|c| match c {
            c if is_veiled(c) => format!("\\U{:08x}", u32::from(c)),
            c => c.to_string(),
        })
        .collect();
    format!("\"{word} {escaped}\"")
}

/// The shop with such signs wherever one can be put, and a place to post to that holds some.
fn shop() -> (TestShop, tempfile::TempDir) {
    let shop = TestShop::healthy_and_quick(true);
    let host = tempfile::tempdir().unwrap();
    let name = |word: &str| format!("{word}{}", NASTY.replace('/', ""));
    shop.edit("content/shop.toml", "\"Hollow Ash Studio\"", &nasty("Hollow Ash"));
    shop.edit("content/shop.toml", "\"Cash or check.\"", &nasty("Cash"));
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    let post = format!("\n[post]\nto = \"folder\"\nfolder = '{}'\n", host.path().display());
    shop.file("content/shop.toml", format!("{text}{post}"));
    shop.edit("content/partners.toml", "\"the freeze-dryer\"", &nasty("the freezer"));
    shop.edit("content/routes/turkey-full.toml", "\"Turkey, full body\"", &nasty("Turkey"));
    shop.edit("content/showroom/turkey/half-strut/pose.toml", "\"Half strut\"", &nasty("Half strut"));
    let job = "content/jobs/26-041 Fenn gobbler/job.toml";
    for (from, word) in [
        ("\"Ada Fenn\"", "Ada Fenn"),
        ("\"Eastern wild turkey\"", "Eastern"),
        ("\"use the 11B form\"", "form"),
        ("\"TAG-7781\"", "TAG"),
        ("\"Driftwood base\"", "Base"),
    ] {
        shop.edit(job, from, &nasty(word));
    }
    let broken = format!("content/jobs/26-043 {}/job.toml", name("Ott"));
    shop.file(
        &broken,
        format!("customer = {}\nroute = {}\npiece = 5\nzz{NASTY} = 1\n", nasty("Di"), nasty("none")),
    );
    shop.file(
        &format!("content/jobs/26-044 {}/job.toml", name("Moss")),
        format!("customer = {}\n{} = 3\n", nasty("Di"), nasty("k")),
    );
    shop.file(&format!("content/jobs/26-041 Fenn gobbler/{}.jpg", name("wing")), PHONE_PHOTO);
    shop.file(&format!("content/jobs/26-041 Fenn gobbler/{}.jpg", name("cut")), &PHONE_PHOTO[..400]);
    shop.file(&format!("content/jobs/26-041 Fenn gobbler/{}/x.jpg", name("step")), PHONE_PHOTO);
    shop.file(&format!("content/{}", name("what")), "x")
        .file(&format!("content/pages/{}.md", name("page")), "# x\n");
    shop.file(
        "content/pages/care.md",
        format!("# Care {NASTY}\n\n[a](javascript:{NASTY}) [b](no{NASTY}) ![c](x{NASTY}.jpg)\n"),
    );
    shop.file(&format!("themes/hangtag/{}.css", name("look")), "");
    (shop, host)
}

/// Every command that says something of a shop.
fn commands() -> Vec<Vec<String>> {
    let day = ["--as-of", "2026-05-20"];
    let with_day: [&[&str]; 7] = [
        &["make"],
        &["proof"],
        &["proof", "--json"],
        &["board"],
        &["board", "--json"],
        &["board", "--drafts"],
        &["board", "26-041"],
    ];
    let without: [&[&str]; 14] = [
        &["replay", "--as-of", "2026-05-20"],
        &["replay", "--as-of", "2026-05-20", "--json"],
        &["board", NASTY],
        &["tag", "26-041", "--show"],
        &["tag", NASTY],
        &["parcel", "freeze-dryer"],
        &["parcel", NASTY],
        &["register"],
        &["post", "--dry"],
        &["post"],
        &[NASTY],
        &["make", "--as-of", NASTY],
        &["--shop", NASTY, "make"],
        &["intake", "--customer", NASTY, "--route", NASTY, "--piece", NASTY],
    ];
    let all =
        with_day.iter().map(|args| [*args, &day].concat()).chain(without.iter().map(|args| args.to_vec()));
    all.map(|args| args.into_iter().map(str::to_owned).collect()).collect()
}

fn benchlight(shop: &TestShop) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command
        .current_dir(shop.path())
        .env_remove("SOURCE_DATE_EPOCH")
        .env_remove("NO_COLOR")
        .env("TERM", "xterm");
    command.stdin(Stdio::null());
    command
}

/// What no terminal may be sent; nothing if all is well.
fn veiled(bytes: &[u8], allowed: &[&str]) -> Option<String> {
    let mut text = String::from_utf8_lossy(bytes).into_owned();
    for ours in allowed {
        text = text.replace(ours, "");
    }
    let at = text.char_indices().find(|(_, c)| *c != '\n' && is_veiled(*c)).map(|(at, _)| at)?;
    let start = (0..=at.saturating_sub(60)).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
    Some(format!("{:?}", text[start..].chars().take(120).collect::<String>()))
}

#[test]
fn no_command_sends_such_a_sign_into_a_pipe() {
    let (shop, host) = shop();
    let mut stand_ins = 0;
    for (at, args) in commands().iter().enumerate() {
        if args[0] == "post" {
            // What somebody else has put there, and what lies in public besides the site.
            let strange = format!("index{}.html", NASTY.replace('/', ""));
            fs::write(host.path().join(&strange), "theirs").unwrap();
            fs::create_dir_all(shop.at("public")).unwrap();
            fs::write(shop.at("public").join(&strange), "mine").unwrap();
            fs::write(host.path().join("robots.txt"), "theirs").unwrap();
        }
        let output = benchlight(&shop).args(args).output().unwrap();
        for (stream, bytes) in [("out", &output.stdout), ("err", &output.stderr)] {
            let told = veiled(bytes, &[]);
            assert!(told.is_none(), "{args:?} sends on {stream}: {}", told.unwrap());
            stand_ins += String::from_utf8_lossy(bytes).matches('\u{fffd}').count();
        }
        assert!(!output.stdout.is_empty() || !output.stderr.is_empty(), "command {at} said nothing");
        if args.iter().any(|arg| arg == "--json") {
            let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
            let kept = value.to_string();
            assert!(
                args[0] != "proof" || kept.contains('\u{202e}') && kept.contains('\u{9b}'),
                "{args:?} lost some"
            );
        }
    }
    assert!(stand_ins > 500, "only {stand_ins} signs were met: is the shop still nasty?");
}

/// Runs a command with both streams on a pseudo terminal and copies what comes to its own output.
const IN_TERMINAL: &str = "
import os, subprocess, sys
ours, theirs = os.openpty()
child = subprocess.Popen(sys.argv[1:], stdin=subprocess.DEVNULL, stdout=theirs, stderr=theirs)
os.close(theirs)
while True:
    try:
        data = os.read(ours, 65536)
    except OSError:
        break
    if not data:
        break
    sys.stdout.buffer.write(data)
child.wait()
";

#[test]
fn no_command_sends_such_a_sign_to_a_terminal_but_our_own_colors() {
    // Written by command/terminal.rs alone; the terminal itself ends lines with CR LF.
    let ours =
        ["\u{1b}[1;31m", "\u{1b}[1;33m", "\u{1b}[1m", "\u{1b}[0m", "\u{1b}[30;107m", "\r\u{1b}[K", "\r\n"];
    let (shop, _host) = shop();
    let mut coloured = 0;
    for args in commands() {
        let plain = benchlight(&shop);
        let mut command = tools::python();
        command.arg("-c").arg(IN_TERMINAL).arg(plain.get_program()).args(&args).current_dir(shop.path());
        let output = command.env_remove("NO_COLOR").env_remove("SOURCE_DATE_EPOCH").output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let told = veiled(&output.stdout, &ours);
        assert!(told.is_none(), "{args:?} sends: {}", told.unwrap());
        coloured +=
            usize::from(String::from_utf8_lossy(&output.stdout).contains("\u{1b}[1;33mmend:\u{1b}[0m "));
    }
    assert!(coloured >= 2, "the pseudo terminal was not taken for one");
}

#[test]
fn watching_sends_none_either() {
    let (shop, _host) = shop();
    let mut command = benchlight(&shop);
    let mut watch = command
        .args(["watch", "--port", "7426"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(watch.stdout.take().unwrap()).lines();
    let mut said = Vec::new();
    for line in lines.by_ref() {
        said.push(line.unwrap());
        if said.last().unwrap().contains("Ctrl-C") {
            break;
        }
    }
    let moved = fs::read_to_string(shop.at("content/jobs/26-042 Ruell hen/job.toml")).unwrap();
    shop.file(
        "content/jobs/26-042 Ruell hen/job.toml",
        format!("{moved}\n[reached]\nskinned = 2026-05-19\n"),
    );
    shop.file(&format!("content/jobs/26-041 Fenn gobbler/back{}.jpg", NASTY.replace('/', "")), PHONE_PHOTO);
    std::thread::sleep(Duration::from_secs(4));
    assert!(Command::new("kill").arg("-INT").arg(watch.id().to_string()).status().unwrap().success());
    let mut rest = String::new();
    lines.for_each(|line| rest += &line.unwrap());
    let mut told = Vec::new();
    watch.stderr.take().unwrap().read_to_end(&mut told).unwrap();
    watch.wait().unwrap();
    for bytes in [said.concat().as_bytes(), rest.as_bytes(), &told] {
        assert!(veiled(bytes, &[]).is_none(), "{:?}", veiled(bytes, &[]));
    }
    assert!(!rest.is_empty() && !told.is_empty());
}

/// Every sign of Cc and Cf, and the letters without shape, as Python's own Unicode tables have them.
#[test]
fn the_list_of_signs_is_that_of_unicode() {
    let list = "
import unicodedata
for n in range(0x110000):
    c = chr(n)
    if unicodedata.category(c) in ('Cc', 'Cf', 'Zl', 'Zp'):
        print(n)
";
    let listed = tools::printed(tools::python().arg("-c").arg(list));
    // Prepended_Concatenation_Mark, PropList.txt of the Unicode Character Database 15: signs that can be seen.
    let seen = [
        0x600..=0x605,
        0x6dd..=0x6dd,
        0x70f..=0x70f,
        0x890..=0x891,
        0x8e2..=0x8e2,
        0x110bd..=0x110bd,
        0x110cd..=0x110cd,
    ];
    for n in listed.lines().map(|line| line.parse::<u32>().unwrap()) {
        let c = char::from_u32(n).unwrap();
        assert_eq!(is_veiled(c), !seen.iter().any(|range| range.contains(&n)), "U+{n:04X}");
    }
    assert!(listed.lines().count() > 200);
}
