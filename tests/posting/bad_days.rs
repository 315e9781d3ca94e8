//! Hosts that have bad days: killed in the middle, answers of 5xx, silence, no rights, a full disk, another clock. Each time
//! it is said in words, and the next posting ends with the host equal to `public/`.

use super::proxy::{Mood, Proxy};
use super::servers::{Sftp, Storage, Webdav, free_port};
use super::{At, digests, posts, put_up, put_up_at, readme_lines, run};
use crate::builder::{TestShop, tools};
use std::fs;
use std::process::Command;

/// A healthy shop that is made and goes to this place, which a proxy stands before.
fn before(at: &At, proxy: &Proxy) -> TestShop {
    let shop = TestShop::healthy();
    put_up_at(&shop, at);
    let here = format!("http://127.0.0.1:{}", proxy.port);
    let lines = match at {
        At::Storage(_) => readme_lines("storage").replace("https://storage.example", &here),
        _ => readme_lines("webdav").replace("https://dav.example/studio", &here),
    };
    put_up(&shop, &format!("{}patience = 1\n", lines.trim_end().to_owned() + "\n"), None);
    shop.make(0);
    shop
}

fn bad_days(at: &At, server: u16) {
    let proxy = Proxy::before(server);
    let shop = before(at, &proxy);
    // Now and then something goes wrong: it is tried again, and nobody notices.
    for mood in [Mood::Answers(5, 503, "busy".to_owned()), Mood::Cuts(6), Mood::Stalls(9)] {
        proxy.is(mood.clone());
        shop.file("public/note.txt", format!("{mood:?}"));
        shop.run(&["post"]).exits(0).tells_nothing();
        assert_eq!(at.holds(), digests(&shop.at("public")), "{mood:?}");
    }
    // It goes on for too long: it is told, and what stood stands.
    for (mood, told, code) in [
        (Mood::Answers(1, 500, "broken".to_owned()), "broke off, again and again", "(host-away)"),
        (Mood::Stalls(1), "says nothing", "(host-away)"),
        (Mood::Answers(1, 507, "full".to_owned()), "no room left", "(host-refused)"),
        (Mood::Answers(1, 403, "no".to_owned()), "does not allow it", "(host-refused)"),
        (Mood::Answers(1, 302, "elsewhere".to_owned()), "not understood", "(host-refused)"),
    ] {
        let stood = at.holds();
        proxy.is(mood.clone());
        shop.file("public/note.txt", format!("{mood:?} for long"));
        shop.run(&["post"]).exits(2).tells(told).tells(code);
        proxy.is(Mood::Passes);
        assert_eq!(at.holds(), stood, "{mood:?}");
        posts(&shop, at);
    }
}

#[test]
fn object_storage_with_bad_days() {
    let storage = Storage::start();
    let port = storage.port;
    bad_days(&At::Storage(storage), port);
}

#[test]
fn a_webdav_share_with_bad_days() {
    let webdav = Webdav::start();
    let port = webdav.port;
    bad_days(&At::Webdav(webdav), port);
}

#[test]
fn a_web_space_by_sftp_with_bad_days() {
    let at = At::Sftp(Sftp::start());
    let shop = TestShop::healthy();
    put_up(&shop, &format!("{}\npatience = 1\n", at.lines().trim_end()), None);
    shop.make(0);
    posts(&shop, &at);
    // It falls silent, before or in the middle of it, and is itself again.
    let At::Sftp(sftp) = &at else { unreachable!() };
    let stood = at.holds();
    shop.file("public/note.txt", "silence");
    sftp.falls_silent(true);
    run(&shop, &["post"], &at.surroundings()).exits(2).tells("says nothing").tells("(host-away)");
    sftp.falls_silent(false);
    assert_eq!(at.holds(), stood);
    posts(&shop, &at);
    // One that shows what it has and takes nothing.
    let closed = At::Sftp(Sftp::that_takes_nothing());
    put_up_at(&shop, &closed);
    let refused = |told: &str| {
        let ran = run(&shop, &["post"], &closed.surroundings()).exits(2);
        ran.tells(told).tells("(host-refused)");
    };
    refused("lets no folder be made");
    let At::Sftp(sftp) = &closed else { unreachable!() };
    fs::create_dir(sftp.site().join("see")).unwrap();
    refused("does not allow it");
    assert!(closed.holds().is_empty());
}

