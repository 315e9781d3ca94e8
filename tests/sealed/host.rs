//! What whoever runs the host sees: nothing of any piece. And what was taken back stays taken back.

use super::{files_of, folder_and_key, shop};
use crate::builder::{PHONE_PHOTO, TODAY, TestShop, tools};
use crate::privacy::PRIVATE_JOB;
use benchlight::door::seal::size;
use std::collections::BTreeSet;
use std::process::Command;

/// A job with a canary in every private field and in those that an open page shows.
fn canary_job() -> String {
    PRIVATE_JOB
        .replace("customer   = \"Ada", "customer   = \"Canaria")
        .replace("Eastern wild turkey", "CANARYPIECE turkey")
        .replace("route  ", "sealed     = true\nnote       = \"CANARYNOTE\"\nroute  ")
        .replace("Half strut", "CANARYCHARGE")
        .replace("695", "6543.21")
}

#[test]
fn nothing_of_a_sealed_job_can_be_read_anywhere_in_the_output() {
    let shop = TestShop::healthy();
    let folder = "content/jobs/26-977 CANARYFOLDER gobbler";
    let job = canary_job();
    for field in ["Canaria", "CANARYPIECE", "sealed ", "CANARYNOTE", "CANARYCHARGE", "6543.21", "CANARYTAG"] {
        assert!(job.contains(field), "{field} in {job}");
    }
    shop.file(&format!("{folder}/job.toml"), job);
    shop.file(&format!("{folder}/mounted/2026-05-04 CANARYCAPTION.jpg"), PHONE_PHOTO);
    shop.make(0);
    let (private, key) = folder_and_key(&shop, "26-977");
    let tree = shop.tree("public");
    for (path, bytes) in &tree {
        let text = String::from_utf8_lossy(bytes);
        for secret in ["CANARY", "Canaria", "26-977", "6543", "6,543", key.as_str(), &key[..8]] {
            assert!(!text.contains(secret) && !path.contains(secret), "{secret} in {path}");
        }
        // The folder is named nowhere but by itself.
        let name = private.trim_start_matches("see/").trim_end_matches('/');
        assert!(!text.contains(name), "{path} leads to it");
    }
    let files = files_of(&shop, &private);
    // The shell, the page, a calendar, and a photo that is too small for more than one size.
    assert_eq!(files.len(), 4, "{:?}", files.keys());
    for (name, bytes) in files.iter().filter(|(name, _)| *name != "index.html") {
        let stem = name.strip_suffix(".bin").unwrap_or_else(|| panic!("{name} tells what it is"));
        assert!(stem.len() == 26 && stem.bytes().all(|b| b.is_ascii_alphanumeric()), "{name}");
        assert_eq!(bytes.len(), size::padded(bytes.len()), "{name} is {} long", bytes.len());
        assert!(bytes.starts_with(b"bl-seal1"));
    }
    let shell = String::from_utf8(files["index.html"].clone()).unwrap();
    for stage in ["At the bench", "In line", "Ready", "Held", "Collected"] {
        assert!(!shell.contains(&format!(">{stage}<")), "{stage} in the shell");
    }
    assert!(shell.contains("noindex") && shell.contains("content=no-referrer") && !shell.contains("<img"));
}

#[test]
fn the_shell_is_the_same_for_every_piece_and_its_policy_names_its_script() {
    let shop = shop();
    shop.make(0);
    let (one, _) = folder_and_key(&shop, "26-041");
    let (two, _) = folder_and_key(&shop, "26-042");
    let (one, two) = (files_of(&shop, &one), files_of(&shop, &two));
    assert_eq!(one["index.html"], two["index.html"]);
    let names: BTreeSet<&String> = one.keys().chain(two.keys()).collect();
    assert_eq!(names.len(), one.len() + two.len() - 1, "only the shell has the same name in both");
    let shell = String::from_utf8(one["index.html"].clone()).unwrap();
    let script = shell.split_once("<script>").and_then(|(_, rest)| rest.split_once("</script>")).unwrap().0;
    // By Python's `hashlib`; CSP level 3, 6.7.3.
    let program = "import sys,hashlib,base64;print(base64.b64encode(hashlib.sha256(sys.argv[1].encode()).digest()).decode())";
    let digest = tools::printed(tools::python().args(["-c", program]).arg(script));
    assert!(shell.contains(&format!("script-src 'sha256-{}'", digest.trim())), "{digest} {shell}");
    // The phone number of the studio, for whoever cannot open it.
    assert!(shell.contains("555-0100"));
    let (folder, _) = folder_and_key(&shop, "26-041");
    let served = tools::Served::folder(&shop.at("public"));
    let page = served.address(&format!("{folder}index.html"));
    let mut checker = Command::new("java");
    checker.arg("-Dnu.validator.servlet.allow-forbidden-hosts=true").arg("-jar");
    checker.arg(tools::npm("vnu-jar/build/dist/vnu.jar")).args(["--format", "json", "--stdout"]);
    let told: serde_json::Value = serde_json::from_slice(&tools::run(checker.arg(page)).stdout).unwrap();
    assert_eq!(told["messages"].as_array().map(Vec::len), Some(0), "{told:#}");
}

