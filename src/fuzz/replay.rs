//! Every seed and every input that ever made a target fall, handed in again.

use super::TARGETS;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

/// More than any seed takes on a busy machine; the fuzzer's own bound is as long.
const LONGEST: Duration = Duration::from_secs(10);

#[test]
fn no_seed_makes_its_target_fall() {
    let seeds = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/attack/seeds");
    let (mut played, mut fallen) = (0, Vec::new());
    for (name, target) in TARGETS {
        let folder = seeds.join(name);
        let found = fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        let mut files: Vec<_> = found.map(|entry| entry.unwrap().path()).collect();
        files.sort();
        assert!(files.len() >= 3, "{name} has {} seeds", files.len());
        let together: u64 = files.iter().map(|file| fs::metadata(file).unwrap().len()).sum();
        assert!(together <= 64_000, "the seeds of {name} come to {together} bytes");
        for file in files {
            let bytes = fs::read(&file).unwrap();
            let begun = Instant::now();
            let fell = std::panic::catch_unwind(|| target(&bytes)).is_err();
            if fell || begun.elapsed() > LONGEST {
                fallen.push(format!("{} after {:?}", file.display(), begun.elapsed()));
            }
            played += 1;
        }
    }
    assert!(fallen.is_empty(), "{}", fallen.join("\n"));
    assert!(played > 100, "{played} seeds");
    fs::remove_dir_all(&*super::stored::FOLDER).unwrap();
}

/// A claim that cannot fail would hold of anything.
#[test]
fn each_claim_fails_of_what_it_forbids() {
    use super::claims::{bare_jpeg, bounded, harmless, visible};
    let falls = |what: &dyn Fn()| std::panic::catch_unwind(std::panic::AssertUnwindSafe(what)).is_err();
    for bad in ["<script>", "<p onclick=\"x\">", "<a href=\"javascript:x\">", "<a href=x>", "<img src=\"a\">"]
    {
        assert!(falls(&|| harmless(bad)), "{bad}");
    }
    harmless("<p>1 &lt; 2 <a href=\"https://a.example/\" title=\"t\">b</a><br /></p>");
    for bad in ["\u{1b}]0;x\u{7}", "a\u{202e}b", "\r", "\u{9b}1m"] {
        assert!(falls(&|| visible(bad)), "{bad:?}");
    }
    visible("été\n");
    assert!(falls(&|| bounded(30_000, b"x", 100)));
    let exif = b"\xFF\xD8\xFF\xE1\x00\x04ab\xFF\xDA\x00\x02\xFF\xD9";
    assert!(falls(&|| bare_jpeg(exif, (9, 9))));
    assert!(falls(&|| bare_jpeg(b"\xFF\xD8\xFF\xDA\x00\x02", (9, 9))), "cut");
}