#[test]
fn a_web_space_by_sftp_without_room_is_told_and_healed() {
    let mut at = At::Sftp(Sftp::without_room());
    let shop = TestShop::healthy();
    put_up_at(&shop, &at);
    shop.make(0);
    posts(&shop, &at);
    shop.file("public/large.bin", vec![7; 600_000]);
    let stood = at.holds();
    run(&shop, &["post"], &at.surroundings())
        .exits(2)
        .tells("as it does where its disk is full")
        .tells("(host-refused)");
    let mut stands = at.holds();
    stands.retain(|path, _| !path.ends_with("benchlight-draft"));
    assert_eq!(stands, stood);
    at.cut_off();
    at.again();
    posts(&shop, &at);
}

#[test]
fn what_a_host_takes_and_does_not_keep_is_told_and_put_up_once_more() {
    let storage = Storage::start();
    let proxy = Proxy::before(storage.port);
    let at = At::Storage(storage);
    let shop = before(&at, &proxy);
    posts(&shop, &at);
    shop.file("public/note.txt", "Closed on Monday.");
    proxy.is(Mood::Forgets);
    shop.run(&["post"])
        .exits(1)
        .tells("`note.txt` was put up, and is not at the host as it should be")
        .tells("(not-there)");
    proxy.is(Mood::Passes);
    posts(&shop, &at).says("1 file new or changed");
}

#[test]
fn another_clock_is_told_and_changes_nothing_else() {
    let storage = Storage::start();
    let proxy = Proxy::before(storage.port);
    let at = At::Storage(storage);
    let shop = before(&at, &proxy);
    // As S3's protocol has it: the error code of a request that is more than 15 minutes off.
    let answer =
        "<?xml version=\"1.0\"?><Error><Code>RequestTimeTooSkewed</Code><Message>canary</Message></Error>";
    proxy.is(Mood::Answers(1, 403, answer.to_owned()));
    let ran = shop.run(&["post"]).exits(2).tells("the clock of this computer and that of the host differ");
    assert!(!ran.err().contains("canary"), "{}", ran.err());
    proxy.is(Mood::Passes);
    // A host that does not mind is used as ever, whatever this computer's clock says.
    for clock in ["-1d", "+1d"] {
        shop.file("public/note.txt", clock);
        let mut command = Command::new("faketime");
        command.args(["-f", clock, env!("CARGO_BIN_EXE_benchlight"), "post"]).current_dir(shop.path());
        let output = tools::run(&mut command);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        assert_eq!(at.holds(), digests(&shop.at("public")), "{clock}");
        posts(&shop, &at).says("Nothing to put up");
    }
}

#[test]
fn a_host_that_is_not_there_or_not_known_is_told() {
    let shop = TestShop::healthy();
    shop.make(0);
    let nobody = format!("http://127.0.0.1:{}", free_port());
    put_up(
        &shop,
        &readme_lines("storage").replace("https://storage.example", &nobody),
        Some("access-key = \"a\"\nsecret-key = \"b\"\n"),
    );
    shop.run(&["post"]).exits(2).tells("the host cannot be reached").tells("(host-away)");
    // Not encrypted at all behind https: nothing of ours is sent there, and nothing but a greeting reaches it.
    let storage = Storage::start();
    let proxy = Proxy::before(storage.port);
    let plain = format!("https://127.0.0.1:{}", proxy.port);
    let lines = readme_lines("storage").replace("https://storage.example", &plain);
    put_up(&shop, &format!("{}\npatience = 2\n", lines.trim_end()), None);
    let told = shop.run(&["post"]).exits(2).tells("(host-").err();
    assert!(
        ["cannot be reached", "says nothing", "broke off", "not to be trusted"]
            .iter()
            .any(|w| told.contains(w)),
        "{told}"
    );
    assert!(storage.objects().is_empty() && proxy.requests().is_empty());
    // A bucket that was never made.
    put_up(
        &shop,
        &readme_lines("storage")
            .replace("https://storage.example", &storage.endpoint())
            .replace("my-studio", "no-such"),
        None,
    );
    shop.run(&["post"]).exits(2).tells("no such bucket").tells("(host-refused)");

    let sftp = Sftp::start();
    let at = At::Sftp(sftp);
    put_up_at(&shop, &at);
    posts(&shop, &at);
    let At::Sftp(sftp) = &at else { unreachable!() };
    sftp.forget();
    run(&shop, &["post"], &at.surroundings()).exits(2).tells("does not know the host");
    let lines = at.lines().replace(&sftp.port.to_string(), &free_port().to_string());
    put_up(&shop, &lines, None);
    run(&shop, &["post"], &at.surroundings()).exits(2).tells("cannot be reached");
}

