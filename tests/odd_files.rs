//! Files that are no plain files, and links: a pipe is refused and never waited for, a link leads to its own kind of file
//! alone, and the key of the shop is published under no name.
//!
//! Every run has a time limit, so that waiting for a pipe fails and does not hang.

use crate::builder::{TestShop, tree};
use std::fs;
use std::io::Read;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Many times what such a run takes on a busy machine.
const LIMIT: Duration = Duration::from_secs(60);

/// How a run ended within its time: exit code and both streams.
fn in_time(shop: &TestShop, args: &[&str], about: &str) -> (Option<i32>, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_benchlight"));
    command.args(args).current_dir(shop.path()).env("NO_COLOR", "1").env_remove("SOURCE_DATE_EPOCH");
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let (mut out, mut err) = (child.stdout.take().unwrap(), child.stderr.take().unwrap());
    let read = std::thread::spawn(move || {
        let (mut all, mut more) = (Vec::new(), Vec::new());
        out.read_to_end(&mut all).unwrap();
        err.read_to_end(&mut more).unwrap();
        String::from_utf8_lossy(&[all, more].concat()).into_owned()
    });
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if begun.elapsed() > LIMIT {
            child.kill().unwrap();
            child.wait().unwrap();
            panic!("{args:?} waits for ever: {about}");
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    (status.code(), read.join().unwrap())
}

fn pipe(path: &Path) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
}

/// A shop with a theme of its own, a place to post to, and everything that passes leave behind.
fn lived_in() -> TestShop {
    let shop = TestShop::healthy_and_quick(true);
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("themes/hangtag");
    for name in ["look.css", "words.toml", "page.html"] {
        shop.file(&format!("themes/hangtag/{name}"), fs::read(own.join(name)).unwrap());
    }
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    shop.file("content/shop.toml", format!("{text}\n[post]\nto = \"folder\"\nfolder = \"posted\"\n"));
    shop.edit("content/jobs/26-042 Ruell hen/job.toml", "customer", "sealed = true\ncustomer");
    shop.make(0);
    // What posting leaves behind lies there too, whether the place was right or not.
    let _ = shop.run(&["post"]);
    shop
}

#[test]
fn a_pipe_in_the_place_of_any_file_is_never_waited_for() {
    let shop = lived_in();
    let mut files = Vec::new();
    for folder in ["content", "themes", ".benchlight", "public"] {
        files.extend(tree(&shop.at(folder)).into_keys().map(|path| format!("{folder}/{path}")));
    }
    assert!(files.iter().any(|file| file == ".benchlight/lock"), "{files:?}");
    assert!(files.iter().any(|file| file.starts_with(".benchlight/written/")), "{files:?}");
    // Of many files of a kind two are enough.
    let kind = |file: &String| {
        let (folder, name) = file.rsplit_once('/').unwrap();
        let depth = folder.split('/').take(2).collect::<Vec<_>>().join("/");
        (depth, name.rsplit('.').next().unwrap().to_owned())
    };
    let mut seen = std::collections::BTreeMap::new();
    files.retain(|file| {
        let count: &mut usize = seen.entry(kind(file)).or_default();
        *count += 1;
        *count <= 2
    });
    for file in &files {
        let (at, aside) = (shop.at(file), shop.at("aside"));
        fs::rename(&at, &aside).unwrap();
        pipe(&at);
        for args in [&["proof", "--as-of", "2026-05-20"][..], &["make", "--as-of", "2026-05-20"]] {
            let (code, told) = in_time(&shop, args, file);
            assert!(matches!(code, Some(0..=2)), "{file}: {code:?}\n{told}");
            // What is read of the owner's is named.
            if file.starts_with("content") || file.starts_with("themes") {
                assert!(told.contains(file.as_str()), "{args:?} does not speak of {file}:\n{told}");
            }
        }
        let _ = fs::remove_file(&at);
        fs::rename(&aside, &at).unwrap();
    }
    let (code, told) = in_time(&shop, &["make", "--as-of", "2026-05-20"], "all as it was");
    assert_eq!(code, Some(0), "{told}");
}

