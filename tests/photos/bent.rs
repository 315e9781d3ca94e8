//! A short run of what `cargo bench --profile dev --bench photos -- hostile` does for as long as asked.

#[allow(dead_code)] // The bench runs it for as long as asked.
#[path = "../../benches/photos/hostile.rs"]
mod hostile;

use super::oracle;

#[test]
fn a_thousand_bent_files_end_no_decoder() {
    let folder = tempfile::tempdir().unwrap();
    for what in ["formats", "metadata"] {
        oracle("make", what, folder.path());
    }
    hostile::try_while(7, folder.path(), &|tried| tried < 1000);
}