#[test]
fn a_key_or_password_that_is_not_taken_is_told() {
    let shop = TestShop::healthy();
    shop.make(0);
    let webdav = Webdav::start();
    let lines = readme_lines("webdav").replace("https://dav.example/studio", &webdav.address());
    put_up(&shop, &lines, Some("password = \"wrong-canary\"\n"));
    let ran = shop.run(&["post"]).exits(2).tells("does not take the user, the password or the keys");
    assert!(!ran.err().contains("canary"));
    let at = At::Sftp(Sftp::start());
    put_up_at(&shop, &at);
    let other = shop.at("other");
    tools::printed(Command::new("ssh-keygen").args(["-q", "-t", "ed25519", "-N", "", "-f"]).arg(&other));
    let At::Sftp(sftp) = &at else { unreachable!() };
    put_up(&shop, &at.lines().replace(sftp.key().to_str().unwrap(), other.to_str().unwrap()), None);
    run(&shop, &["post"], &at.surroundings()).exits(2).tells("does not take the key");
}

/// Runs a shell script in the shop, in a name space of its own where it may mount.
fn mounted(shop: &TestShop, script: &str) -> String {
    let mut command = Command::new("unshare");
    command.args(["--user", "--map-root-user", "--mount", "sh", "-euc", script]).current_dir(shop.path());
    tools::printed(command.env("benchlight", env!("CARGO_BIN_EXE_benchlight")))
}

#[test]
fn a_full_disk_and_one_that_takes_nothing_are_told_and_healed() {
    let shop = TestShop::healthy();
    // Beside the shop, as nothing is put up inside of one.
    let beside = tempfile::tempdir().unwrap();
    let place = beside.path().join("place").display().to_string();
    put_up(&shop, &readme_lines("folder").replace("../site-to-sync", &place), None);
    shop.make(0);
    let told = mounted(
        &shop,
        &"mkdir PLACE; mount -t tmpfs -o size=1m none PLACE
         head -c 300k /dev/zero > public/large.bin
         head -c 900k /dev/zero > rest; $benchlight post >/dev/null 2>&1 || true
         cp rest PLACE/rest || true
         code=0; echo new > public/large.bin; head -c 300k /dev/zero >> public/large.bin
         $benchlight post 2>told || code=$?; echo exit $code; cat told
         rm PLACE/rest; $benchlight post; diff -r public PLACE
         mount -o remount,ro PLACE; echo more > public/more.txt; rm public/large.bin
         code=0; $benchlight post 2>told || code=$?; echo exit $code; cat told
         mount -o remount,rw PLACE; $benchlight post; diff -r public PLACE; echo healed"
            .replace("PLACE", &place),
    );
    assert_eq!(told.matches("exit 2").count(), 2, "{told}");
    for part in ["no room left at the host", "does not allow it", "healed"] {
        assert!(told.contains(part), "{part}: {told}");
    }
}

#[test]
fn a_page_that_cannot_be_taken_away_is_told_and_ends_with_one() {
    let storage = Storage::start();
    let proxy = Proxy::before(storage.port);
    let at = At::Storage(storage);
    let shop = before(&at, &proxy);
    posts(&shop, &at);
    let (page, _) = shop.private_page("26-041").unwrap();
    fs::remove_dir_all(shop.at("content/jobs/26-041 Fenn gobbler")).unwrap();
    shop.make(0);
    proxy.is(Mood::KeepsAll);
    shop.run(&["post"])
        .exits(1)
        .tells(&page)
        .tells("should be gone from the host, and is still there")
        .tells("(still-there)");
    proxy.is(Mood::Passes);
    posts(&shop, &at);
}
