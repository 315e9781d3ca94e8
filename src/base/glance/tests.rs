//! What a glance tells, and what it leaves to a closer look.

use super::*;

fn put(path: &Path, text: &str) {
    super::super::files::replace(path, text.as_bytes()).unwrap();
}

#[test]
fn every_change_shows_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    fs::create_dir(at("in")).unwrap();
    put(&at("in/a"), "one");
    put(&at("b"), "two");
    let all = i64::MAX;
    let before = of(folder.path(), all).unwrap();
    assert_eq!(of(folder.path(), all), Some(before));
    put(&at("in/a"), "six");
    let edited = of(folder.path(), all).unwrap();
    assert_ne!(edited, before);
    put(&at("in/b"), "two");
    fs::remove_file(at("b")).unwrap();
    let moved = of(folder.path(), all).unwrap();
    assert_ne!(moved, edited);
    fs::create_dir(at("empty")).unwrap();
    assert_ne!(of(folder.path(), all), Some(moved));
    fs::remove_dir(at("empty")).unwrap();
    assert_eq!(of(folder.path(), all), Some(moved));
    fs::remove_file(at("in/b")).unwrap();
    assert_ne!(of(folder.path(), all), Some(moved));
}

#[test]
fn what_is_young_or_a_link_tells_nothing_and_what_is_not_there_is_empty() {
    let folder = tempfile::tempdir().unwrap();
    put(&folder.path().join("a"), "one");
    assert!(of(folder.path(), i64::MAX).is_some());
    assert_eq!(of(folder.path(), 0), None);
    assert_eq!(of(&folder.path().join("none"), 0), Some(Digest::of(b"")));
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(folder.path().join("a"), folder.path().join("b")).unwrap();
        assert_eq!(of(folder.path(), i64::MAX), None);
    }
}