#[test]
fn a_job_that_becomes_sealed_takes_its_open_page_and_photos_away() {
    let shop = TestShop::healthy();
    shop.make(0);
    let (path, _) = shop.private_page("26-041").unwrap();
    let open = path.trim_end_matches("index.html").to_owned();
    let job = "content/jobs/26-041 Fenn gobbler/job.toml";
    shop.edit(job, "route ", "sealed = true\nroute ");
    shop.make(0);
    assert!(files_of(&shop, &open).is_empty() && shop.private_page("26-041").is_none());
    let (sealed, key) = folder_and_key(&shop, "26-041");
    assert!(!open.contains(sealed.trim_matches('/').trim_start_matches("see/")) && !open.contains(&key));
    let before = files_of(&shop, &sealed);
    // The last good sealed page stays while the job needs mending, and an open one never comes in its place.
    shop.edit(job, "695", "6,95");
    shop.make(1);
    assert!(files_of(&shop, &sealed) == before && files_of(&shop, &open).is_empty());
    // Raising the link takes it back even so.
    shop.edit(job, "route ", "link = 2\nroute ");
    shop.make(1);
    assert!(files_of(&shop, &sealed).is_empty());
    // And a job may be taken out of the seal again.
    shop.edit(job, "6,95", "695").edit(job, "sealed = true", "sealed = false");
    shop.make(0);
    assert!(shop.private_page("26-041").is_some());
}

#[test]
fn an_open_page_does_not_stay_when_the_seal_is_wanted_and_the_job_is_broken() {
    let job = "content/jobs/26-041 Fenn gobbler/job.toml";
    // By the job itself, by the shop, and with a job file that cannot be read at all.
    for how in 0..3 {
        let shop = TestShop::healthy();
        shop.make(0);
        let (path, _) = shop.private_page("26-041").unwrap();
        shop.edit(job, "695", "6,95");
        match how {
            0 => shop.edit(job, "route ", "sealed = yes\nroute "),
            1 => shop.edit("content/shop.toml", "[money]", "[private-page]\nsealed = true\n\n[money]"),
            _ => shop
                .edit("content/shop.toml", "[money]", "[private-page]\nsealed = true\n\n[money]")
                .file(job, b"\xff\xfe\0\0"),
        };
        shop.make(1);
        assert!(files_of(&shop, path.trim_end_matches("index.html")).is_empty(), "{how}");
    }
    // One job is taken out of the shop's seal by its own word.
    let shop = shop();
    shop.edit(job, "route ", "sealed = false\nroute ");
    shop.make(0);
    assert!(shop.private_page("26-041").is_some() && shop.private_page("26-042").is_none());
}

#[test]
fn the_same_content_gives_the_same_bytes_whatever_is_remembered() {
    let shop = shop();
    shop.make(0);
    let first = shop.tree("public");
    shop.make(0).says(" as before").says("0 new, 0 changed, 0 gone");
    std::fs::remove_dir_all(shop.at(".benchlight/sealed")).unwrap();
    shop.make(0).says("0 new, 0 changed, 0 gone");
    std::fs::remove_dir_all(shop.at(".benchlight")).unwrap();
    // Without its record it still knows what is its own, also what is not to be there any more.
    let (folder, _) = folder_and_key(&shop, "26-042");
    let old = format!("public/{folder}{}.bin", "z".repeat(26));
    shop.file(&old, b"bl-seal1 of some older page");
    let strange = format!("public/{folder}notes.bin");
    shop.file(&strange, b"somebody's own");
    shop.edit("content/jobs/26-042 Ruell hen/job.toml", "route ", "note = \"Come by.\"\nroute ");
    shop.make(0).tells("record-missing");
    assert!(!shop.at(&old).exists() && shop.at(&strange).exists());
    std::fs::remove_file(shop.at(&strange)).unwrap();
    let (one, _) = folder_and_key(&shop, "26-041");
    let second = files_of(&shop, &one);
    let first: Vec<_> =
        first.iter().filter_map(|(p, b)| Some((p.strip_prefix(&one)?.to_owned(), b.clone()))).collect();
    assert_eq!(second.into_iter().collect::<Vec<_>>(), first);
    // Of a page that changed, the photos stay as they are.
    let before = files_of(&shop, &one);
    shop.edit("content/jobs/26-041 Fenn gobbler/job.toml", "left wing", "right wing");
    shop.make(0);
    let after = files_of(&shop, &one);
    let changed: Vec<&String> = before.keys().filter(|name| after.get(*name) != before.get(*name)).collect();
    assert_eq!((changed.len(), before.len()), (1, after.len()), "{changed:?}");
}

#[test]
fn the_whole_address_is_told_to_the_owner_alone() {
    let shop = shop();
    let (folder, key) = folder_and_key(&shop, "26-041");
    let whole = format!("https://hollow-ash.example/{folder}#{key}");
    shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0).says(&format!("26-041: {whole}"));
    shop.run(&["board", "26-041", "--as-of", TODAY]).exits(0).says(&whole);
    let drafts = shop.run(&["board", "--drafts", "--as-of", TODAY]).exits(0).out();
    let (other_folder, other_key) = folder_and_key(&shop, "26-042");
    assert!(drafts.contains(&format!("https://hollow-ash.example/{other_folder}#{other_key}")), "{drafts}");
    // What is printed for the inspector or a partner, and what is checked, has no use for it.
    shop.make(0);
    for args in [&["register"][..], &["parcel", "freeze-dryer"], &["proof"], &["make"], &["replay"]] {
        let ran = shop.run(&[args, &["--as-of", TODAY]].concat());
        assert!(!ran.out().contains(&key) && !ran.err().contains(&key), "{args:?}");
    }
    for (path, bytes) in shop.tree("print") {
        let tells = String::from_utf8_lossy(&bytes).replace("</span><span>", "").contains(&key);
        assert_eq!(tells, path.starts_with("tag "), "{path}");
    }
}