#[test]
fn pipes_and_sockets_in_the_place_of_records_and_drafts_stop_nothing_for_ever() {
    let shop = TestShop::healthy_and_quick(true);
    shop.make(0);
    let record = tree(&shop.at(".benchlight/written")).into_keys().next().unwrap();
    for draft in [
        "content/jobs/26-041 Fenn gobbler/.job.toml.benchlight-draft".to_owned(),
        ".benchlight/.standing.json.benchlight-draft".to_owned(),
        format!(".benchlight/written/.{record}.benchlight-draft"),
        ".benchlight/photos/.looks.json.benchlight-draft".to_owned(),
        "public/.index.html.benchlight-draft".to_owned(),
    ] {
        pipe(&shop.at(&draft));
        let (code, told) = in_time(&shop, &["make", "--as-of", "2026-05-21"], &draft);
        assert_eq!(code, Some(0), "{draft}\n{told}");
        let _ = fs::remove_file(shop.at(&draft));
    }
    shop.file("themes/hangtag/x", "");
    let socket = std::os::unix::net::UnixListener::bind(shop.at("themes/hangtag/look.css")).unwrap();
    let (code, told) = in_time(&shop, &["make"], "a socket");
    assert!(code == Some(2) && told.contains("look.css") && told.contains("a device"), "{told}");
    drop(socket);
}

#[test]
fn the_hosts_key_file_is_no_pipe() {
    let shop = TestShop::healthy_and_quick(true);
    let text = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    let post = "\n[post]\nto = \"webdav\"\naddress = \"https://dav.hollow-ash.example/\"\nuser = \"ash\"\n";
    shop.file("content/shop.toml", format!("{text}{post}"));
    shop.make(0);
    pipe(&shop.at("post.key"));
    assert!(Command::new("chmod").arg("600").arg(shop.at("post.key")).status().unwrap().success());
    // `proof` does not look into it; whoever would use it says what it is.
    let (code, told) = in_time(&shop, &["proof"], "post.key");
    assert_eq!(code, Some(0), "{told}");
    let (code, told) = in_time(&shop, &["post", "--dry"], "post.key");
    assert!(code == Some(2) && told.contains("post.key"), "{told}");
}

#[test]
fn the_lock_is_no_link_to_somebody_elses_file() {
    let shop = TestShop::healthy_and_quick(true);
    shop.file("letter.txt", "kept");
    fs::create_dir_all(shop.at(".benchlight")).unwrap();
    symlink(shop.at("letter.txt"), shop.at(".benchlight/lock")).unwrap();
    let (code, told) = in_time(&shop, &["make"], "the lock");
    assert_eq!(code, Some(2), "{told}");
    assert!(told.contains("there is a link in its place"), "{told}");
    assert_eq!(fs::read_to_string(shop.at("letter.txt")).unwrap(), "kept");
}

/// The line of the key that gives every address away.
fn key_line(shop: &TestShop) -> String {
    let text = fs::read_to_string(shop.at("content/shop.key")).unwrap();
    text.lines().last().unwrap().to_owned()
}

#[test]
fn the_key_is_published_under_no_name() {
    for hard in [false, true] {
        let shop = TestShop::healthy_and_quick(true);
        shop.make(0);
        let key = shop.at("content/shop.key");
        let text = format!("# Prices\n\n{}", fs::read_to_string(&key).unwrap());
        // The page that it had before, made by a program that knew no better, goes as well.
        shop.file("content/pages/prices.md", &text);
        shop.make(0);
        fs::remove_file(shop.at("content/pages/prices.md")).unwrap();
        fs::create_dir_all(shop.at("themes/hangtag")).unwrap();
        for place in [
            "content/pages/prices.md",
            "content/jobs/26-041 Fenn gobbler/front.jpg",
            "content/pages/wing.jpg",
        ] {
            match hard {
                true => fs::hard_link(&key, shop.at(place)).unwrap(),
                false => symlink(&key, shop.at(place)).unwrap(),
            }
        }
        let (code, told) = in_time(&shop, &["make", "--as-of", "2026-05-20"], "links to the key");
        assert_eq!(code, Some(1), "{told}");
        assert!(told.contains("content/pages/prices.md") && told.contains("(key-shown)"), "{told}");
        let line = key_line(&shop);
        for (path, bytes) in tree(&shop.at("public")) {
            let shown = String::from_utf8_lossy(&bytes).contains(&line);
            assert!(!shown, "{path} holds the key (hard link: {hard})");
        }
        assert!(!told.contains(&line), "{told}");
        // Nor by way of the theme.
        let style = shop.at("themes/hangtag/look.css");
        if hard {
            fs::hard_link(&key, &style).unwrap()
        } else {
            symlink(&key, &style).unwrap()
        }
        let (code, told) = in_time(&shop, &["make", "--as-of", "2026-05-20"], "a style");
        assert!(code == Some(2) && told.contains("look.css") && !told.contains(&line), "{told}");
    }
}

