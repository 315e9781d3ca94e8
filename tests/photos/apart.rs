//! Photos are opened in helpers that can reach nothing but their two pipes, and that may end at any moment.

use super::cut_short::made;
use super::sample;
use crate::builder::{PHONE_PHOTO, TODAY, TestShop, tools};
use std::collections::{BTreeMap, BTreeSet};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// The calls that a helper may make once it has given up its rights, as strace names them: memory, time, luck, locks, the
/// way out, and what is asked for and refused (`available_parallelism` of the standard library reads its limits).
const HARMLESS: [&str; 16] = [
    "mmap",
    "munmap",
    "mremap",
    "mprotect",
    "brk",
    "madvise",
    "futex",
    "getrandom",
    "clock_gettime",
    "sched_yield",
    "sched_getaffinity",
    "rt_sigprocmask",
    "rt_sigaction",
    "sigaltstack",
    "exit",
    "exit_group",
];

/// What strace saw: each process's calls, in order.
fn calls(shop: &TestShop) -> BTreeMap<String, Vec<String>> {
    let log = shop.at("trace.txt");
    let mut strace = Command::new("strace");
    strace.args(["-f", "-qq", "-o"]).arg(&log).arg(env!("CARGO_BIN_EXE_benchlight"));
    strace.args(["make", "--as-of", TODAY]).current_dir(shop.path());
    let output = tools::run(&mut strace);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut calls: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for line in std::fs::read_to_string(log).unwrap().lines() {
        let (process, call) = line.split_once(' ').unwrap();
        calls.entry(process.to_owned()).or_default().push(call.trim().to_owned());
    }
    calls
}

#[test]
fn a_helper_opens_nothing_once_photos_come() {
    let shop = TestShop::healthy();
    shop.file("content/jobs/26-041 Fenn gobbler/2026-05-05.jpg", sample::file(0));
    let (mut helpers, mut photos) = (0, 0);
    for (process, calls) in calls(&shop) {
        // From strace(1): a filter is put in place by `seccomp(SECCOMP_SET_MODE_FILTER, …)` or `prctl(PR_SET_SECCOMP, …)`.
        let given_up = calls.iter().position(|call| {
            call.starts_with("seccomp(SECCOMP_SET_MODE_FILTER") || call.starts_with("prctl(PR_SET_SECCOMP")
        });
        let Some(given_up) = given_up else { continue };
        helpers += 1;
        for call in &calls[given_up + 1..] {
            let name = call.trim_start_matches("<... ").split(['(', ' ']).next().unwrap();
            let pipes = call.starts_with("read(0,") || call.starts_with("write(1,");
            let resumed = call.starts_with("<... read resumed") || call.starts_with("<... write resumed");
            let ended = call.starts_with("+++") || call.starts_with("---");
            assert!(pipes || resumed || ended || HARMLESS.contains(&name), "helper {process}: {call}");
            photos += usize::from(call.starts_with("write(1,"));
        }
    }
    assert!(helpers > 0 && photos > 0, "{helpers} helpers, {photos} answers");
}

/// The helpers of a process, by their parent and command line (proc(5)).
pub fn helpers_of(parent: u32) -> BTreeSet<u32> {
    let numbers = std::fs::read_dir("/proc").unwrap().flatten();
    let numbers = numbers.filter_map(|entry| entry.file_name().to_str()?.parse::<u32>().ok());
    let is_helper = |number: &u32| {
        let read = |file: &str| std::fs::read_to_string(format!("/proc/{number}/{file}")).unwrap_or_default();
        let parent_of =
            read("stat").rsplit(')').next().and_then(|rest| rest.split_whitespace().nth(1)?.parse().ok());
        parent_of == Some(parent) && read("cmdline").contains(benchlight::door::photo::apart::WORD)
    };
    numbers.filter(is_helper).collect()
}

#[test]
fn helpers_that_are_killed_cost_no_page_and_none_stays_behind() {
    let shop = TestShop::healthy();
    for n in 1..=8u8 {
        let photo = [sample::file(0).as_slice(), &[n; 9]].concat();
        shop.file(&format!("content/jobs/26-042 Ruell hen/2026-05-{:02}.jpg", n + 11), photo);
    }
    let mut pass = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    pass.args(["make", "--as-of", TODAY])
        .current_dir(shop.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    let mut pass = pass.spawn().unwrap();
    let mut killed: BTreeSet<u32> = BTreeSet::new();
    let ended = loop {
        for helper in helpers_of(pass.id()).difference(&killed.clone()).take(1) {
            let number = helper.to_string();
            let _ = Command::new("kill").args(["-9", &number]).stderr(Stdio::null()).status();
            killed.insert(*helper);
        }
        if let Some(ended) = pass.try_wait().unwrap() {
            break ended;
        }
        std::thread::sleep(Duration::from_millis(40));
    };
    // A photo whose helper was ended twice is told; nothing else is lost.
    assert!(matches!(ended.code(), Some(0 | 1)), "{ended:?}");
    assert!(!killed.is_empty(), "no helper was seen");
    shop.make(0);
    // Of a pose and two jobs; the same phone photo lies in two of them.
    assert_eq!(made(&shop.at(".benchlight")).len(), 9);

    let mut watch = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    watch.args(["watch", "--port", "0"]).current_dir(shop.path()).stdout(Stdio::null()).stderr(Stdio::null());
    let mut watch = watch.spawn().unwrap();
    shop.file("content/jobs/26-041 Fenn gobbler/2026-05-06.jpg", PHONE_PHOTO);
    let begun = Instant::now();
    let mut seen = BTreeSet::new();
    while seen.is_empty() {
        assert!(begun.elapsed() < Duration::from_secs(60), "`watch` started no helper");
        std::thread::sleep(Duration::from_millis(20));
        seen = helpers_of(watch.id());
    }
    // proc(5): by its arguments, and by the name that `ps` shows without any option.
    for helper in &seen {
        let arguments = std::fs::read(format!("/proc/{helper}/cmdline")).unwrap();
        assert!(
            arguments.starts_with(b"benchlight\0--open-photos"),
            "{}",
            String::from_utf8_lossy(&arguments)
        );
        let named = || std::fs::read_to_string(format!("/proc/{helper}/comm")).unwrap() == "benchlight\n";
        while !named() {
            assert!(begun.elapsed() < Duration::from_secs(60), "a helper takes no name");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
    watch.kill().unwrap();
    watch.wait().unwrap();
    // Nobody asks any more, so they end by themselves.
    while seen.iter().any(|number| {
        std::fs::read_to_string(format!("/proc/{number}/cmdline"))
            .is_ok_and(|l| l.contains(benchlight::door::photo::apart::WORD))
    }) {
        assert!(begun.elapsed() < Duration::from_secs(90), "a helper stayed behind");
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn a_helper_that_cannot_be_started_is_one_problem() {
    let shop = TestShop::healthy();
    // Where the system does not tell a program what it was started from, it cannot be started once more.
    let mut pass = Command::new("unshare");
    let script = format!(
        "mount -t tmpfs none /proc && exec '{}' proof --as-of {TODAY}",
        env!("CARGO_BIN_EXE_benchlight")
    );
    pass.args(["--mount", "sh", "-c", &script]).current_dir(shop.path());
    let output = tools::run(&mut pass);
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(told.contains("(photo-helper)") && !told.contains("panicked"), "{told}");
}
