//! Eight pages as they looked when somebody last looked at them, at the widths of a phone, a tablet and a desktop.
//!
//! The pictures of `tests/pages/baseline/` are drawn at half size by Debian's Chromium with Debian's
//! `fonts-dejavu-core`. Another version of either may draw the odd edge differently: `baseline.py` says how much is let
//! pass. `BENCHLIGHT_UPDATE=1` writes them and the README's picture anew; look at each before you commit it.

use super::browser::look;
use super::demo;
use crate::builder::tools;
use serde_json::json;
use std::path::Path;

#[test]
fn eight_pages_look_as_they_did() {
    let made = demo();
    let private = made.private();
    let shown = [
        ("front", "index.html"),
        ("animal", "showroom/turkey/index.html"),
        ("beside", "showroom/turkey/side-by-side.html"),
        ("pose", "showroom/turkey/full-strut/index.html"),
        ("own-page", "field-care/index.html"),
        ("at-bench", &private["at-bench"]),
        ("held-by-you", &private["held-by-you"]),
        ("ready", &private["ready"]),
    ];
    let shown: Vec<_> = shown.iter().map(|(name, path)| json!({"name": name, "path": path})).collect();
    let folder = tempfile::tempdir().unwrap();
    let served = tools::Served::folder(&made.out);
    let missing = [("missing".to_owned(), "404.html".to_owned())];
    let update = std::env::var_os("BENCHLIGHT_UPDATE").is_some();
    let portraits = json!([
        {"name": "readme-1", "path": &private["held-by-you"], "width": 400},
        {"name": "readme-2", "path": &private["held-by-you"], "width": 400, "from": "#route"},
        {"name": "readme-3", "path": "showroom/turkey/side-by-side.html", "width": 1000},
    ]);
    let portraits = if update { portraits } else { json!([]) };
    look(&served, &missing, json!({"shots": folder.path(), "shown": shown, "portraits": portraits}));

    let baseline = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages/baseline");
    let mut command = tools::python();
    command.arg(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/pages/baseline.py"));
    command.arg(folder.path()).arg(&baseline);
    if update {
        command.arg("--update");
    }
    let told = tools::printed(&mut command);
    let differ: Vec<&str> = told.lines().filter(|line| line.starts_with("differs")).collect();
    assert!(differ.is_empty(), "{}\nlook at them, then `BENCHLIGHT_UPDATE=1`", differ.join("\n"));
    assert_eq!(
        told.lines().filter(|line| line.starts_with("same") || line.starts_with("written")).count(),
        24,
        "{told}"
    );
}