#[test]
fn settings_that_lead_to_the_key_do_not_tell_it() {
    let shop = TestShop::healthy_and_quick(true);
    let line = key_line(&shop);
    for file in ["content/shop.toml", "content/partners.toml", "content/jobs/26-041 Fenn gobbler/job.toml"] {
        let (at, aside) = (shop.at(file), shop.at("aside"));
        fs::rename(&at, &aside).unwrap();
        symlink(shop.at("content/shop.key"), &at).unwrap();
        let (_, told) = in_time(&shop, &["proof"], file);
        assert!(told.contains(file) && !told.contains(&line[..9]), "{told}");
        fs::remove_file(&at).unwrap();
        fs::rename(&aside, &at).unwrap();
    }
}

#[test]
fn a_theme_comes_from_its_own_folder() {
    let shop = TestShop::healthy_and_quick(true);
    shop.file("letter.css", "p { color: tomato }").file("print/note.css", "p { color: tomato }");
    fs::create_dir_all(shop.at("themes/hangtag")).unwrap();
    for target in ["../../letter.css", "../../print/note.css"] {
        symlink(target, shop.at("themes/hangtag/look.css")).unwrap();
        let (code, told) = in_time(&shop, &["make"], target);
        assert!(code == Some(2) && told.contains("leads out of the folder of the theme"), "{told}");
        fs::remove_file(shop.at("themes/hangtag/look.css")).unwrap();
    }
    // Another theme beside it is one, and the folder as a whole may lie elsewhere.
    shop.file("themes/other/look.css", "p { color: tomato }");
    symlink("../other/look.css", shop.at("themes/hangtag/look.css")).unwrap();
    assert_eq!(in_time(&shop, &["make"], "beside").0, Some(0));
    fs::rename(shop.at("themes"), shop.at("elsewhere")).unwrap();
    symlink("elsewhere", shop.at("themes")).unwrap();
    assert_eq!(in_time(&shop, &["make"], "elsewhere").0, Some(0));
    let tomato = |bytes: &Vec<u8>| {
        let text = String::from_utf8_lossy(bytes).into_owned();
        text.contains("tomato") || text.contains("#ff6347")
    };
    assert!(tree(&shop.at("public")).values().any(tomato));
}

#[test]
fn public_as_a_link_is_followed_only_where_the_owner_says_so() {
    let shop = TestShop::healthy_and_quick(true);
    let elsewhere = tempfile::tempdir().unwrap();
    fs::write(elsewhere.path().join("index.html"), "mine").unwrap();
    symlink(elsewhere.path(), shop.at("public")).unwrap();
    for args in [&["make"][..], &["watch"]] {
        let (code, told) = in_time(&shop, args, "public");
        assert_eq!(code, Some(2), "{told}");
        assert!(told.contains("is a link to") && told.contains("--out"), "{told}");
    }
    assert_eq!(fs::read_dir(elsewhere.path()).unwrap().count(), 1);
    fs::remove_file(elsewhere.path().join("index.html")).unwrap();
    let (code, told) = in_time(&shop, &["make", "--out", "public"], "said so");
    assert_eq!(code, Some(0), "{told}");
    assert!(elsewhere.path().join("index.html").exists());
}

#[test]
fn a_new_shop_leaves_what_is_private_out_of_a_version_history() {
    let home = TestShop::empty();
    home.run(&["open", "shop"]).exits(0);
    let shop = home.at("shop");
    let git = |args: &[&str]| {
        let mut git = Command::new("git");
        git.args(args).current_dir(&shop).env("GIT_CONFIG_GLOBAL", "/dev/null").output().expect("git runs")
    };
    assert!(git(&["init", "-q"]).status.success());
    // gitignore(5), by git itself.
    for path in [
        "public/index.html",
        "public/see/x/index.html",
        "print/tag 26-041.html",
        "content/shop.key",
        "content/shop.key.old-2026-05-20",
        "content/jobs/26-041 Fenn/job.toml",
        "post.key",
        ".benchlight/lock",
    ] {
        assert!(git(&["check-ignore", "-q", path]).status.success(), "{path} would be kept");
    }
    for path in ["content/shop.toml", "content/routes/duck.toml", "content/pages/find-us.md", ".gitignore"] {
        assert!(!git(&["check-ignore", "-q", path]).status.success(), "{path} would be left out");
    }
}
